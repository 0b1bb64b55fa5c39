"""Cross-sections of the raceways: what lies in each, to scale, and the room that is left.

Inside diameters and conductors as the tables of chapter 9 print them, all raceways at one scale.
How conductors come to lie nobody knows: they are drawn at the bottom. Inches.
"""

from collections.abc import Generator, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from branchwright.measures import length_words, small_steps, square_mm
from branchwright.sheets import styles
from branchwright.sheets.cell_sheet import LEFT, ROOM, TOP, WIDTH, cell_sheet
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
from branchwright.sheets.flow import in_sheets, row_height
from branchwright.sheets.raceway_ledger import ledgers
from branchwright.sheets.raceway_packing import packed
from branchwright.sheets.text_size import fitted, wrapped
from branchwright.words import clean, joined, plain
from models.changeovers import later_machine_of
from models.formulas.raceway_fill import conductor_diameter_in, inside_diameter_in
from models.plan import NOW, Conductor, Content, Ledger, Plan, RacewayPlan

CELL: Final = ROOM / 2
LARGEST: Final = 170.0  # points across the widest raceway
MOST_SCALE: Final = 150.0  # points to the inch
LIST_ROW: Final = 15.0
WALL: Final = styles.RACEWAY_WALL.width
CELL_HEAD, BAR = 38.0, 82.0
RING: Final = 2.4
INSULATED: Final = "THHN"  # of this size like THWN-2
LEGEND: Final = 76.0
MOST_HEIGHT: Final = 620.0  # of the sections on one sheet
INCHES_TO_THE_FOOT: Final = 12
NUMBER: Final = styles.Lettering(8.0, bold=True)
NUMBER_ON_DARK: Final = styles.Lettering(8.0, bold=True, fill=styles.PAPER)
HOTS: Final = ("hot", "hot2", "switched", "traveller", "traveller2")


@dataclass(frozen=True)
class _Section:
    """One raceway at one stage, drawn with so many points to the inch."""

    raceway: RacewayPlan
    ledger: Ledger
    scale: float

    @property
    def across(self) -> float:
        """Its inside on paper."""
        return _inside_in(self.raceway) * self.scale

    @property
    def wires(self) -> list[tuple[int, Conductor]]:
        """Every conductor with the number of its run, from 1."""
        contents = enumerate(self.ledger.contents, start=1)
        return [(number, wire) for number, content in contents for wire in content.conductors]

    @property
    def to_come(self) -> frozenset[int]:
        """The numbers of runs that room is kept for."""
        contents = enumerate(self.ledger.contents, start=1)
        return frozenset(n for n, one in contents if one.circuit.startswith(later_machine_of("")))

    @property
    def height(self) -> float:
        """Room on paper."""
        rows = LIST_ROW * (1 + len(self.ledger.contents))
        return CELL_HEAD + max(self.across + 10, rows) + BAR


def _inside_in(raceway: RacewayPlan) -> float:
    return inside_diameter_in(raceway.kind, raceway.trade_size)


def raceway_sections(plan: Plan) -> list[Drawing]:
    """Draw a section for each raceway and stage, two beside each other, on sheets of one scale."""
    found = ledgers(plan)
    scale = min(MOST_SCALE, LARGEST / max((_inside_in(way) for way, _ in found), default=1.0))
    sections = [_Section(way, ledger, scale) for way, ledger in found]
    rows = [sections[start : start + 2] for start in range(0, len(sections), 2)]
    return [_sheet(plan, sheet, scale) for sheet in in_sheets(rows, MOST_HEIGHT)]


def _sheet(plan: Plan, rows: Sequence[Sequence[_Section]], scale: float) -> Drawing:
    layer = Group("sections")
    y = TOP
    for pair in rows:
        for column, section in enumerate(pair):
            drawn = list(_section(section, (LEFT + column * CELL, y)))
            layer.add(Group("", drawn, about=Thing("raceway", section.raceway.id)))
        y += row_height(pair)
    says = f"Cross-sections of {sum(map(len, rows))} of the raceways"
    per_ft = INCHES_TO_THE_FOOT * scale
    ledgers = [section.ledger for pair in rows for section in pair]
    to_come = any(section.to_come for pair in rows for section in pair)
    legend = (y, LEGEND, _legend(scale, (LEFT, y), _areas(ledgers), to_come))
    holds = tuple(section.raceway.id for pair in rows for section in pair)
    return cell_sheet(plan, "Raceway sections", says, layer, legend, per_ft, holds)


def _section(section: _Section, at: Xy) -> Iterator[Shape]:
    """Title, circle, list of runs, and the bar of fill."""
    (x, y), raceway, ledger = at, section.raceway, section.ledger
    room = CELL - 20
    stage = "" if ledger.stage == NOW else f" · {clean(ledger.stage)}"
    title = f"{clean(raceway.id)}{stage}"
    under = (
        f"{clean(raceway.kind)} {clean(raceway.trade_size)} in · {clean(raceway.start)} to"
        f" {clean(raceway.end)} · {length_words(raceway.length_ft)}"
    )
    yield Text((x, y + 12), fitted(title, room, 11, True), styles.STRONG)
    yield Text((x, y + 26), fitted(under, room, 9.5), styles.SMALL)
    top = y + CELL_HEAD
    middle = (x + LARGEST / 2 + WALL, top + section.across / 2 + 3)
    yield Circle(middle, section.across / 2 + WALL / 2, styles.RACEWAY_WALL)
    left_out = yield from _wires(section, middle)
    yield from _listed(section, (x + LARGEST + 16, top), CELL - LARGEST - 36)
    yield from _fill(ledger, (x, y + section.height - BAR), room, left_out)


def _wires(section: _Section, middle: Xy) -> Generator[Shape, None, int]:
    """The conductors; returns how many found no room."""
    wires, scale = section.wires, section.scale
    diameters = [
        conductor_diameter_in(wire.awg, INSULATED if wire.insulated else "bare")
        for _, wire in wires
    ]
    centres = packed([one / 2 for one in diameters], _inside_in(section.raceway) / 2)
    for (number, wire), diameter, centre in zip(wires, diameters, centres, strict=True):
        if centre is not None:
            spot = (middle[0] + centre[0] * scale, middle[1] + centre[1] * scale)
            role = "spare" if number in section.to_come else wire.role
            yield from draw_wire(role, wire.insulated, spot, diameter * scale / 2, number)
    return sum(centre is None for centre in centres)


def draw_wire(
    role: str, insulated: bool, spot: Xy, radius: float, number: int | None
) -> Iterator[Shape]:
    """A conductor: hot dark, neutral plain, ground ringed or, when bare, grey, spare dashed."""
    dark, ringed = role in HOTS, role == "ground" and insulated
    look = styles.WIRE_SPARE if role == "spare" else styles.WIRE_DARK if dark else styles.WIRE
    yield Circle(spot, radius - look.width / 2, look if insulated else styles.WIRE_BARE)
    if ringed:
        yield Circle(spot, radius - RING, styles.WIRE)
    if number is not None:
        room = radius - RING if ringed else radius
        size = min(8.0, room * (1.47 if number < 10 else 1.1))  # its box stays in the circle
        lettering = replace(NUMBER_ON_DARK if dark else NUMBER, size=size)
        yield Text((spot[0], spot[1] + 0.345 * size), str(number), lettering, "middle")


def _listed(section: _Section, at: Xy, room: float) -> Iterator[Shape]:
    """The runs by their numbers."""
    x, y = at
    if not section.ledger.contents:
        yield Text((x, y + 10), "empty", styles.SMALL)
    for number, content in enumerate(section.ledger.contents, start=1):
        to_come = ", to come" if number in section.to_come else ""
        text = fitted(_content(number, content) + to_come, room, 9.5)
        yield Text((x, y - 5 + LIST_ROW * number), text, styles.SMALL_INK)


def _content(number: int, content: Content) -> str:
    """A run with its conductors: sizes once where they are alike."""
    sizes = dict.fromkeys(wire.awg for wire in content.conductors)
    colours = joined(wire.colour or wire.role for wire in content.conductors)
    return f"{number}  {clean(content.run)}: {' and '.join(sizes)} AWG {colours}"


def _fill(ledger: Ledger, at: Xy, room: float, left_out: int) -> Iterator[Shape]:
    """A bar of the inside area: what is filled, the limit, and in words what still goes in."""
    x, y = at
    wide = LARGEST
    bar = Bounds(x, y + 6, x + wide, y + 14)
    yield Rect(bar, styles.SYMBOL)
    filled = min(100.0, ledger.fill_percent) / 100 * wide
    yield Rect(Bounds(x, bar.top, x + filled, bar.bottom), styles.SYMBOL_SOLID)
    limit = x + ledger.limit_percent / 100 * wide
    yield Line((limit, bar.top - 4), (limit, bar.bottom + 4), styles.LIMIT)
    drawn = f"; {left_out} not drawn: no room" if left_out else ""
    left = [f"{one.count}\u00a0×\u00a0{one.awg}" for one in ledger.room_left if one.count > 0]
    factor = plain(100 * ledger.adjustment)
    room -= wide + 16
    says = [
        f"{plain(ledger.fill_percent, 1)} of {plain(ledger.limit_percent, 1)} % filled{drawn}",
        f"{ledger.current_carrying} current-carrying, adjusted to {factor} %",
    ]
    words = f"room left: {joined(left, ' or ')}\u00a0AWG" if left else "room left: none"
    says += wrapped(words, room, styles.SMALL_INK.size, 2)
    for number, words in enumerate(says):
        cut = fitted(words, room, styles.SMALL_INK.size)
        yield Text((x + wide + 16, y + 13 + 14 * number), cut, styles.SMALL_INK)


def _areas(ledgers: Iterable[Ledger]) -> str:
    """In metric the sizes that a sheet names, each with its area; otherwise nothing."""
    told: dict[str, None] = {}
    for ledger in ledgers:
        told |= dict.fromkeys(left.awg for left in ledger.room_left if left.count > 0)
        told |= dict.fromkeys(wire.awg for one in ledger.contents for wire in one.conductors)
    return " · ".join(f"{awg} AWG {area}" for awg in told if (area := square_mm(awg)))


def _legend(scale: float, at: Xy, areas: str, to_come: bool) -> Iterable[Shape]:
    """Looks of conductors, the scale bar, what is not shown, and sizes in metric."""
    x, y = at
    spare = "spare, capped; or to come" if to_come else "spare, capped"
    kinds = (
        ("hot", True, "hot"), ("neutral", True, "neutral"), ("ground", True, "ground, insulated"),
        ("ground", False, "ground, bare"), ("spare", True, spare),
    )  # fmt: skip
    for role, insulated, words in kinds:
        yield from draw_wire(role, insulated, (x + 9, y + 14), 8.0, None)
        yield Text((x + 24, y + 17.5), words, styles.SMALL)
        x += 130
    x, y = at[0], y + 44
    step, ends = small_steps(scale)
    for index in range(2):
        look = styles.SYMBOL_SOLID if index == 0 else styles.SYMBOL
        left = x + index * step
        yield Rect(Bounds(left, y, left + step, y + 5), look)
    for index, words in enumerate(("0", *ends)):
        yield Text((x + 3 + index * step, y + 18), words, styles.SMALL, "middle")
    note = (
        "To scale by NEC chapter 9 tables 4, 5 and 8. The number is that of the run beside it;"
        " how conductors come to lie nobody knows."
    )
    x += 2 * step + 40
    yield Text((x, y + 6), note, styles.SMALL)
    if areas:
        cut = fitted(areas, WIDTH - LEFT - x, styles.SMALL.size)
        yield Text((x, y + 20), cut, styles.SMALL)
