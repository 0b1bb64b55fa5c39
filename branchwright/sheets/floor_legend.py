"""The floor plan's legend: symbols in use, how runs are drawn, circuits, scale and north."""

from collections.abc import Callable, Iterable, Iterator, Sized
from typing import Final

from branchwright.measures import inches, scale_length, scale_steps_ft
from branchwright.sheets import styles
from branchwright.sheets.display import (
    Circle,
    Group,
    Line,
    Polyline,
    Rect,
    Shape,
    Text,
    Thing,
    Xy,
)
from branchwright.sheets.floor_frame import around
from branchwright.sheets.floor_symbols import (
    R,
    draw_letter,
    draw_luminaire,
    draw_marker,
    draw_yoke,
    is_240_volt,
)
from branchwright.sheets.text_size import fitted, folded, text_width
from branchwright.words import clean, plain
from models.plan import CircuitPlan, Plan

LEGEND_WIDTH: Final = 300.0
ROW, HEADING_ROW, SECTION_GAP = 20.0, 20.0, 12.0
ICON: Final = 17.0
NAME_AT, TEXT_AT = 15.0, 42.0
FEEDS_STEP: Final = 12.0
SCALE_HEIGHT: Final = 56.0
LONGEST_BAR, NORTH_ROOM = 130.0, 84.0

Icon = Callable[[Xy], Iterable[Shape]]


def yoke_icon(device: str, configuration: str | None) -> tuple[str, Icon]:
    """What a yoke is called, and its symbol as an icon."""
    volts = "240 V" if is_240_volt(configuration or "") else "120 V"
    says = {
        "duplex": f"duplex receptacle, {volts}",
        "single": f"single receptacle, {volts}",
        "switch": f"{configuration} switch" if configuration else "switch",
        "blank": "hard-wired outlet",
    }[device]
    return says, lambda middle: draw_yoke(device, configuration, middle, (1.0, 0.0))


def _line(where: str) -> Icon:
    """A piece of run as an icon."""

    def draw(middle: Xy) -> Iterator[Shape]:
        x, y = middle
        ends = ((x - 16, y), (x + 16, y))
        if where == "raceway":
            yield Polyline(ends, styles.CASING_EDGE)
            yield Polyline(ends, styles.CASING_BODY)
        yield Polyline(ends, styles.run_style(where, styles.INK))

    return draw


def panel_icon(middle: Xy) -> Iterator[Shape]:
    """A panel as an icon."""
    left, top, right, bottom = box = around(middle, 11, 5)
    yield Rect(box, styles.PANEL)
    yield Polyline(((left, bottom), (right, bottom), (right, top)), styles.SYMBOL_SOLID, True)


def _arrow(middle: Xy) -> Iterator[Shape]:
    """A home run as an icon: the arrow points to the panel."""
    x, y = middle
    yield Line((x - 16, y), (x + 16, y), styles.run_style("wall", styles.INK))
    yield Polyline(((x + 5, y), (x - 3, y - 3.4), (x - 3, y + 3.4)), styles.SYMBOL_SOLID, True)


def _later(middle: Xy) -> Iterator[Shape]:
    """A run for a machine that may come as an icon."""
    x, y = middle
    yield Line((x - 16, y), (x + 16, y), styles.LATER_RUN)


def machine_icon(middle: Xy) -> Iterator[Shape]:
    """A machine with its cord as an icon."""
    x, y = middle
    yield Line((x - 16, y), (x + 4, y), styles.CORD)
    yield Rect(around((x + 8, y), 6, 6), styles.MACHINE, 3)


def working_space_icon(middle: Xy) -> Iterator[Shape]:
    """Working space as an icon."""
    yield Rect(around(middle, 14, 6), styles.WORKING_SPACE)


def _symbols(plan: Plan) -> list[tuple[str, Icon]]:
    """The symbols that this plan uses."""
    found: dict[str, Icon] = {
        "panel": panel_icon,
        f"working space, {inches(30)} × {inches(36)}": working_space_icon,
    }
    for yoke in (yoke for box in plan.boxes for yoke in box.yokes):
        says, icon = yoke_icon(yoke.device, yoke.configuration)
        found.setdefault(says, icon)
    kinds = {box.kind for box in plan.boxes}
    if "luminaire" in kinds:
        found["luminaire"] = draw_luminaire
    if "junction" in kinds:
        found["junction box"] = lambda middle: draw_letter(middle, "J")
    if "pull" in kinds:
        found["pull box"] = lambda middle: draw_letter(middle, "P")
    if any(not machine.portable for machine in plan.machines):
        found["machine and its cord"] = machine_icon
    return list(found.items())


def _lines(plan: Plan) -> list[tuple[str, Icon]]:
    """How runs are drawn, as far as this plan has them."""
    methods = {run.method for circuit in plan.circuits for run in circuit.runs}
    rows: list[tuple[str, Icon]] = []
    if "cable" in methods:
        rows += [("in the wall", _line("wall")), ("over the ceiling", _line("ceiling"))]
    if "raceway" in methods or plan.raceways:
        rows.append(("in a raceway", _line("raceway")))
    if "unknown" in methods:
        rows.append(("place not known", _line("unknown")))
    if plan.later_runs:
        rows.append(("pulled now for later, capped", _later))
    return [*rows, ("home run, arrow to the panel", _arrow)]


def legend_height(plan: Plan) -> float:
    """Room that the legend takes."""
    rows = len(_symbols(plan)) + len(_lines(plan)) + len(plan.circuits) + 1
    more = sum(len(_feeds(circuit)[1]) - 1 for circuit in plan.circuits)
    return rows * ROW + more * FEEDS_STEP + 3 * (HEADING_ROW + SECTION_GAP) + SCALE_HEIGHT


def draw_legend(layer: Group, plan: Plan, at: Xy) -> float:
    """Draw all parts one below the other; what sheets of circuits show alike is one group. Returns
    where the scale begins.
    """
    x, y = at
    alike = Group("")
    layer.add(alike)
    y = draw_section(alike, "SYMBOLS", _symbols(plan), x, y)
    y = draw_section(alike, "RUNS", _lines(plan), x, y)
    note = "Walls are drawn wide to show the runs in and on them."
    alike.add(Text((x, y - SECTION_GAP + 10), note, styles.SMALL))
    return _circuits(layer, plan.circuits, (x, y + ROW))


def section_height(rows: Sized) -> float:
    """Room that a section takes."""
    return HEADING_ROW + len(rows) * ROW + SECTION_GAP


def draw_section(
    layer: Group, title: str, rows: list[tuple[str, Icon]], x: float, y: float
) -> float:
    """A heading and its rows; returns where the next section begins."""
    layer.add(Text((x, y + 10), title, styles.HEADING))
    y += HEADING_ROW
    for says, icon in rows:
        layer.add(*icon((x + ICON, y + ROW / 2 - 1)))
        layer.add(Text((x + TEXT_AT, y + ROW / 2 + 3), says, styles.BODY))
        y += ROW
    return y + SECTION_GAP


def _circuits(layer: Group, circuits: tuple[CircuitPlan, ...], at: Xy) -> float:
    """Each circuit with its mark, breaker and what it feeds."""
    x, y = at
    layer.add(Text((x, y + 10), "CIRCUITS", styles.HEADING))
    y += HEADING_ROW
    for index, circuit in enumerate(circuits):
        group = Group("", of=frozenset([circuit.id]), about=Thing("circuit", circuit.id))
        layer.add(group)
        baseline = y + ROW / 2 + 3
        group.add(*draw_marker(index, (x + 5, y + ROW / 2 - 1)))
        strong = styles.coloured(styles.STRONG, styles.circuit_colour(index))
        group.add(Text((x + NAME_AT, baseline), _name(circuit), strong))
        at = (x + _breaker_at(circuit), baseline)
        group.add(Text(at, breaker_words(circuit), styles.SMALL_INK))
        beside, lines = _feeds(circuit)
        for number, line in enumerate(lines):
            group.add(Text((x + beside, baseline + number * FEEDS_STEP), line, styles.SMALL))
        y += ROW + (len(lines) - 1) * FEEDS_STEP
    return y + SECTION_GAP


def _name(circuit: CircuitPlan) -> str:
    return fitted(clean(circuit.id), 60, styles.STRONG.size, True)


def breaker_words(circuit: CircuitPlan) -> str:
    """Amperes and volts."""
    return f"{plain(circuit.breaker.amps, 1)} A {circuit.volts_text} V"


def _breaker_at(circuit: CircuitPlan) -> float:
    """Where the breaker stands after the name, from the left of the legend."""
    wide = text_width(_name(circuit), styles.STRONG.size, True)
    return max(NAME_AT + wide + 6, TEXT_AT)


def _feeds(circuit: CircuitPlan) -> tuple[float, list[str]]:
    """Where what a circuit feeds stands after the breaker, and its lines."""
    at = _breaker_at(circuit) + text_width(breaker_words(circuit), styles.SMALL_INK.size) + 7
    return at, folded(clean(circuit.says), LEGEND_WIDTH - 10 - at, styles.SMALL.size)


def draw_scale(
    layer: Group, points_per_ft: float, x: float, y: float, wide: float = LEGEND_WIDTH
) -> None:
    """A bar of whole feet, and an arrow to the north (up the sheet)."""
    steps_ft = scale_steps_ft()
    most = min(LONGEST_BAR, wide - NORTH_ROOM) / 2
    step_ft = max((step for step in steps_ft if step * points_per_ft <= most), default=steps_ft[0])
    step, top = step_ft * points_per_ft, y + 16
    for index in range(2):
        look = styles.SYMBOL_SOLID if index == 0 else styles.SYMBOL
        box = around((x + step * (index + 0.5) + 2, top), step / 2, 2.5)
        layer.add(Rect(box, look))
    for index in range(3):
        text = "0" if index == 0 else scale_length(step_ft * index)
        layer.add(Text((x + 2 + step * index, top + 16), text, styles.SMALL, "middle"))
    north = x + wide - 50
    layer.add(Circle((north, top + 2), R * 1.7, styles.DIMENSION))
    points = ((north, top - 13), (north + 5, top + 9), (north, top + 5), (north - 5, top + 9))
    layer.add(Polyline(points, styles.SYMBOL_SOLID, True))
    layer.add(Text((north + 18, top + 6), "N", styles.STRONG))
