"""Fault-finding cards to cut out and hang at the panel, at the size they are printed: 6 by 4 in.

Two on a sheet, which fits Letter and A4. A card says what the paper says, and draws the way back: a
square for every box, the far ends first, joined by the runs between them down to the panel. It is
made line by line; what finds no room on one card goes on on the next. Points.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from branchwright import cautions
from branchwright.papers.fault_finding import AFTER, LOOK, OFF, OPEN, Cards, run_words
from branchwright.papers.way_lanes import Crossing, crossings, lanes_of
from branchwright.sheets import styles
from branchwright.sheets.display import (
    Bounds,
    Circle,
    Drawing,
    Group,
    Line,
    Rect,
    Shape,
    Text,
    Thing,
    Xy,
)
from branchwright.sheets.floor_frame import around
from branchwright.sheets.sheet import shop_name, violation_count
from branchwright.sheets.styles import Lettering
from branchwright.sheets.text_size import fitted, folded, text_width, wrapped
from branchwright.spaces import at_spaces
from branchwright.words import amps, clean
from models.answers.way_back import Stop
from models.plan import CircuitPlan, OutletPlan, Plan

CARD: Final = (432.0, 288.0)
ON_A_SHEET: Final = 2
MARGIN: Final = 22.0
WIDTH: Final = 2 * MARGIN + CARD[0]
TOP: Final = 44.0
PAD: Final = 9.0
ROOM: Final = CARD[0] - 2 * PAD
HEAD: Final = 24.0
HOLE: Final = (CARD[0] / 2, 13.0, 5.0)  # to hang it by
TITLE: Final = Lettering(13.0, bold=True)
SMALL: Final = Lettering(7.0)
SOFT: Final = Lettering(7.0, fill=styles.SOFT)
STRONG: Final = Lettering(7.0, bold=True)
STOP: Final = Lettering(11.0, bold=True, fill=styles.ALERT)
LINE: Final = 8.6
CLOSER: Final = 0.955  # lines as close as their letters allow
HEADING: Final = 12.5
BASE: Final = 6.4  # of the letters, below the top of their line
NUMBER: Final = 17.0
LANE: Final = 10.0
LANES: Final = 110.0  # for all of them
BOX: Final = 2.8  # half of a square
NAMES: Final = 58.0  # of boxes, beside their squares
DEAD: Final = 0.45  # of the rest, for what is dead with a box
GAP: Final = 6.0
FOOT_LINE: Final = 9.0
KINDS: Final = {
    LOOK: "LOOK, EVERY COVER ON", OFF: "MAKE DEAD", OPEN: "OPEN, THE FAR END FIRST",
    AFTER: "AFTERWARDS",
}  # fmt: skip
NO_REMEDY: Final = (
    "What trips again has a cause: find it, and leave breaker and ground-fault protection as they"
    " are. Whoever may not work on wiring stops before a cover comes off."
)
HOW_TO_OPEN: Final = (
    "Of two squares on one line, the upper found dead and the lower live: open the upper first."
    " Dead with a square is what stands at its right, and with all above it on its line."
)


def fault_cards(plan: Plan) -> list[Drawing]:
    """Draw the cards of every circuit, two on a sheet."""
    told = Cards(plan)
    cards = [card for circuit in plan.circuits for card in _cards(told, circuit)]
    sheets = [cards[first : first + ON_A_SHEET] for first in range(0, len(cards), ON_A_SHEET)]
    return [_sheet(plan, sheet) for sheet in sheets]


def _sheet(plan: Plan, cards: Sequence["_Card"]) -> Drawing:
    bottom = TOP + CARD[1] * len(cards)
    foot = [line for told in cautions.CAUTIONS for line in wrapped(told, CARD[0], SOFT.size, 2)]
    height = bottom + 16 + FOOT_LINE * len(foot)
    says = f"{len(cards)} fault-finding cards"
    holds = tuple(card.circuit for card in cards)
    drawing = Drawing(WIDTH, height, says, true_size=True, holds=holds)
    head = drawing.layer("head")
    head.add(Text((MARGIN, 24), "Fault-finding cards", TITLE))
    head.add(Text((MARGIN, 36), fitted(shop_name(plan), CARD[0], SOFT.size), SOFT))
    layer = drawing.layer("cards")
    stop = bool(violation_count(plan))
    for number, card in enumerate(cards):
        layer.add(*card.shapes((MARGIN, TOP + number * CARD[1]), stop=stop))
    layer = drawing.layer("foot")
    for number, line in enumerate(foot):
        layer.add(Text((MARGIN, bottom + 14 + FOOT_LINE * number), line, SOFT))
    return drawing


@dataclass(frozen=True)
class _Row:
    """A line of a card: texts with their places from the left, and what crosses it of the way."""

    texts: tuple[tuple[float, str, Lettering], ...]
    height: float = LINE
    crossing: Crossing | None = None
    step: float = LANE  # from lane to lane

    def shapes(self, at: Xy) -> Iterator[Shape]:
        """The line from its upper left corner on."""
        x, y = at
        if self.crossing:
            yield from self._way(self.crossing, (x + NUMBER, y))
        for left, says, look in self.texts:
            yield Text((x + left, y + self.height - LINE + BASE), says, look)

    def _way(self, crossing: Crossing, at: Xy) -> Iterator[Shape]:
        """Runs that go by, and the box of the line with those that come and go."""
        x, y = at
        level = y + LINE / 2

        def lane(number: int) -> float:
            return x + self.step * (number + 0.5)

        for number in crossing.by:
            yield Line((lane(number), y), (lane(number), y + self.height), styles.SYMBOL_LINE)
        if crossing.at is None:
            return
        here = lane(crossing.at)
        for number in crossing.come:
            corner = (lane(number), level)
            yield Line((lane(number), y), corner, styles.SYMBOL_LINE)
            if number != crossing.at:
                yield Line(corner, (here, level), styles.SYMBOL_LINE)
        if crossing.goes:
            yield Line((here, level), (here, y + self.height), styles.SYMBOL_LINE)
        yield Rect(around((here, level), BOX, BOX), styles.SYMBOL)


@dataclass(frozen=True)
class _Card:
    """One card: its title, what stands under it, its lines, and which of a circuit's it is."""

    circuit: str
    title: str
    under: tuple[str, ...]
    rows: tuple[_Row, ...]
    number: int
    of: int

    def shapes(self, at: Xy, *, stop: bool) -> Iterator[Shape]:
        """The card from its upper left corner on."""
        x, y = at
        wide, high = CARD
        yield Rect(Bounds(x, y, x + wide, y + high), styles.SYMBOL)
        yield Circle((x + HOLE[0], y + HOLE[1]), HOLE[2], styles.CUT)
        half = HOLE[0] - HOLE[2] - 2 * PAD
        size = min(TITLE.size, TITLE.size * half / text_width(self.title, TITLE.size, True))
        title = Text((x + PAD, y + 17), self.title, Lettering(size, bold=True))
        yield Group("", [title], about=Thing("circuit", self.circuit))
        if self.of > 1:
            number = f"card {self.number} of {self.of}"
            yield Text((x + wide - PAD, y + 15), number, STRONG, "end")
        if stop:
            place = (x + HOLE[0] + HOLE[2] + PAD, y + 17)
            yield Text(place, cautions.DO_NOT_BUILD, STOP)
        y += HEAD
        for line in self.under:
            yield Text((x + PAD, y + BASE), line, SOFT)
            y += LINE
        for row in self.rows:
            yield from row.shapes((x + PAD, y))
            y += row.height


def _cards(told: Cards, circuit: CircuitPlan) -> list[_Card]:
    """The cards of one circuit: as many lines on each as it holds."""
    spaces = f"{clean(circuit.panel)} {at_spaces(told.reading.plan, circuit)}"
    feeds = folded(clean(circuit.says), ROOM, SOFT.size)
    title = f"{clean(circuit.id)} · {spaces} · {amps(circuit.breaker.amps)} {circuit.volts_text} V"
    rest = _units(told, circuit, spaces)
    ways = [(feeds, rest), (feeds, _closer(rest))]
    filled = min((_filled(*way) for way in ways), key=len)
    if len(filled) == 2:
        filled = next(filter(None, (_way_back_whole(*way) for way in ways)), filled)
    return [
        _Card(circuit.id, title, tuple(under), tuple(rows), number, len(filled))
        for number, (under, rows) in enumerate(filled, start=1)
    ]


_Filled = tuple[list[str], list[_Row]]


def _filled(feeds: list[str], units: list[list[_Row]]) -> list[_Filled]:
    """Cards with what stands under the title of each, and its lines."""
    filled: list[_Filled] = []
    rest = list(units)
    while rest:
        under = feeds if not filled else []
        filled.append((under, _taken(rest, _room(under))))
    return filled


def _way_back_whole(feeds: list[str], units: list[list[_Row]]) -> list[_Filled] | None:
    """Two cards of which the second has all boxes that are opened; None where they find no room."""
    opens = (n for n, unit in enumerate(units) if unit[0].texts[0][1] == KINDS[OPEN])
    if (at := next(opens, 0)) == 0:
        return None
    halves = [list(itertools.chain(*half)) for half in (units[:at], units[at:])]
    filled = list(zip((feeds, []), halves, strict=True))
    fits = all(sum(row.height for row in rows) <= _room(under) for under, rows in filled)
    return filled if fits else None


def _room(under: list[str]) -> float:
    """How high the lines of a card may be, below what stands under its title."""
    return CARD[1] - HEAD - PAD / 2 - LINE * len(under)


def _closer(units: list[list[_Row]]) -> list[list[_Row]]:
    """The same lines a little closer: a card more, for a line or two, is of no use."""
    return [[replace(row, height=CLOSER * row.height) for row in unit] for unit in units]


def _taken(units: list[list[_Row]], left: float) -> list[_Row]:
    """As many units as a height holds, taken from the front; of one too high for any its lines."""
    rows: list[_Row] = []
    while units and sum(row.height for row in units[0]) <= left:
        left -= sum(row.height for row in units[0])
        rows += units.pop(0)
    if not rows:
        most = max(1, int((left - HEADING) / LINE))
        rows, units[0] = units[0][:most], units[0][most:]
    return rows


def _units(told: Cards, circuit: CircuitPlan, spaces: str) -> list[list[_Row]]:
    """The lines of a circuit's cards; those of a unit stay on one, a heading with what follows."""
    steps = told.steps(circuit)
    everything = steps[0].dead
    stops = [step.stop for step in steps if step.stop]
    ways = list(crossings(stops, circuit.panel))
    table = _Table(told, min(LANE, LANES / lanes_of(ways)), lanes_of(ways))
    units: list[list[_Row]] = []
    first, opened = "", 0
    for number, step in enumerate(steps, start=1):
        unit: list[_Row] = []
        if step.first != first:
            first = step.first
            unit.append(_Row(((0.0, KINDS[first], STRONG),), HEADING))
            unit += _said(HOW_TO_OPEN, SOFT, 0.0) if first == OPEN and len(stops) > 1 else ()
        if step.stop:
            dead = told.dead_words(_own(step.stop, stops))
            unit += table.rows(str(number), step.stop, dead, ways[opened])
            opened += 1
            if opened == len(stops):
                unit += table.panel(f"{spaces}: {cautions.LUGS_STAY_LIVE}", ways[-1])
        else:
            again = step.dead == everything
            dead = "the whole circuit" * (number > 1) if again else step.dead
            says = f"{clean(step.at)}: {step.says}" + (f" Dead with it: {dead}." if dead else "")
            unit += _said(says, SMALL, NUMBER, str(number))
        units.append(unit)
    return [*units, list(_said(NO_REMEDY, SOFT, 0.0))]


def _own(stop: Stop, stops: Sequence[Stop]) -> list[OutletPlan]:
    """What is dead with a box, without what is dead with one further out already."""
    further = {
        outlet.id
        for other in stops
        if other is not stop and stop.box in other.way
        for outlet in other.dead
    }
    return [outlet for outlet in stop.dead if outlet.id not in further]


def _said(words: str, look: Lettering, indent: float, number: str = "") -> Iterator[_Row]:
    """A sentence in as many lines as it takes, with a number before the first."""
    for place, line in enumerate(folded(words, ROOM - indent, look.size)):
        before = ((0.0, number, STRONG),) if number and place == 0 else ()
        yield _Row((*before, (indent, line, look)))


@dataclass(frozen=True)
class _Table:
    """The boxes to open in columns: number, way, box, run to the next one, what is dead with it."""

    told: Cards
    step: float  # from lane to lane
    lanes: int

    @property
    def _columns(self) -> tuple[float, float, float]:
        """Where names, runs, and what is dead begin."""
        names = NUMBER + self.step * self.lanes + 3
        runs = names + NAMES
        return names, runs, runs + (1 - DEAD) * (ROOM - runs)

    def rows(self, number: str, stop: Stop, dies: str, way: Crossing) -> Iterator[_Row]:
        """The lines of one box."""
        names, runs, dead = self._columns
        run = run_words(stop.run) if stop.run else "its way back is on no record"
        if self.told.needs_ladder(stop):
            run = f"by a ladder; {run}"
        cells = (
            (names, folded(clean(stop.box), NAMES - GAP, STRONG.size, True), STRONG),
            (runs, folded(run, dead - runs - GAP, SMALL.size), SMALL),
            (dead, folded(dies, ROOM - dead, SMALL.size), SMALL),
        )
        for line in range(max(len(lines) for _, lines, _ in cells)):
            texts = [(x, lines[line], look) for x, lines, look in cells if line < len(lines)]
            if line == 0:
                texts.insert(0, (0.0, number, STRONG))
            yield _Row(tuple(texts), LINE, way if line == 0 else way.below(), self.step)

    def panel(self, says: str, way: Crossing) -> Iterator[_Row]:
        """The last line: the panel."""
        names = self._columns[0]
        for place, line in enumerate(folded(says, ROOM - names, STRONG.size, True)):
            texts = ((names, line, STRONG),)
            yield _Row(texts, LINE, way if place == 0 else None, self.step)
