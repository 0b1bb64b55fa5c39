"""Runs on the floor plan: their true places, side by side where several share one line.

A path is projected onto the floor (rises and drops vanish) and cut into straight pieces. Pieces
on one line that overlap get lanes of their own: in a wall outwards from its inner face, shortest
nearest to the room, so that a run that ends first need not cross the others; elsewhere on both
sides of the true line.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from branchwright.sheets.display import Xy
from branchwright.sheets.floor_frame import FIRST_LANE, LANE, LEAST_BAND, Frame, Side
from models.plan import Plan, RacewayPlan, Run
from models.plan.later_machines import LaterCircuit

Where = Literal["wall", "ceiling", "raceway", "unknown"]
TOUCH: Final = 1.0
CEILING_NEAR_FT: Final = 0.05


@dataclass(eq=False)
class Piece:
    """A straight piece of a run on paper; `shift` is filled in by its lane."""

    start: Xy
    end: Xy
    where: Where
    side: Side | None
    lane: int = 0
    shift: Xy = (0.0, 0.0)

    @property
    def level(self) -> bool:
        """Left to right on paper."""
        return abs(self.start[1] - self.end[1]) < abs(self.start[0] - self.end[0])

    @property
    def line(self) -> tuple[bool, float, str]:
        """The line it lies on: what shares this, may lie on it."""
        across = self.start[1] if self.level else self.start[0]
        return self.level, round(across, 1), self.side.id if self.side else ""

    @property
    def span(self) -> tuple[float, float]:
        """Its ends along its line."""
        along = 0 if self.level else 1
        low, high = sorted((self.start[along], self.end[along]))
        return low, high

    @property
    def length(self) -> float:
        """Length on paper."""
        return self.span[1] - self.span[0]


@dataclass(eq=False)
class DrawnRun:
    """A run with its pieces; `circuit` is None for a raceway that holds nothing, and for what is
    pulled now for a machine that may come: `later`.
    """

    id: str
    circuit: str | None
    start: str
    end: str
    raceways: tuple[str, ...]
    pieces: list[Piece]
    later: bool = False
    start_offset: float = 0.0
    end_offset: float = 0.0
    stretches: list[tuple[Where, list[Xy]]] = field(default_factory=list)

    @property
    def points(self) -> list[Xy]:
        """The whole run on paper, from start to end."""
        return _without_repeats([point for _, points in self.stretches for point in points])


def _pieces(frame: Frame, run: Run | RacewayPlan | LaterCircuit, method: str) -> list[Piece]:
    """Cut a path into straight pieces on paper; neighbours of one line and place are joined."""
    pieces: list[Piece] = []
    for first, last in zip(run.path, run.path[1:], strict=False):
        start, end = frame.at(*first[:2]), frame.at(*last[:2])
        if abs(start[0] - end[0]) + abs(start[1] - end[1]) < 0.01:
            continue
        middle = (first[0] + last[0]) / 2, (first[1] + last[1]) / 2
        ceiling_ft = frame.building.climate_at(*middle).ceiling_ft
        high = min(first[2], last[2]) >= ceiling_ft - CEILING_NEAR_FT
        cable: Where = "ceiling" if high else "wall"
        where: Where = cable if method == "cable" else _other(method)
        piece = Piece(start, end, where, frame.side_of(start, end))
        before = pieces[-1] if pieces else None
        if (
            before
            and (before.line, before.where) == (piece.line, piece.where)
            and _onward(before, piece)
        ):
            before.end = piece.end
        else:
            pieces.append(piece)
    return pieces


def _other(method: str) -> Where:
    """Where a run lies that is no cable."""
    return "raceway" if method == "raceway" else "unknown"


def _onward(before: Piece, piece: Piece) -> bool:
    """Whether a piece goes on in the direction of the one before."""
    along = 0 if piece.level else 1
    return (before.end[along] - before.start[along]) * (piece.end[along] - piece.start[along]) > 0


def drawn_runs(plan: Plan, frame: Frame) -> list[DrawnRun]:
    """Every run of every circuit, every raceway that none of them uses, and what is laid now for
    machines that may come; lanes given.
    """
    runs = [
        DrawnRun(run.id, circuit.id, run.start, run.end, run.raceways, pieces)
        for circuit in plan.circuits
        for run in circuit.runs
        if (pieces := _pieces(frame, run, run.method))
    ]
    used = {raceway for run in runs for raceway in run.raceways}
    runs += [
        DrawnRun(raceway.id, None, raceway.start, raceway.end, (raceway.id,), pieces)
        for raceway in plan.raceways
        if raceway.id not in used and (pieces := _pieces(frame, raceway, "raceway"))
    ]
    runs += [
        DrawnRun(run.id, None, run.start, run.end, run.raceways, pieces, later=True)
        for run in plan.later_runs
        if (pieces := _pieces(frame, run, run.method))
    ]
    runs += [
        DrawnRun(one.machine, None, one.panel or "", one.box or "", (one.machine,), pieces)
        for one in plan.later_machines or ()
        if one.raceway and one.circuit and (pieces := _pieces(frame, one.circuit, "raceway"))
    ]
    _give_lanes(runs)
    return runs


def band_width(runs: Iterable[DrawnRun]) -> float:
    """How wide the walls must be drawn to show the runs in them."""
    lanes = [piece.lane for run in runs for piece in run.pieces if piece.side]
    return max(LEAST_BAND, 2 * FIRST_LANE + LANE * max(lanes, default=0))


def _give_lanes(runs: list[DrawnRun]) -> None:
    """Give each piece the first lane that is free along all of it, and the shift to it."""
    lines: dict[tuple[bool, float, str], list[tuple[DrawnRun, Piece]]] = defaultdict(list)
    for run in runs:
        for piece in run.pieces:
            lines[piece.line].append((run, piece))
    for members in lines.values():
        for group in _overlapping(members):
            lanes = _first_free(group)
            for (_, piece), lane in zip(group, lanes, strict=True):
                piece.lane = lane
                piece.shift = _shift(piece, lane, max(lanes))


def _overlapping(members: list[tuple[DrawnRun, Piece]]) -> list[list[tuple[DrawnRun, Piece]]]:
    """Split what lies on one line into groups that do not touch each other."""
    groups: list[list[tuple[DrawnRun, Piece]]] = []
    reach = float("-inf")
    for member in sorted(members, key=lambda member: (member[1].span, member[0].id)):
        if not groups or member[1].span[0] > reach - TOUCH:
            groups.append([])
        groups[-1].append(member)
        reach = max(reach, member[1].span[1])
    return groups


def _first_free(group: list[tuple[DrawnRun, Piece]]) -> list[int]:
    """The lowest free lane of each piece; raceways keep together, short ones go first."""
    order = sorted(
        range(len(group)),
        key=lambda i: (group[i][0].raceways, round(group[i][1].length, 1), group[i][0].id, i),
    )
    taken: list[list[tuple[float, float]]] = []
    lanes = [0] * len(group)
    for index in order:
        low, high = group[index][1].span
        free = (
            lane
            for lane, spans in enumerate(taken)
            if all(high <= first + TOUCH or low >= last - TOUCH for first, last in spans)
        )
        lanes[index] = next(free, len(taken))
        if lanes[index] == len(taken):
            taken.append([])
        taken[lanes[index]].append((low, high))
    return lanes


def _shift(piece: Piece, lane: int, highest: int) -> Xy:
    """From the true line to a lane."""
    if piece.side:
        out = FIRST_LANE + LANE * lane
        return piece.side.outward[0] * out, piece.side.outward[1] * out
    across = (lane - highest / 2) * LANE
    return (0.0, across) if piece.level else (across, 0.0)


def route(run: DrawnRun, start: Xy, end: Xy) -> None:
    """Fill in the points of a run between the symbols at its ends.

    `start` and `end` are where the symbols stand; the offsets along the wall that the ends got
    keep several runs of one box apart.
    """
    joints = [_joint(*pair) for pair in zip(run.pieces, run.pieces[1:], strict=False)]
    first, last = run.pieces[0], run.pieces[-1]
    joints.insert(0, _leave(first, first.start, start, run.start_offset))
    joints.append(_leave(last, last.end, end, run.end_offset)[::-1])
    for index, piece in enumerate(run.pieces):
        closing = joints[index + 1] if piece is last else joints[index + 1][:1]
        run.stretches.append((piece.where, _without_repeats(joints[index] + closing)))


def _joint(before: Piece, after: Piece) -> list[Xy]:
    """Where two shifted pieces meet: a corner, or a jog when both lie on one line."""
    x, y = before.end
    if before.level == after.level:
        shifts = (before.shift, after.shift)
        return [(x + shift[0], y + shift[1]) for shift in shifts]
    return [(x + before.shift[0] + after.shift[0], y + before.shift[1] + after.shift[1])]


def _leave(piece: Piece, place: Xy, symbol: Xy, offset: float) -> list[Xy]:
    """From a symbol out to the lane of the piece that begins (or ends) at its place."""
    if not piece.side:
        offset, place = 0.0, symbol
    if piece.level:
        along = place[0] + offset
        return [(along, symbol[1]), (along, piece.start[1] + piece.shift[1])]
    along = place[1] + offset
    return [(symbol[0], along), (piece.start[0] + piece.shift[0], along)]


def _without_repeats(points: Sequence[Xy]) -> list[Xy]:
    """Points without neighbours at the same place."""
    kept: list[Xy] = []
    for point in points:
        if not kept or abs(point[0] - kept[-1][0]) + abs(point[1] - kept[-1][1]) > 0.01:
            kept.append(point)
    return kept
