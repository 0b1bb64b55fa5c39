"""The way back of a circuit as lines beside each other: which go by a box, come to it, and go on.

Boxes stand one below the other, the far ends first, each above the one that feeds it, the panel
last. A box has the lane of the first that it feeds, or the first free one.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from models.answers.way_back import Stop


class Crossing(NamedTuple):
    """What is drawn beside a box: the lanes that go by, its own, those that come; if its goes on.

    Beside a line of words without a box `at` is None.
    """

    by: tuple[int, ...]
    at: int | None = None
    come: tuple[int, ...] = ()
    goes: bool = False

    def below(self) -> "Crossing":
        """What goes by further down beside the same box."""
        on = {self.at} if self.goes and self.at is not None else set()
        return Crossing(tuple(sorted({*self.by, *on})))


def crossings(stops: Sequence[Stop], panel: str) -> Iterator[Crossing]:
    """One for every box, and the last for the panel."""
    open_to: dict[int, str] = {}  # of each lane in use the box that it leads to
    for stop in stops:
        yield _crossing(open_to, stop.box, stop.feeder)
    yield _crossing(open_to, panel, "")


def _crossing(open_to: dict[int, str], here: str, feeder: str) -> Crossing:
    come = tuple(sorted(lane for lane, to in open_to.items() if to == here))
    for lane in come:
        del open_to[lane]
    by = tuple(sorted(open_to))
    free = (lane for lane in range(len(by) + 1) if lane not in open_to)
    lane = come[0] if come else next(free)
    if feeder:
        open_to[lane] = feeder
    return Crossing(by, lane, come, bool(feeder))


def lanes_of(ways: Sequence[Crossing]) -> int:
    """How many lanes there are."""
    return 1 + max(max((*way.by, way.at or 0)) for way in ways)
