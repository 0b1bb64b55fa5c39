"""Boxes where conductors of 4 AWG and larger are pulled, spliced or end: distances inside. Inches.

Which wall a raceway enters by is read from its way. All entries of a wall are taken as one row,
which asks for most. Where entries sit in a wall is not in the plan, nor is the distance to a cover
opposite an entry in the back (Table 312.6(A)).
"""

import re
from collections.abc import Iterator
from typing import Final, NamedTuple

from models.formulas.pull_boxes import (
    angle_pull_in,
    entries_apart_in,
    needs_pull_box,
    straight_pull_in,
    trade_size_for_cable,
    trade_size_in,
)
from models.formulas.raceway_fill import conductor_area_in2
from models.plan import BoxPlan, Finding, Run, Xyz
from models.rules.raceway_bends import directions
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

Direction = tuple[int, int, int]
SAME_IN: Final = 0.02
CABLE_AS: Final = "EMT"  # the raceway that a cable is counted as
_SIDES: Final = re.compile(r"([\d./-]+) x ([\d./-]+)(?: x [\d./-]+| (?:square|round|octagonal))")

SIZE = RuleText(
    "pull-box-size",
    "Size of a pull box",
    "With conductors of 4 AWG and larger a box is 8 times the largest raceway long for a straight"
    " pull, and for an angle, a U or a splice 6 times the largest raceway and the others beside it"
    " from each entry to the wall opposite.",
    "NEC 314.28(A)(1), 314.28(A)(2)",
    "code",
)
ENTRIES = RuleText(
    "pull-box-entries",
    "Entries of a pull box",
    "Two raceways that hold the same conductors of 4 AWG and larger enter a box 6 times the larger"
    " raceway apart; an entry in the back has the bending room of Table 312.6(A) to the cover.",
    "NEC 314.28(A)(2)",
    "code",
)
RULES = registry(SIZE, ENTRIES)


class Entry(NamedTuple):
    """Where a raceway or cable comes into a box: which way it leaves, and its trade size."""

    name: str
    towards: Direction
    trade_size: str


class Pull(NamedTuple):
    """A conductor's way through a box: in by one entry, out by another, or ended in it."""

    entry: Entry
    other: Entry | None

    @property
    def straight(self) -> bool:
        """Whether it goes on the way it came."""
        if self.other is None:
            return False
        return all(a == -b for a, b in zip(self.entry.towards, self.other.towards, strict=True))


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each pull box too small, and what the plan does not show of it."""
    for box in reading.plan.boxes:
        pulls = [
            pull
            for run in (
                *(run for _, run in reading.runs_at.get(box.id, [])),
                *(run for run in reading.plan.rooms if box.id in (run.start, *run.via, run.end)),
            )
            if any(c.insulated and needs_pull_box(c.awg) for c in run.conductors)
            for pull in _pulls(reading, box, run)
        ]
        if pulls:
            yield from _sizes(reading, box, pulls)
            yield from _not_shown(reading, box, pulls)


def _sizes(reading: Reading, box: BoxPlan, pulls: list[Pull]) -> Iterator[Finding]:
    """Each direction in which a box is too short."""
    sides = _sides_in(reading, box)
    if sides is None:
        says = f"the sides of box {box.id} ({box.box}) are not known: its pulls are not checked"
        yield SIZE.finding(
            box.id,
            says,
            edition=reading.edition,
            severity="not-checked",
            fix=f"give the size of {box.id} as width x height x depth",
        )
        return
    for axis, found_in in sides.items():
        least_in, why = max(_least_in(reading, box, pulls, axis), default=(0.0, ""))
        if found_in < least_in - SAME_IN:
            yield SIZE.finding(
                box.id,
                f"box {box.id} ({box.box}) is {found_in:g} in along {'xyz'[axis]}, {why} asks for"
                f" {least_in:g} in",
                edition=reading.edition,
                severity="violation" if box.life == "new" else "warning",
                detail="xyz"[axis],
                found=found_in,
                limit=least_in,
                unit="in",
                fix=f"a larger box at {box.id}",
            )


def _least_in(
    reading: Reading, box: BoxPlan, pulls: list[Pull], axis: int
) -> Iterator[tuple[float, str]]:
    """What each pull along an axis asks for, and in words. [in]"""
    for pull in pulls:
        entry = pull.entry
        if not entry.towards[axis]:
            continue
        if pull.straight and pull.other is not None:
            pair = entry.trade_size, pull.other.trade_size
            yield straight_pull_in(pair), f"the straight pull of {entry.name}"
        else:
            row = [e for e in _entries(reading, box) if e.towards == entry.towards]
            yield (
                angle_pull_in([[e.trade_size for e in row]]),
                f"the pull or splice of {entry.name}",
            )


def _not_shown(reading: Reading, box: BoxPlan, pulls: list[Pull]) -> Iterator[Finding]:
    """Entries whose distance is not in the plan."""
    says = [
        f"{pull.entry.name} and {pull.other.name} enter {box.id} at least"
        f" {entries_apart_in(pull.entry.trade_size, pull.other.trade_size):g} in apart"
        for pull in pulls
        if pull.other is not None and not pull.straight
    ]
    flat = _flat_axis(reading, box)
    says += [
        f"{pull.entry.name} enters {box.id} opposite its cover: see Table 312.6(A) for its depth"
        for pull in pulls
        if pull.entry.towards[flat]
    ]
    for text in dict.fromkeys(says):
        yield ENTRIES.finding(
            box.id,
            text,
            edition=reading.edition,
            severity="not-checked",
            detail=text,
            fix="measure it when the entries are punched",
        )


def _pulls(reading: Reading, box: BoxPlan, run: Run) -> Iterator[Pull]:
    """The ways of a run's conductors through a box, each from every entry."""
    by_name = {entry.name: entry for entry in _entries(reading, box)}
    if run.method == "cable":
        yield Pull(by_name[run.id], None)
        return
    stops = (run.start, *run.via, run.end)
    for place, stop in enumerate(stops):
        if stop == box.id:
            names = run.raceways[max(0, place - 1) : place + 1]
            around = [by_name[name] for name in names if name in by_name]
            if len(around) > 1:
                yield from (Pull(*around), Pull(*around[::-1]))
            else:
                yield from (Pull(entry, None) for entry in around)


def _entries(reading: Reading, box: BoxPlan) -> Iterator[Entry]:
    """Every raceway in use and every cable that comes into a box."""
    for raceway in reading.plan.raceways:
        if raceway.id in reading.plan.raceways_in_use and box.id in (raceway.start, raceway.end):
            path = raceway.path if box.id == raceway.start else raceway.path[::-1]
            yield Entry(raceway.id, _leaves(path), raceway.trade_size)
    for _, run in reading.runs_at.get(box.id, []):
        if run.method == "cable":
            areas = [
                conductor_area_in2(c.awg, "THHN" if c.insulated else "bare") for c in run.conductors
            ]
            path = run.path if box.id == run.start else run.path[::-1]
            yield Entry(run.id, _leaves(path), trade_size_for_cable(CABLE_AS, areas))


def _leaves(path: tuple[Xyz, ...]) -> Direction:
    """The direction in which a way leaves its first point."""
    return next(iter(directions(path)), (0, 0, 0))


def _flat_axis(reading: Reading, box: BoxPlan) -> int:
    """The axis that goes from the back of a box to its cover: out of its wall, or down."""
    place = reading.shop.enclosures.get(box.id)
    if place is None or place.wall is None:
        return 2
    (x0, _), (x1, _) = reading.shop.building.wall_ends(place.wall)
    return 0 if x0 == x1 else 1


def _sides_in(reading: Reading, box: BoxPlan) -> dict[int, float] | None:
    """Length of a box along the two axes that its cover lies in; None when it is not known. [in]

    Width along the wall, then height. How a box lies on a ceiling nobody says: its shorter side
    counts both ways.
    """
    if (sides := _SIDES.fullmatch(box.box)) is None:
        return None
    square = box.box.endswith(("square", "round", "octagonal"))
    width, height = trade_size_in(sides[1]), trade_size_in(sides[1 if square else 2])
    flat = _flat_axis(reading, box)
    if flat == 2:
        return dict.fromkeys((0, 1), min(width, height))
    return {1 - flat: width, 2: height}
