"""Nonmetallic cables together: through a passage, and side by side along the same way. Amperes.

Current-carrying conductors of all cables that touch are counted together (Table 310.15(C)(1)): of
more than two cables in one opening, which may be sealed, and of cables bundled over more than 24
in. Cables laid apart are not bundled; the plan says that they are, and here is where it matters.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from itertools import groupby, pairwise
from operator import itemgetter
from typing import Final, NamedTuple

from models.formulas.ampacity import ampacity_amps
from models.naming import natural
from models.plan import CircuitPlan, Finding, Run, Xyz
from models.rules.reading import CARRYING, CONTINUOUS, Reading, amps_text, is_shared
from models.rules.rule import SAME_FT, RuleText, registry
from models.shop import Passage
from models.spaces import hottest_c

FEW_CABLES: Final = 2  # 334.80
BUNDLED_FT: Final = 2.0  # 24 in, 310.15(C)(1)
ACROSS: Final = (1, 0, 0)  # of what follows an axis, the axis by which it is looked up
Leg = tuple[Xyz, Xyz]

PASSAGE = RuleText(
    "cables-in-passage",
    "Cables through one opening",
    "More than two nonmetallic cables through one opening, which may be sealed, are adjusted for"
    " all their conductors together; no more of them than the passage takes.",
    "NEC 334.80, 310.15(C)(1)",
    "code",
    {2017: "NEC 334.80, 310.15(B)(3)(a)"},
)
BUNDLE = RuleText(
    "cables-bundled",
    "Cables side by side",
    "Cables that follow one way for more than 24 in are kept apart where their conductors would"
    " not carry enough if they were bundled.",
    "NEC 310.15(C)(1)",
    "code",
    {2017: "NEC 310.15(B)(3)(a)"},
)
RULES = registry(PASSAGE, BUNDLE)


class Cable(NamedTuple):
    """A cable run and its circuit."""

    circuit: CircuitPlan
    run: Run
    carrying: int

    @classmethod
    def of(cls, circuit: CircuitPlan, run: Run) -> "Cable":
        """A run with its current-carrying conductors counted."""
        paired = circuit.multiwire_with is not None and is_shared(run)
        return cls(circuit, run, sum(c.role in CARRYING for c in run.conductors) - paired)


class Piece(NamedTuple):
    """A straight piece of a cable's way and every cable that lies along it."""

    start: Xyz
    end: Xyz
    cables: tuple[Cable, ...]
    carrying: int  # current-carrying conductors of all of them

    @property
    def length_ft(self) -> float:
        """How long it is. [ft]"""
        return _apart_ft(self.start, self.end)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each passage too full or too hot, and for each bundle to avoid."""
    for passage in reading.shop.routes.passages:
        yield from _in_passage(reading, passage, cables_through(reading, passage))
    yield from _bundles(reading, [c for c in _cables(reading) if c.run.method == "cable"])


def _cables(reading: Reading) -> list[Cable]:
    """Every cable, and what nobody has seen and may be one."""
    return [
        Cable.of(circuit, run)
        for circuit in reading.plan.circuits
        for run in circuit.runs
        if not run.raceways
    ]


# -- passages


def cables_through(reading: Reading, passage: Passage) -> list[Cable]:
    """Cables whose way goes through a passage; those nobody has seen where they are drawn."""
    place = passage_place(reading, passage)
    return [
        cable for cable in _cables(reading) if any(_on(place, *leg) for leg in _legs(cable.run))
    ]


def passage_place(reading: Reading, passage: Passage) -> Xyz:
    """Where a passage is; without a height it is at the ceiling. [ft]"""
    x, y, z = reading.shop.position(passage)
    if passage.height_ft is None:
        z = min(climate.ceiling_ft for climate in reading.shop.building.climates_at(x, y))
    return x, y, z


def _in_passage(reading: Reading, passage: Passage, through: list[Cable]) -> Iterator[Finding]:
    """What is wrong with the cables in one opening."""
    if len(through) > passage.takes:
        yield PASSAGE.finding(
            passage.id,
            f"{len(through)} cables go through passage {passage.id}, it takes {passage.takes}",
            edition=reading.edition,
            detail="takes",
            found=float(len(through)),
            limit=float(passage.takes),
            fix="another passage, or another way for some of "
            + ", ".join(cable.run.id for cable in through),
        )
    counted = sum(cable.carrying for cable in through)
    for cable in through if len(through) > FEW_CABLES else ():
        ampacity = _ampacity_amps(reading, cable, counted, reading.ambient_c(cable.run))
        if _suits(reading, cable, ampacity):
            continue
        yield PASSAGE.finding(
            cable.run.id,
            f"run {cable.run.id} is one of {len(through)} cables in passage {passage.id}, with"
            f" {counted} current-carrying conductors, and carries {amps_text(ampacity)} there;"
            f" breaker {cable.circuit.id} is {amps_text(cable.circuit.breaker.amps)}",
            edition=reading.edition,
            detail=passage.id,
            found=cable.circuit.breaker.amps,
            limit=ampacity,
            unit="A",
            fix="fewer cables in one opening, or larger conductors",
        )


# -- bundles


def _bundles(reading: Reading, cables: list[Cable]) -> Iterator[Finding]:
    """Cables that would not carry enough if they were laid against each other, once a set."""
    hot: dict[tuple[str, ...], list[tuple[float, Cable]]] = {}
    lines = _Lines(cables)
    for cable in cables:
        bundles = [
            (_ampacity_amps(reading, cable, piece.carrying, ambient_c), piece)
            for piece, ambient_c in _bundled(reading, _pieces(cable, lines))
        ]
        ampacity, worst = min(bundles, key=lambda found: found[0], default=(0.0, None))
        if worst is not None and not _suits(reading, cable, ampacity):
            together = tuple(sorted((other.run.id for other in worst.cables), key=natural))
            hot.setdefault(together, []).append((ampacity, cable))
    for together, found in hot.items():
        ampacity, cable = min(found, key=lambda pair: pair[0])
        yield BUNDLE.finding(
            cable.run.id,
            f"cables {', '.join(together)} follow one way for more than 24 in: bundled, run"
            f" {cable.run.id} would carry {amps_text(ampacity)}, breaker {cable.circuit.id} is"
            f" {amps_text(cable.circuit.breaker.amps)}",
            edition=reading.edition,
            severity="note",
            detail=" ".join(together),
            found=cable.circuit.breaker.amps,
            limit=ampacity,
            unit="A",
            fix="lay them apart, each fastened by itself",
        )


def _bundled(reading: Reading, pieces: list[Piece]) -> Iterator[tuple[Piece, float]]:
    """The least full piece of each stretch longer than 24 in, and the heat along it. [°C]"""
    for least in sorted({piece.carrying for piece in pieces if len(piece.cables) > 1}):
        fullness = [piece.carrying >= least for piece in pieces]
        for full, group in groupby(zip(fullness, pieces, strict=True), key=itemgetter(0)):
            stretch = [piece for _, piece in group]
            if full and sum(piece.length_ft for piece in stretch) > BUNDLED_FT + SAME_FT:
                path = [stretch[0].start, *(piece.end for piece in stretch)]
                ambient_c = hottest_c(reading.shop.building, path, "cable")
                yield min(stretch, key=lambda piece: piece.carrying), ambient_c


def _pieces(cable: Cable, lines: "_Lines") -> list[Piece]:
    """The way of a cable, cut wherever another one joins it or leaves it."""
    made = []
    for start, end in _legs(cable.run):
        beside = lines.beside(start, end)
        ends = {point for _, leg in beside for point in leg if _on(point, start, end)}
        stops = sorted({start, *ends, end}, key=partial(_apart_ft, start))
        for a, b in pairwise(stops):
            along = [other for other, leg in beside if _on(a, *leg) and _on(b, *leg)]
            unique = {other.run.id: other for other in along}.values()
            made.append(Piece(a, b, tuple(unique), sum(other.carrying for other in unique)))
    return [piece for piece in made if piece.length_ft > SAME_FT]


class _Lines:
    """Straight parts of cables by the axis that they follow, and across it in order."""

    def __init__(self, cables: Iterable[Cable]) -> None:
        self._along: tuple[list[tuple[float, int, Cable, Leg]], ...] = ([], [], [])
        legs = [(cable, leg) for cable in cables for leg in _legs(cable.run)]
        for number, (cable, leg) in enumerate(legs):
            axis = _axis(leg)
            self._along[axis].append((leg[0][ACROSS[axis]], number, cable, leg))
        for parts in self._along:
            parts.sort(key=itemgetter(0, 1))

    def beside(self, start: Xyz, end: Xyz) -> list[tuple[Cable, Leg]]:
        """Parts that follow some of a straight part, on its line."""
        axis = _axis((start, end))
        parts, across = self._along[axis], start[ACROSS[axis]]
        low = bisect_left(parts, across - SAME_FT, key=itemgetter(0))
        high = bisect_right(parts, across + SAME_FT, key=itemgetter(0))
        return [
            (cable, leg)
            for _, _, cable, leg in sorted(parts[low:high], key=itemgetter(1))
            if any(_on(point, start, end) for point in leg)
            or all(_on(point, *leg) for point in (start, end))
        ]


# -- ways and currents


def _axis(leg: Leg) -> int:
    """The axis that a straight part follows."""
    return max(range(3), key=lambda axis: abs(leg[1][axis] - leg[0][axis]))


def _legs(run: Run) -> Sequence[Leg]:
    """The straight parts of a run."""
    return list(pairwise(run.path))


def _on(point: Xyz, start: Xyz, end: Xyz) -> bool:
    """Whether a point lies on a straight part."""
    for p, a, b in zip(point, start, end, strict=True):  # asked very often: no generator
        if not min(a, b) - SAME_FT <= p <= max(a, b) + SAME_FT:
            return False
    return True


def _apart_ft(a: Xyz, b: Xyz) -> float:
    """Distance along the axes. [ft]"""
    return sum(abs(p - q) for p, q in zip(a, b, strict=True))


def _ampacity_amps(reading: Reading, cable: Cable, counted: int, ambient_c: float) -> float:
    """Ampacity of a cable among so many conductors. [A]"""
    return ampacity_amps(
        cable.circuit.conductor.awg,
        ambient_c=ambient_c,
        current_carrying=counted,
        material=cable.circuit.conductor.material,
    )


def _suits(reading: Reading, cable: Cable, ampacity: float) -> bool:
    """Whether a new cable of this ampacity suits its circuit; what is there is not judged.

    Where the breaker may be larger than the conductor by itself, as for a motor, the ampacity is
    held against 125 % of all that runs, the stricter sum.
    """
    circuit = cable.circuit
    if cable.run.life != "new":
        return True
    alone = _ampacity_amps(reading, cable, cable.carrying, reading.ambient_c(cable.run))
    if circuit.breaker.amps <= reading.allowed_breaker_amps(circuit, alone):
        return circuit.breaker.amps <= reading.allowed_breaker_amps(circuit, ampacity)
    worst = reading.worst_on(circuit)
    return worst is None or CONTINUOUS * worst.amps <= ampacity
