"""Labels of the floor plan: what each says, which point it belongs to, where it may stand."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Final, TypeVar

from branchwright.sheets import styles
from branchwright.sheets.display import Group, Line, Polyline, Rect, Text, Thing, Xy
from branchwright.sheets.floor_frame import distance, point_along, polyline_length, shifted
from branchwright.sheets.floor_runs import DrawnRun
from branchwright.sheets.floor_symbols import Placed, draw_marker
from branchwright.sheets.label_places import Place, Places, Target
from branchwright.sheets.styles import Lettering
from branchwright.sheets.text_size import ASCENT_EM, DESCENT_EM, fitted, text_width
from branchwright.words import clean, plain
from models.plan import CircuitPlan

LONGEST_LABEL: Final = 150.0
TAG_HEIGHT, TAG_PAD = 16.0, 6.0
ARROW_BACK, ARROW_LONG, ARROW_WIDE = 13.0, 8.0, 3.4
TAG_STEPS: Final = (0.0, 5.0, 10.0, 22.0, 48.0, 85.0, 130.0)

Try = TypeVar("Try")
Drawn = TypeVar("Drawn")


class NoRoomError(Exception):
    """A label found no room on a drawing that is to have them all."""


def with_room(tries: Sequence[Try], draw: Callable[[Try, bool], Drawn]) -> Drawn:
    """The first of some tries in which every label has room; the last without those that have none.

    `draw` is given a try, and whether it has to have every label.
    """
    for one in tries[:-1]:
        with suppress(NoRoomError):
            return draw(one, True)
    return draw(tries[-1], False)


@dataclass
class Labels:
    """Sets labels into a layer; `every_one`: the first without room ends it (NoRoomError)."""

    places: Places
    layer: Group
    leaders: Group
    every_one: bool

    def lines(
        self,
        name: str,
        texts: Iterable[tuple[str, Lettering]],
        targets: list[Target],
        of: frozenset[str] = frozenset(),
        about: Thing | None = None,
    ) -> None:
        """Set a label of one or more lines, which belongs to these circuits and names a thing."""
        cut = [(fitted(clean(t), LONGEST_LABEL, s.size, s.bold), s) for t, s in texts if t]
        width = max(text_width(text, style.size, style.bold) for text, style in cut)
        height = sum((ASCENT_EM + DESCENT_EM) * style.size for _, style in cut)
        place = self._put(name, targets, width, height)
        if place is None:
            return
        group = Group("", of=of, about=about)
        self.layer.add(group)
        self._lead(place, of=of)
        middle, y = (place.bounds.left + place.bounds.right) / 2, place.bounds.top
        for text, style in cut:
            group.add(Text((middle, y + ASCENT_EM * style.size), text, style, "middle"))
            y += (ASCENT_EM + DESCENT_EM) * style.size

    def home_run(self, circuit: CircuitPlan, index: int, run: DrawnRun, end: Placed | None) -> None:
        """An arrow on a home run, pointing to the panel, and a tag with circuit and amperes."""
        colour = styles.circuit_colour(index)
        lettering = styles.coloured(styles.STRONG, colour)
        pair = f"{circuit.id} + {circuit.multiwire_with}" if circuit.multiwire_with else circuit.id
        text = f"{fitted(clean(pair), LONGEST_LABEL, 11, True)}"
        amps = f"{plain(circuit.breaker.amps, 1)} A"
        wide = text_width(text, 11, True)
        width = TAG_PAD * 2 + 11 + wide + 5 + text_width(amps, 9.5)
        back = list(reversed(run.points))
        length = polyline_length(back)
        clear = _clear_of(back, end)
        spots = [clear + ARROW_BACK + step for step in TAG_STEPS]
        spots = [spot for spot in spots if spot <= length - ARROW_LONG and _straight(back, spot)]
        spots = spots or [length / 2]
        targets = []
        for spot in spots:
            point, way = point_along(back, spot)
            targets += [Target(point, 3, 3, (way[1], -way[0]), (spot - clear) * 0.12)]
        place = self._put(circuit.id, targets, width, TAG_HEIGHT)
        if place is None:
            return
        chosen = next(i for i, target in enumerate(targets) if target.point == place.anchor)
        point, way = point_along(back, spots[chosen])
        of = frozenset([circuit.id, *([circuit.multiwire_with] if circuit.multiwire_with else [])])
        group = Group("", of=of, about=Thing("circuit", circuit.id))
        self.layer.add(group)
        self._lead(place, always=place.away > 3, of=of)
        group.add(_arrow(point, way, colour))
        left, top, _, _ = place.bounds
        group.add(Rect(place.bounds, styles.TAG, TAG_HEIGHT / 2))
        group.add(*draw_marker(index, (left + TAG_PAD + 3.5, top + TAG_HEIGHT / 2)))
        x, y = left + TAG_PAD + 11, top + 11.8
        group.add(Text((x, y), text, lettering))
        group.add(Text((x + wide + 5, y), amps, styles.SMALL_INK))

    def _put(self, name: str, targets: list[Target], width: float, height: float) -> Place | None:
        """A place for a label; None where there is none and it may be left out."""
        place = self.places.put(targets, width, height)
        if place is None and self.every_one:
            raise NoRoomError(name)
        return place

    def _lead(self, place: Place, always: bool = False, of: frozenset[str] = frozenset()) -> None:
        """A thin line from the point to a label that stands away from it."""
        if always or place.needs_leader:
            self.leaders.add(Group("", [Line(*place.leader, styles.LEADER)], of))


def _clear_of(back: list[Xy], end: Placed | None) -> float:
    """How far along a run from its end it comes out from under the symbol there."""
    if end is None:
        return 0.0
    left, top, right, bottom = end.bounds
    length = polyline_length(back)
    spot = 0.0
    while spot < length:
        (x, y), _ = point_along(back, spot)
        if not (left - 1 <= x <= right + 1 and top - 1 <= y <= bottom + 1):
            return spot
        spot += 1.0
    return 0.0


def _straight(points: list[Xy], spot: float) -> bool:
    """Whether an arrow about a spot lies on one straight piece."""
    reach = ARROW_LONG / 2 + 1
    return point_along(points, spot - reach)[1] == point_along(points, spot + reach)[1]


def _arrow(point: Xy, way: Xy, colour: str) -> Polyline:
    """An arrowhead about a point."""
    tip = shifted(point, way, ARROW_LONG / 2)
    base = shifted(point, way, -ARROW_LONG / 2)
    across = (-way[1], way[0])
    wings = shifted(base, across, ARROW_WIDE), shifted(base, across, -ARROW_WIDE)
    return Polyline((tip, *wings), styles.Style(fill=colour), True)


def end_marks(index: int, run: DrawnRun, symbols: dict[str, Placed]) -> Iterator[tuple[int, Xy]]:
    """Where a run comes out from under the symbols at its ends: its circuit's mark goes there."""
    for points, end in ((run.points, run.start), (run.points[::-1], run.end)):
        clear = _clear_of(points, symbols.get(end))
        if distance(points[0], points[-1]) > 1:
            yield index, point_along(points, clear + 2.5)[0]
