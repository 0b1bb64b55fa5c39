"""What each new run is made of: conductors by role, the cable's name, colours. AWG."""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Final

from models.formulas.conductors import circular_mils
from models.part_keys import single_insulation, single_key
from models.plan import CircuitPlan, Conductor, Finding, Run
from models.rules.reading import Reading, Tree, configuration_of, new_runs
from models.rules.rule import RuleText, registry
from models.rules.switching import hots_asked, misplaced

LARGEST_WITH_EQUAL_GROUND: Final = "10"  # NM-B 8-2 and 6-2 have a 10 AWG ground (maker's listing)

HOT_COLOURS: Final = frozenset({"black", "red", "blue", "yellow", "orange", "brown", "purple"})
UNGROUNDED: Final = frozenset({"hot", "hot2", "switched", "traveller", "traveller2"})
NEUTRAL_COLOURS: Final = frozenset({"white", "gray"})
CABLE_COLOURS: Final = {2: ["black", "white"], 3: ["black", "red", "white"]}  # as makers sell it
GROUND_COLOURS: Final = frozenset({"bare", "green"})

MAKE_UP = RuleText(
    "run-make-up",
    "Conductors of a run",
    "A 120 V run has a hot, a neutral and a ground; between a switch and its luminaires the hot is "
    "switched; a 240 V run has two hots and a ground, and a neutral where a receptacle asks for "
    "one or outlets of both voltages lie beyond. A run of a multiwire pair has the hot of each "
    "circuit with an outlet beyond it, and one neutral. The name of the cable or conductors "
    "agrees.",
    "plan file",
    "plan",
)
SWITCHED = RuleText(
    "luminaire-behind-switch",
    "Luminaires behind their switch",
    "What is switched hangs on runs that come from all its switches.",
    "plan file against the shop",
    "plan",
)
COLOUR = RuleText(
    "conductor-colour",
    "Colours",
    "Neutrals are white or gray, grounds bare or green; a white conductor serves as a hot only in "
    "a cable and marked; hots, switched hots and travellers of one run differ.",
    "NEC 200.6, 200.7(C), 250.119",
    "code",
)
RULES = registry(MAKE_UP, SWITCHED, COLOUR)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each run whose conductors are not what its place asks for."""
    for circuit in reading.worked_circuits:
        for run in new_runs(circuit):
            says_all = (*_role_faults(reading, circuit, run), *_name_faults(circuit, run))
            for says in says_all:
                fix = f"make run {run.id} up again"
                yield MAKE_UP.finding(run.id, says, edition=reading.edition, detail=says, fix=fix)
            if says_or_none := colours_fault(run):
                fix = "the colours that the cable has; a black and a red one in a raceway"
                yield COLOUR.finding(
                    run.id, says_or_none, edition=reading.edition, detail="colours", fix=fix
                )
            for conductor in run.conductors:
                if says_or_none := colour_fault(run, conductor):
                    yield COLOUR.finding(
                        run.id,
                        says_or_none,
                        edition=reading.edition,
                        detail=conductor.role,
                        fix="choose or mark the colour",
                    )
        summed = reading.runs_of(circuit) if circuit.life == "new" else []
        for says in _summary_faults(circuit, summed) if summed else ():
            fix = f"sum up the runs of {circuit.id} again"
            yield MAKE_UP.finding(circuit.id, says, edition=reading.edition, detail=says, fix=fix)
        yield from _switching(reading, circuit)


def _summary_faults(circuit: CircuitPlan, runs: list[Run]) -> Iterator[str]:
    """What the circuit says of its conductors against its runs."""
    said = circuit.conductor
    counts = {
        "conductors": (said.count, _most(runs, spare=False)),
        "spares": (said.spares, _most(runs, spare=True)),
    }
    for what, (given, found) in counts.items():
        if given != found:
            yield f"{circuit.id} is said to have {given} {what}, its runs have {found}"
    kinds = {single_insulation(wet=run.wet) if run.method == "raceway" else "NM-B" for run in runs}
    if set(said.insulation.split(" and ")) != kinds:
        yield f"{circuit.id} is said to be {said.insulation}, its runs are {', '.join(kinds)}"


def _most(runs: Iterable[Run], *, spare: bool) -> int:
    """The most conductors beside the ground, or spares, that a run has."""
    counts = (
        sum((c.role == "spare") == spare for c in run.conductors if c.role != "ground")
        for run in runs
    )
    return max(counts, default=0)


def _role_faults(reading: Reading, circuit: CircuitPlan, run: Run) -> Iterator[str]:
    """Roles missing or too many."""
    on = {o.box: configuration_of(o) for o in reading.receptacles_on(circuit)}
    if circuit.multiwire_with is not None:
        yield from _paired_faults(reading, circuit, run)
        return
    beyond = reading.trees[circuit.id].beyond(run)
    needs_neutral = any(c.neutral for box, c in on.items() if c is not None and box in beyond)
    wanted = ["hot", "hot2", "ground"]
    if circuit.volts != 240:
        wanted = [*hots_asked(reading, circuit, run), "neutral", "ground"]
    if circuit.volts == 240 and needs_neutral:
        wanted.insert(2, "neutral")
    if circuit.is_mixed:
        far = {outlet.volts for outlet in reading.outlets_on(circuit) if outlet.box in beyond}
        wanted = ["hot", *["hot2"] * (240 in far), *["neutral"] * (120 in far), "ground"]
    given = [c.role for c in run.conductors if c.role != "spare"]
    if Counter(given) != Counter(wanted):
        yield f"run {run.id} carries {', '.join(given)}; its place asks for {', '.join(wanted)}"


def _paired_faults(reading: Reading, circuit: CircuitPlan, run: Run) -> Iterator[str]:
    """Roles of a run of a multiwire pair: the hots of the circuits with outlets beyond it."""
    pair = reading.pair(circuit)
    beyond = Tree(run for one in pair for run in one.runs).beyond(run)
    fed = [one for one in pair if any(o.box in beyond for o in reading.outlets_on(one))]
    wanted = [*(reading.hot_of(one) for one in fed), "neutral", "ground"]
    given = [c.role for c in run.conductors if c.role != "spare"]
    if Counter(given) != Counter(wanted):
        yield f"run {run.id} carries {', '.join(given)}; its place asks for {', '.join(wanted)}"
    owner = next((one for one in fed if reading.hot_of(one) == "hot"), fed[0] if fed else None)
    if owner is not circuit:
        yield f"run {run.id} is listed on {circuit.id}, its place is on {owner and owner.id}"


def colours_fault(run: Run) -> str | None:
    """Colours that a cable of so many wires does not have, or hots that nobody can tell apart."""
    colours = sorted(c.colour or "none" for c in run.conductors if c.insulated)
    made = CABLE_COLOURS.get(len(colours)) if run.method == "cable" else None
    if made is not None and colours != made:
        return f"run {run.id} is a cable of {' and '.join(made)}, not of {' and '.join(colours)}"
    hots = Counter(c.colour for c in run.conductors if c.role in UNGROUNDED)
    alike = [colour for colour, count in hots.items() if count > 1]
    return f"two hots of run {run.id} are {alike[0]}" if alike else None


def _name_faults(circuit: CircuitPlan, run: Run) -> Iterator[str]:
    """A make, size or circuit line that does not agree with the conductors."""
    insulated = [c for c in run.conductors if c.insulated]
    carrying = [c for c in run.conductors if c.role not in ("ground", "spare")]
    grounds = [c for c in run.conductors if c.role == "ground"]
    sizes = {c.awg for c in carrying}
    if sizes and sizes != {circuit.conductor.awg}:
        listed = ", ".join(sorted(sizes))
        yield f"run {run.id} has {listed} AWG, circuit {circuit.id} says {circuit.conductor.awg}"
    if any(c.awg != circuit.conductor.ground_awg for c in grounds):
        yield f"run {run.id}: its ground is not {circuit.conductor.ground_awg} AWG as its circuit's"
    awg = circuit.conductor.awg
    if run.method == "cable":
        if run.make != f"NM-B {awg}-{len(insulated)}":
            yield f"run {run.id} is called {run.make}, it holds {len(insulated)} x {awg} AWG"
        small = circular_mils(awg) <= circular_mils(LARGEST_WITH_EQUAL_GROUND)
        made_with = awg if small else LARGEST_WITH_EQUAL_GROUND
        if [(c.awg, c.insulated) for c in grounds] not in ([], [(made_with, False)]):
            yield f"run {run.id}: {run.make} has one bare ground of {made_with} AWG"
    elif run.make != f"{single_key(awg, wet=run.wet)} in {', '.join(run.raceways)}" or not all(
        c.insulated for c in carrying
    ):
        yield f"run {run.id} is called {run.make}, it holds {awg} AWG in a raceway"


def _switching(reading: Reading, circuit: CircuitPlan) -> Iterator[Finding]:
    """Outlets that do not hang behind all their switches."""
    for name, says in misplaced(reading, circuit):
        fix = f"run to {name} from the last of its switches"
        yield SWITCHED.finding(name, says, edition=reading.edition, fix=fix)


def colour_fault(run: Run, conductor: Conductor) -> str | None:
    """Why a conductor's colour does not suit its role; None when it does."""
    colour, marked, role = conductor.colour, conductor.marked, conductor.role
    if role == "spare":
        return None
    allowed = {"neutral": NEUTRAL_COLOURS, "ground": GROUND_COLOURS}.get(role, HOT_COLOURS)
    white = colour in NEUTRAL_COLOURS and run.method == "cable"
    may_be_marked = white and role in ("hot", "hot2")  # never a switched return, 200.7(C)(1)
    if colour not in allowed and not may_be_marked:
        return f"{role} of run {run.id} is {colour or 'of no colour'}"
    if may_be_marked and marked not in HOT_COLOURS:
        return f"{role} of run {run.id} is {colour} and not marked as a hot"
    if marked is not None and not may_be_marked:
        return f"{role} of run {run.id} is {colour} and marked {marked} for no reason"
    return None
