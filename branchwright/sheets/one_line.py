"""The one-line diagram: from the service over feeders and panels to every circuit.

It reads downwards like a tree: what feeds stands above, and each bus is a thick line from which its
circuits leave to the right, feeders to other panels last. One line stands for all conductors of a
circuit. Not to scale.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from branchwright.measures import gauge, length_words, size_words, square_mm
from branchwright.readings import shop_of
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Drawing, Group, Line, Rect, Shape, Text, Thing, Xy
from branchwright.sheets.floor_frame import around
from branchwright.sheets.floor_legend import Icon, yoke_icon
from branchwright.sheets.floor_symbols import draw_luminaire
from branchwright.sheets.sheet import (
    SHEET_MARGIN,
    draw_foot,
    draw_head,
    foot_height,
    shop_name,
    violation_count,
)
from branchwright.sheets.styles import Lettering
from branchwright.sheets.text_size import fitted, folded, text_width
from branchwright.spaces import at_spaces
from branchwright.words import amps, clean, plain
from models.plan import CircuitPlan, FeederPlan, PanelPlan, Plan

WIDTH: Final = 1120.0
TOP: Final = 96.0
INDENT: Final = 46.0
ROW: Final = 33.0
BREAKER: Final = (8.0, 6.0)
COLUMNS: Final = (
    ("SPACE", 236.0),
    ("CIRCUIT", 290.0),
    ("BREAKER", 356.0),
    ("CONDUCTORS", 448.0),
    ("WORST STATE", 608.0),
    ("FEEDS", 762.0),
)
SYMBOLS_AT: Final = 706.0
SYMBOL_STEP: Final = 20.0
SOURCE: Final = (24.0, 300.0)
FEEDS_STEP: Final = 11.5
FEEDS_IN_A_ROW: Final = 2  # lines; more make it higher
LEGEND: Final = 42.0


def one_line(plan: Plan) -> Drawing:
    """Draw what feeds what."""
    layer = Group("one line")
    sheet = _Sheet(plan, layer)
    bottom = sheet.draw() + LEGEND
    height = bottom + foot_height() + SHEET_MARGIN
    says = f"One-line diagram: {len(plan.panels)} panels, {len(plan.circuits)} circuits"
    drawing = Drawing(WIDTH, height, says)
    violations = violation_count(plan)
    draw_head(drawing.layer("head"), shop_name(plan), "One-line diagram", WIDTH, violations)
    drawing.root.add(layer)
    drawing.layer("legend").add(*_legend((SHEET_MARGIN, bottom - LEGEND + 16)))
    draw_foot(drawing.layer("foot"), (SHEET_MARGIN, bottom), WIDTH)
    return drawing


@dataclass
class _Sheet:
    """The diagram in the making; `y` is where the next thing goes."""

    plan: Plan
    layer: Group
    y: float = TOP

    def draw(self) -> float:
        """Everything from the sources down; returns where it ends."""
        panels = {panel.id: panel for panel in self.plan.panels}
        feeders = self.plan.feeders
        for source in dict.fromkeys(f.source for f in feeders if f.source not in panels):
            self._source(source)
            x = SHEET_MARGIN + INDENT / 2
            top = self.y
            for feeder in (f for f in feeders if f.source == source):
                self._feeder(feeder, (x, top), panels)
            self.y += 14
        fed = {feeder.to for feeder in feeders}
        for panel in (panel for panel in self.plan.panels if panel.id not in fed):
            self._panel(panel, SHEET_MARGIN + INDENT, panels)
        return self.y

    def _source(self, name: str) -> None:
        """What stands before this plan: its name, and what is known of the service."""
        service = shop_of(self.plan).supply.service
        says = "not part of this plan"
        if service:
            says = (
                f"service {plain(service.rating_amps, 1)} A;"
                f" {plain(service.calculated_load_amps, 1)} A calculated for what else it feeds"
            )
        height, width = SOURCE
        box = Bounds(SHEET_MARGIN, self.y, SHEET_MARGIN + width, self.y + height)
        self.layer.add(Rect(box, styles.SYMBOL, 3))
        self._text(SHEET_MARGIN + 10, self.y + 16, clean(name), width - 20, styles.STRONG)
        self._text(box.right + 12, self.y + 16, says, WIDTH - box.right - 40, styles.SMALL)
        self.y += height

    def _feeder(self, feeder: FeederPlan, above: Xy, panels: dict[str, PanelPlan]) -> None:
        """A feeder: down from what feeds it, over its breaker, down to its panel."""
        self.y += ROW
        x, end = above[0], above[0] + INDENT
        self.layer.add(Line(above, (x, self.y), styles.FEED))
        self.layer.add(Line((x, self.y), (end, self.y), styles.FEED))
        self.layer.add(*_breaker((x + INDENT / 2, self.y), 2))
        wires = feeder.conductors
        says = (
            f"{plain(feeder.breaker_amps, 1)} A · {gauge(wires.get('hot', ''))}"
            f" {wires.get('material', '')}, neutral {size_words(wires.get('neutral', ''))}, ground"
            f" {size_words(wires.get('ground', ''))} · {length_words(feeder.length_ft)}"
        )
        if feeder.load_calculation:
            says += f" · load calculation {feeder.calculated_amps} A"
        self._text(end + 10, self.y + 4, f"Feeder of panel {clean(feeder.to)}", 150, styles.STRONG)
        self._text(end + 168, self.y + 4, says, WIDTH - SHEET_MARGIN - end - 168, styles.BODY)
        panel = panels.get(feeder.to)
        if panel is not None:
            self.layer.add(Line((end, self.y), (end, self.y + 14), styles.FEED))
            self.y += 14
            self._panel(panel, end, panels)

    def _panel(self, panel: PanelPlan, x: float, panels: dict[str, PanelPlan]) -> None:
        """A panel: its bus with a row for each circuit, then the panels it feeds."""
        top = self.y
        kind = {"breaker": "main breaker", "back-fed": "back-fed main", "lug": "main lugs"}
        main = kind[panel.main.kind]
        main = main if panel.main.amps is None else f"{plain(panel.main.amps, 1)} A {main}"
        legs = [row for row in self.plan.legs if row.panel == panel.id]
        worst = ""
        if legs:
            a, b = max(row.a_amps for row in legs), max(row.b_amps for row in legs)
            worst = f" · worst states: leg A {amps(a)}, leg B {amps(b)}"
        says = f"bus {plain(panel.bus_amps, 1)} A · {main}{worst}"
        self._text(x + 14, self.y + 14, f"Panel {clean(panel.id)}", 150, styles.STRONG)
        self._text(x + 172, self.y + 14, says, WIDTH - SHEET_MARGIN - x - 172, styles.BODY)
        self.y += 34
        for heading, at in COLUMNS:
            self.layer.add(Text((at, self.y), heading, styles.HEADING))
        mine = [circuit for circuit in self.plan.circuits if circuit.panel == panel.id]
        last = self.y
        for circuit in sorted(mine, key=lambda one: (one.fed_from, one.id)):
            self.y += ROW
            row = Group("", about=Thing("circuit", circuit.id))
            self.layer.add(row)
            replace(self, layer=row)._circuit(circuit, x)
            last = self.y
            more = max(len(_feeds(circuit)) - FEEDS_IN_A_ROW, len(_wires(circuit)[1]) - 1, 0)
            self.y += FEEDS_STEP * more
        for feeder in (f for f in self.plan.feeders if f.source == panel.id):
            last = self.y + ROW
            self._feeder(feeder, (x, self.y), panels)
        self.layer.add(Line((x, top), (x, last + 6), styles.BUS))
        self.y = max(self.y, last) + 16

    def _circuit(self, circuit: CircuitPlan, x: float) -> None:
        """A circuit: breaker, line, what it is made of above the line, what it feeds at its end."""
        y = self.y
        symbols = _symbols(self.plan, circuit)
        line_end = SYMBOLS_AT - SYMBOL_STEP / 2
        self.layer.add(Line((x, y), (line_end, y), styles.SYMBOL_LINE))
        self.layer.add(*_breaker((x + INDENT, y), circuit.breaker.poles))
        breaker = f"{amps(circuit.breaker.amps)} {circuit.volts_text} V"
        breaker += " GFCI" * circuit.breaker.gfci
        wires, notes = _wires(circuit)
        worst = circuit.worst
        load = f"{plain(worst.amps, 1)} of {plain(worst.limit_amps, 1)} A" if worst else ""
        spaces = at_spaces(self.plan, circuit)
        texts = (spaces, clean(circuit.id), breaker, wires, load)
        for index, (text, (_, at)) in enumerate(zip(texts, COLUMNS, strict=False)):
            look = styles.STRONG if index == 1 else styles.SMALL_INK
            self._text(at, y - 5, text, _room(index), look)
        for place, symbol in enumerate(symbols):
            self.layer.add(*symbol((SYMBOLS_AT + place * SYMBOL_STEP, y)))
        for number, line in enumerate(notes):
            spot = (COLUMNS[3][1], y + 11 + FEEDS_STEP * number)
            self.layer.add(Text(spot, line, styles.SMALL))
        for number, line in enumerate(_feeds(circuit)):
            spot = (COLUMNS[5][1], y - 1.5 + FEEDS_STEP * number)
            self.layer.add(Text(spot, line, styles.SMALL_INK))

    def _text(self, x: float, y: float, says: str, room: float, look: Lettering) -> None:
        if says:
            self.layer.add(Text((x, y), fitted(says, room, look.size, look.bold), look))


def _wires(circuit: CircuitPlan) -> tuple[str, list[str]]:
    """The conductors of a circuit over its line, and the lines with the rest under it."""
    wire = circuit.conductor
    spares = f", {wire.spares} spare" * bool(wire.spares)
    wires, ground = (
        f"{wire.count} × {wire.awg} {clean(wire.insulation)}",
        f"ground {wire.ground_awg}",
    )
    notes: list[str] = []
    if text_width(f"{wires}, {ground}{spares}", styles.SMALL_INK.size) <= _room(3):
        wires = f"{wires}, {ground}{spares}"
    else:
        notes = [f"{ground}{spares}"]
    areas = dict.fromkeys(map(square_mm, (wire.awg, wire.ground_awg)))
    notes = [*([", ground ".join(areas)] if any(areas) else []), *notes]
    if circuit.multiwire_with:
        notes.append(f"neutral shared with {clean(circuit.multiwire_with)}")
    return wires, folded(" · ".join(notes), _room(3), styles.SMALL.size) if notes else []


def _feeds(circuit: CircuitPlan) -> list[str]:
    """What a circuit feeds, in as many lines as it takes."""
    room = WIDTH - SHEET_MARGIN - COLUMNS[5][1]
    says = clean(circuit.says) + " · existing" * (circuit.life == "existing")
    return folded(says, room, styles.SMALL_INK.size)


def _room(column: int) -> float:
    """How wide a text of a column may be."""
    ends = (*(at for _, at in COLUMNS[1:5]), SYMBOLS_AT - 6)
    return ends[column] - COLUMNS[column][1] - 8


def _breaker(middle: Xy, poles: int) -> Iterator[Shape]:
    """A breaker: a box on the line with a stroke for each pole."""
    x, y = middle
    yield Rect(around(middle, *BREAKER), styles.SYMBOL)
    for place in (0.0,) if poles == 1 else (-3.0, 3.0):
        yield Line((x + place - 1.5, y + 3.5), (x + place + 1.5, y - 3.5), styles.SYMBOL_LINE)


def _symbols(plan: Plan, circuit: CircuitPlan) -> list[Icon]:
    """At most three symbols of what a circuit feeds, in the order of its outlets."""
    yokes = {yoke.id: yoke for box in plan.boxes for yoke in box.yokes}
    icons: dict[str, Icon] = {}
    for outlet in (outlet for outlet in plan.outlets if outlet.circuit == circuit.id):
        yoke = yokes.get(outlet.yoke or "")
        if outlet.kind == "luminaire":
            icons["luminaire"] = draw_luminaire
        elif outlet.kind == "hard-wired":
            says, icon = yoke_icon("blank", None)
            icons[says] = icon
        else:
            device = yoke.device if yoke else "single"
            says, icon = yoke_icon(device, outlet.configuration)
            icons[says] = icon
    return list(icons.values())[:3]


def _legend(at: Xy) -> Iterable[Shape]:
    """What the breaker's symbol says."""
    x, y = at
    for poles, words in ((1, "breaker of one pole"), (2, "breaker of two poles")):
        yield from _breaker((x + 10, y - 3.5), poles)
        yield Text((x + 26, y), words, styles.SMALL)
        x += 170
    note = "One line stands for all conductors of a circuit. Symbols as on the floor plan."
    yield Text((x, y), note, styles.SMALL)
