"""Existing circuits: they stay as the shop describes them, and what nobody knows is said."""

from collections.abc import Iterator

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.overcurrent import largest_breaker_amps
from models.plan import CircuitPlan, Finding
from models.rules.reading import Reading, is_worked
from models.rules.rule import RuleText, registry
from models.shop import ExistingCircuit

EXISTING = RuleText(
    "existing-circuits",
    "Circuits that are there already",
    "An existing circuit keeps its panel, spaces, breaker, conductor, runs and boxes; one that may"
    " change may also be extended, get a breaker with GFCI instead, or be taken apart.",
    "plan file against the shop",
    "plan",
)
UNKNOWN = RuleText(
    "existing-runs",
    "Runs nobody has seen",
    "The runs of an existing circuit are not known, so their way, length, ampacity in place, "
    "voltage drop and box fill are not checked.",
    "plan file",
    "plan",
)
OVERSIZED = RuleText(
    "existing-breaker",
    "Breakers that are there already",
    "The breaker of an existing circuit is not larger than its conductor allows at best: the 75 °C"
    " column, the next size up, and the limits of small conductors. Motor circuits may differ.",
    "NEC 240.4(B), (D)",
    "code",
)
REMOVED = RuleText(
    "existing-removed",
    "Circuits that are taken apart",
    "What is taken apart may change by the shop file, and its conductors leave the raceways.",
    "plan file against the shop",
    "plan",
)
RULES = registry(EXISTING, UNKNOWN, OVERSIZED, REMOVED)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each change of an existing circuit, and one for what is not known."""
    for circuit in reading.plan.circuits:
        if (circuit.life == "existing") != (circuit.id in reading.existing):
            says = f"circuit {circuit.id} is {circuit.life} in the plan, not so in the shop"
            fix = "plan the shop again"
            yield EXISTING.finding(
                circuit.id, says, edition=reading.edition, detail="life", fix=fix
            )
        if circuit.life == "new" and circuit.breaker.exchanged:
            says = f"{circuit.id} is new, its breaker is exchanged for none"
            fix = "plan the shop again"
            yield EXISTING.finding(
                circuit.id, says, edition=reading.edition, detail="exchanged", fix=fix
            )
    for gone in reading.plan.removed or ():
        if gone.id in reading.circuits or gone.id not in reading.existing:
            says = f"{gone.id} is called removed, and is in the plan or was never there"
            fix = "plan the shop again"
            yield EXISTING.finding(gone.id, says, edition=reading.edition, detail="gone", fix=fix)
    for name, given in reading.existing.items():
        if name not in reading.circuits:
            yield from _taken_apart(reading, given)
            continue
        circuit = reading.circuits[name]
        yield from _oversized(reading, given)
        for what, found, wanted in _kept(reading, circuit, given):
            if found != wanted:
                says = f"existing circuit {name}: {what} is {found}, the shop says {wanted}"
                fix = "an existing circuit stays as it is: plan the shop again"
                yield EXISTING.finding(name, says, edition=reading.edition, detail=what, fix=fix)
        yield UNKNOWN.finding(
            name,
            f"the runs of existing circuit {name} are not known: open its boxes and look",
            edition=reading.edition,
            severity="not-checked",
            fix=f"trace {name} before work starts",
        )


def _kept(
    reading: Reading, circuit: CircuitPlan, given: ExistingCircuit
) -> Iterator[tuple[str, object, object]]:
    """(what, plan, shop) of what stays; only to a circuit that may change something is added."""
    extended = given.may_change and is_worked(circuit)
    feeds = {o.id for o in reading.plan.outlets if o.box in given.feeds}
    outlets = {o for o in circuit.outlets if not extended or o in feeds}
    exchanged = extended and circuit.breaker.gfci and not given.gfci
    yield "panel", circuit.panel, given.panel
    yield "spaces", sorted(circuit.breaker.spaces), sorted(given.spaces)
    yield "breaker [A]", circuit.breaker.amps, given.breaker_amps
    yield "GFCI breaker", circuit.breaker.gfci, given.gfci or exchanged
    yield "exchanged breaker", circuit.breaker.exchanged, exchanged
    yield "conductor", circuit.conductor.awg, given.conductor
    yield "certainty", circuit.known, given.known
    yield "outlets", sorted(outlets), sorted(feeds)
    old = [(run.start, run.end) for run in circuit.runs if run.life != "new"]
    if given.runs:
        yield "runs", sorted(old), sorted((run.start, run.end) for run in given.runs)
    if not extended:
        yield "new runs", [run.id for run in circuit.runs if run.life == "new"], []


def _taken_apart(reading: Reading, given: ExistingCircuit) -> Iterator[Finding]:
    """A circuit that is no longer there: told when it may change, and listed as removed."""
    gone = {circuit.id: circuit for circuit in reading.plan.removed or ()}.get(given.id)
    lives = {gone.life, *(run.life for run in gone.runs)} if gone else set()
    if gone is None or not given.may_change or lives != {"removed"}:
        says = f"existing circuit {given.id} is not in the plan"
        fix = "plan the shop again"
        yield EXISTING.finding(given.id, says, edition=reading.edition, detail="missing", fix=fix)
        return
    runs = f" and pull out {', '.join(run.id for run in gone.runs)}" if gone.runs else ""
    yield REMOVED.finding(
        given.id,
        f"existing circuit {given.id} is taken apart: its boxes {', '.join(given.feeds)} are on"
        " other circuits",
        edition=reading.edition,
        severity="note",
        fix=f"switch it off, take its breaker out of space {', '.join(map(str, given.spaces))}"
        f"{runs}",
    )


def _oversized(reading: Reading, given: ExistingCircuit) -> Iterator[Finding]:
    """A breaker that no reading of the rules allows for the conductor that the shop names."""
    largest = largest_breaker_amps(
        given.conductor,
        table_ampacity_amps(given.conductor, 75),
        several_receptacles=False,
        edition=reading.edition,
    )
    if largest is not None and given.breaker_amps > largest:
        yield OVERSIZED.finding(
            given.id,
            f"existing circuit {given.id} has a {given.breaker_amps:g} A breaker on"
            f" {given.conductor} AWG, which allows {largest} A at most",
            edition=reading.edition,
            found=given.breaker_amps,
            limit=float(largest),
            unit="A",
            fix="leave it switched off until an electrician has looked at breaker and conductor",
        )
