"""New conductors beside existing ones: what they leave of the ampacity of those. Amperes.

Conductors added to a raceway, those too that room is kept for, or a cable pulled through an
opening, heat what is there. What was too hot before is not laid at the door of the new ones.
"""

from collections.abc import Iterator

from models.plan import CircuitPlan, Finding, Run
from models.rules.bundled_cables import FEW_CABLES, cables_through
from models.rules.reading import CARRYING, Reading, amps_text
from models.rules.rule import RuleText, registry

HEATED = RuleText(
    "existing-heated",
    "Existing conductors among new ones",
    "Existing conductors that carry what their breaker allows still do with the new conductors"
    " beside them, in a raceway or through an opening; at 60 °C where nobody has seen them.",
    "NEC 310.15(C)(1), 240.4",
    "code",
    {2017: "NEC 310.15(B)(3)(a), 240.4"},
)
RULES = registry(HEATED)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each existing run that new conductors make too hot."""
    crowds = _crowds(reading)
    for circuit in reading.plan.circuits:
        for run in circuit.runs:
            for place, counts in crowds.items():
                if run.life == "existing" and run.id in counts:
                    yield from _heated(reading, circuit, run, place, counts)


def _crowds(reading: Reading) -> dict[str, dict[str, tuple[int, bool]]]:
    """By raceway and passage, the counted conductors of each run and whether it is new."""
    crowds = {
        raceway: {run.id: (reading.carrying_of(run), run.life == "new") for _, run in inside}
        for raceway, inside in reading.runs_in_raceway.items()
    }
    for raceway, kept in reading.rooms_in_raceway.items():
        crowds.setdefault(raceway, {}).update((run.id, (_drawn(run), True)) for run in kept)
    for passage in reading.shop.routes.passages:
        through = cables_through(reading, passage)
        if len(through) > FEW_CABLES:
            crowds[passage.id] = {
                cable.run.id: (cable.carrying, cable.run.life == "new") for cable in through
            }
    return crowds


def _drawn(run: Run) -> int:
    """Current-carrying conductors of a run that room is kept for."""
    return sum(wire.role in CARRYING for wire in run.conductors)


def _heated(
    reading: Reading,
    circuit: CircuitPlan,
    run: Run,
    place: str,
    counts: dict[str, tuple[int, bool]],
) -> Iterator[Finding]:
    """Whether a run carried its breaker among the old conductors, and no longer does."""
    before = sum(count for count, new in counts.values() if not new)
    after = sum(count for count, _ in counts.values())
    if not _carries(reading, circuit, run, before) or _carries(reading, circuit, run, after):
        return
    ampacity = _ampacity(reading, circuit, run, after)
    yield HEATED.finding(
        run.id,
        f"existing run {run.id} lies among {after} current-carrying conductors in {place}, {before}"
        f" so far, and carries {amps_text(ampacity)} there; breaker {circuit.id} is"
        f" {amps_text(circuit.breaker.amps)}",
        edition=reading.edition,
        detail=place,
        found=circuit.breaker.amps,
        limit=ampacity,
        unit="A",
        fix=f"another way for what is new in {place}",
    )


def _carries(reading: Reading, circuit: CircuitPlan, run: Run, counted: int) -> bool:
    """Whether the breaker may be in front of a run among so many conductors."""
    return circuit.breaker.amps <= reading.allowed_breaker_amps(
        circuit, _ampacity(reading, circuit, run, counted)
    )


def _ampacity(reading: Reading, circuit: CircuitPlan, run: Run, counted: int) -> float:
    """Ampacity of a run where it lies, among so many conductors. [A]"""
    return reading.ampacity(circuit, run, circuit.conductor.awg, counted)
