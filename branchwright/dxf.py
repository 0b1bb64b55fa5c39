r"""The floor plan as DXF for exchange: the display list of the drawing, in inches or millimetres.

Written by hand in the oldest form of DXF still read everywhere (R12): lines, polylines,
circles and texts are a dozen tags each, while a library that writes newer forms adds 57 MB to each
installation. R12 has no word for its unit; `$INSUNITS` of the later forms stands in the header, as
readers take it here too. Symbols stand beside their wall and runs beside each other as on the
drawing; where boxes and runs truly are, in three dimensions, is on the layers PLACES and WAYS. The
origin is the shop file's own. Letters beyond the code page go in as `\U+XXXX`: none is lost.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from branchwright import cautions
from branchwright.measures import INCHES, METRES_IN_FOOT, is_metric
from branchwright.sheets import styles
from branchwright.sheets.display import (
    Circle,
    Drawing,
    Group,
    Line,
    Polyline,
    Rect,
    Stroked,
    Text,
    Xy,
)
from branchwright.sheets.floor_frame import Frame
from branchwright.sheets.styles import Style
from branchwright.sheets.title_block import Block
from branchwright.words import clean
from models.plan import Plan, Xyz

Tag = tuple[int, str | int | float]
PLACES, WAYS, CAUTIONS = "PLACES", "WAYS", "CAUTIONS"
LAYERS: Final = {  # of the drawing, and what they are called here
    "building": "BUILDING", "machines": "MACHINES", "runs": "RACEWAYS", "symbols": "BOXES",
    "leaders": "LEADERS", "labels": "LABELS",
}  # fmt: skip
PANELS, LATER = "PANELS", "RUNS_LATER"
BLACK, RED, GREY = 7, 1, 8  # of the 255 colours that the format numbers
RUN_COLOURS: Final = (5, 30, 94, 6, 8, 42)
INCH, MILLIMETRE = 1, 4  # what $INSUNITS calls them
FEET_INCHES, DECIMAL = 4, 2  # how $LUNITS has lengths read out
CAPITAL_EM: Final = 0.73  # height of a capital letter, which is what the format calls height
PLACE_TEXT_IN: Final = 2.0
CAUTION_STEP: Final = 15.0
CODE_PAGE, CODE_PAGE_NAME = "cp1252", "ANSI_1252"
LONGEST_LAYER: Final = 31
PERCENTS: Final = re.compile(r"%{2,}")
AMBIGUOUS: Final = re.compile(r"\\(?=[UM]\+)")
NOT_IN_LAYERS: Final = re.compile(r"[^A-Z0-9_-]+")


def floor_dxf(plan: Plan, drawing: Drawing, frame: Frame, block: Block) -> bytes:
    """The bytes of the file; `drawing` is the whole floor plan, `frame` says where it lies."""
    file = _File(frame, [circuit.id for circuit in plan.circuits])
    for layer in drawing.root.shapes:
        if isinstance(layer, Group) and layer.name in LAYERS:
            file.draw(layer, LAYERS[layer.name])
    for panel in plan.panels:
        file.place(panel.id, panel.place)
    for box in plan.boxes:
        file.place(box.id, box.place)
    runs = (run for circuit in plan.circuits for run in circuit.runs)
    for run in (*runs, *plan.later_runs):
        file.way(run.path)
    file.words(_told(block), (frame.plot.left, frame.plot.bottom + CAUTION_STEP))
    text = "".join(f"{code}\n{_written(value)}\n" for code, value in file.tags())
    return text.encode(CODE_PAGE)


def _told(block: Block) -> list[str]:
    """What stands under the plan: what it is of, and the cautions."""
    stop = [f"{cautions.DO_NOT_BUILD}: {block.stop}"] if block.stop else []
    return [*stop, f"Floor plan · {block.line}", *cautions.CAUTIONS]


@dataclass
class _File:
    """Entities in the making; the sheet's points become inches or millimetres of the shop."""

    frame: Frame
    circuits: list[str]
    entities: list[Tag] = field(default_factory=list)
    layers: dict[str, int] = field(default_factory=dict)
    dashes: dict[str, str] = field(default_factory=dict)

    @property
    def per_foot(self) -> float:
        """Units of the file to the foot."""
        return 1000 * METRES_IN_FOOT if is_metric() else INCHES

    @property
    def per_point(self) -> float:
        """Units of the file to a point on the sheet."""
        return self.per_foot / self.frame.scale

    def at(self, point: Xy) -> Xy:
        """A point of the sheet in the shop; y points north."""
        x, y = point
        left, top = self.frame.top_left
        return (
            self.frame.west_ft * self.per_foot + (x - left) * self.per_point,
            self.frame.north_ft * self.per_foot - (y - top) * self.per_point,
        )

    def draw(self, group: Group, layer: str) -> None:
        """The shapes of a group; runs and panels have layers of their own."""
        if group.about and group.about.kind == "run":
            layer = self._run_layer(next((c for c in self.circuits if c in group.of), None))
        elif group.about and group.about.kind == "panel" and layer == LAYERS["symbols"]:
            layer = PANELS
        for shape in group.shapes:
            if isinstance(shape, Group):
                self.draw(shape, layer)
            elif isinstance(shape, Text):
                self._text(shape, layer)
            elif _is_seen(shape.style):
                self._shape(shape, layer)

    def _run_layer(self, circuit: str | None) -> str:
        """The layer of a circuit's runs; the number tells circuits of like names apart. What is of
        no circuit is pulled now for a machine that may come.
        """
        if circuit is None:
            return LATER
        number = self.circuits.index(circuit)
        name = NOT_IN_LAYERS.sub("_", circuit.upper())
        layer = f"RUNS_{number + 1:03}_{name}"[:LONGEST_LAYER]
        self.layers.setdefault(layer, RUN_COLOURS[number % len(RUN_COLOURS)])
        return layer

    def _begin(self, kind: str, layer: str, style: Style | None = None) -> None:
        colour = {CAUTIONS: RED, WAYS: GREY, PLACES: GREY}.get(layer, BLACK)
        self.layers.setdefault(layer, colour)
        self.entities += [(0, kind), (8, layer)]
        if style and style.dash:
            self.entities.append(
                (6, self.dashes.setdefault(style.dash, f"DASH_{len(self.dashes) + 1}"))
            )

    def _shape(self, shape: Stroked, layer: str) -> None:
        match shape:
            case Line():
                self._begin("LINE", layer, shape.style)
                self.entities += [*_point(self.at(shape.start)), *_point(self.at(shape.end), 1)]
            case Circle():
                self._begin("CIRCLE", layer, shape.style)
                self.entities += [
                    *_point(self.at(shape.centre)),
                    (40, shape.radius * self.per_point),
                ]
            case Rect():
                left, top, right, bottom = shape.bounds
                corners = ((left, top), (right, top), (right, bottom), (left, bottom))
                self._polyline([self.at(corner) for corner in corners], layer, shape.style, True)
            case Polyline():
                points = [self.at(point) for point in shape.points]
                self._polyline(points, layer, shape.style, shape.closed)

    def _polyline(
        self, points: Iterable[Xy | Xyz], layer: str, style: Style | None, closed: bool
    ) -> None:
        corners = list(points)
        solid = any(len(point) > len((0, 0)) for point in corners)
        self._begin("POLYLINE", layer, style)
        self.entities += [(66, 1), (10, 0), (20, 0), (30, 0), (70, 1 * closed + 8 * solid)]
        for point in corners:
            self.entities += [(0, "VERTEX"), (8, layer), *_point(point), *([(70, 32)] * solid)]
        self.entities += [(0, "SEQEND"), (8, layer)]

    def _text(self, text: Text, layer: str) -> None:
        if not text.text.strip():
            return
        height = CAPITAL_EM * text.lettering.size * self.per_point
        self._begin("TEXT", layer)
        at = self.at(text.at)
        self.entities += [*_point(at), (40, height), (1, text_value(text.text))]
        if text.anchor != "start":
            self.entities += [(72, {"middle": 1, "end": 2}[text.anchor]), *_point(at, 1)]

    def place(self, name: str, place: Xyz) -> None:
        """The true place of a box or panel, with its id."""
        spot = tuple(part * self.per_foot for part in place)
        self._begin("POINT", PLACES)
        self.entities += _point(spot)
        self._begin("TEXT", PLACES)
        height = PLACE_TEXT_IN / INCHES * self.per_foot
        self.entities += [*_point(spot), (40, height), (1, text_value(name))]

    def way(self, path: Sequence[Xyz]) -> None:
        """The true way of a run."""
        if len(path) > 1:
            points = [(x * self.per_foot, y * self.per_foot, z * self.per_foot) for x, y, z in path]
            self._polyline(points, WAYS, None, False)

    def words(self, lines: Iterable[str], at: Xy) -> None:
        """Lines of text under the plan."""
        x, y = at
        for number, line in enumerate(lines):
            self._text(Text((x, y + CAUTION_STEP * number), line, styles.BODY), CAUTIONS)

    def tags(self) -> Iterator[Tag]:
        """The whole file: unit, linetypes, layers, entities."""
        yield from _section("HEADER", self._header())
        yield from _section("TABLES", self._tables())
        yield from _section("ENTITIES", self.entities)
        yield 0, "EOF"

    def _header(self) -> Iterator[Tag]:
        unit, reads = (MILLIMETRE, DECIMAL) if is_metric() else (INCH, FEET_INCHES)
        yield from ((9, "$ACADVER"), (1, "AC1009"), (9, "$INSUNITS"), (70, unit))
        yield from ((9, "$DWGCODEPAGE"), (3, CODE_PAGE_NAME))
        yield from ((9, "$LUNITS"), (70, reads))
        xs, ys = (
            [value for code, value in self.entities if code == axis and isinstance(value, float)]
            for axis in (10, 20)
        )
        for name, side in (("$EXTMIN", min), ("$EXTMAX", max)):
            yield from ((9, name), (10, side(xs)), (20, side(ys)), (30, 0.0))

    def _tables(self) -> Iterator[Tag]:
        lines = [("CONTINUOUS", ""), *((name, dash) for dash, name in self.dashes.items())]
        yield from ((0, "TABLE"), (2, "LTYPE"), (70, len(lines)))
        for name, dash in lines:
            parts = [float(part) * self.per_point for part in dash.split()]
            yield from ((0, "LTYPE"), (2, name), (70, 0), (3, dash), (72, 65), (73, len(parts)))
            yield 40, sum(parts)
            yield from ((49, part * (-1) ** order) for order, part in enumerate(parts))
        yield from ((0, "ENDTAB"), (0, "TABLE"), (2, "LAYER"), (70, len(self.layers) + 1))
        for name, colour in {"0": BLACK, **self.layers}.items():
            yield from ((0, "LAYER"), (2, name), (70, 0), (62, colour), (6, "CONTINUOUS"))
        yield 0, "ENDTAB"


def _section(name: str, inside: Iterable[Tag]) -> Iterator[Tag]:
    yield from ((0, "SECTION"), (2, name))
    yield from inside
    yield 0, "ENDSEC"


def _point(point: Sequence[float], number: int = 0) -> list[Tag]:
    """The first or second point of an entity; on the floor where no height is given."""
    x, y, z = (*point, 0.0)[:3]
    return [(10 + number, x), (20 + number, y), (30 + number, z)]


def _is_seen(style: Style) -> bool:
    """Paper laid under texts, and the inside of raceways, are no lines."""
    hidden = style.stroke == "none" and style.fill in ("none", styles.PAPER)
    return not hidden and style != styles.CASING_BODY


def text_value(text: str) -> str:
    r"""A text as the format has it: signs that it reads otherwise, and far letters, escaped.

    >>> text_value("50 %, 100%%"), text_value("a^b"), text_value("é 🪚"), text_value(r"\U+0041")
    ('50 %, 100%%%%%%', 'a^ b', 'é \\U+D83E\\U+DE9A', '\\U+005CU+0041')
    """
    told = AMBIGUOUS.sub(r"\\U+005C", clean(text).replace("^", "^ "))
    told = PERCENTS.sub(lambda found: "%%%" * len(found[0]), told)
    return "".join(map(_in_page, told))


def _in_page(char: str) -> str:
    """A letter of the code page; another as one or two units of UTF-16."""
    try:
        char.encode(CODE_PAGE)
    except UnicodeEncodeError:
        data = char.encode("utf-16-be")
        return "".join(f"\\U+{data[i : i + 2].hex().upper()}" for i in range(0, len(data), 2))
    return char


def _written(value: str | float) -> str:
    return f"{value:.4f}" if isinstance(value, float) else str(value)
