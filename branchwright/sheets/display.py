"""A display list: shapes with styles, written as SVG text. Coordinates in points, y down.

No clock, no random ids, two decimals: the same list gives the same bytes. Texts know their box,
so that a sheet can ask whether two of them lie on each other.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from html import escape
from typing import Final, Literal, NamedTuple

from branchwright.sheets.styles import FONT, PAPER, Anchor, Lettering, Style
from branchwright.sheets.text_size import ASCENT_EM, DESCENT_EM, text_width
from branchwright.words import clean

HAIR: Final = 0.01
SVG: Final = "http://www.w3.org/2000/svg"
Xy = tuple[float, float]


class Bounds(NamedTuple):
    """A rectangle square to the page."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: "Bounds", gap: float = 0.0) -> bool:
        """Whether the two share area, or come closer than `gap`; a hair does not count."""
        gap -= HAIR
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    @property
    def outline(self) -> tuple[Xy, ...]:
        """Its corners around, the first once more."""
        left, top, right, bottom = self
        return (left, top), (right, top), (right, bottom), (left, bottom), (left, top)

    def inside(self, other: "Bounds") -> bool:
        """Whether this lies wholly in the other."""
        return (
            self.left >= other.left
            and self.top >= other.top
            and self.right <= other.right
            and self.bottom <= other.bottom
        )


class Thing(NamedTuple):
    """Something of the plan that is drawn in one place and told of in another."""

    kind: Literal["box", "circuit", "raceway", "panel", "run", "piece", "machine"]
    id: str


@dataclass(frozen=True)
class Line:
    """Straight line."""

    start: Xy
    end: Xy
    style: Style


@dataclass(frozen=True)
class Polyline:
    """Connected lines; closed and filled when `closed`."""

    points: tuple[Xy, ...]
    style: Style
    closed: bool = False


@dataclass(frozen=True)
class Rect:
    """Rectangle with rounded corners of `radius`."""

    bounds: Bounds
    style: Style
    radius: float = 0.0


@dataclass(frozen=True)
class Circle:
    """Circle."""

    centre: Xy
    radius: float
    style: Style


@dataclass(frozen=True)
class Text:
    """One line of text; `at` is on its baseline."""

    at: Xy
    text: str
    lettering: Lettering
    anchor: Anchor = "start"

    @property
    def bounds(self) -> Bounds:
        """The box that the text takes, measured."""
        size = self.lettering.size
        width = text_width(clean(self.text), size, self.lettering.bold)
        left = self.at[0] - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        top = self.at[1] - ASCENT_EM * size
        return Bounds(left, top, left + width, self.at[1] + DESCENT_EM * size)


@dataclass
class Group:
    """A layer: shapes drawn in order under one name; `of` names the circuits they belong to.

    A group without a name only holds shapes together and leaves no trace in the file. `about` is
    the thing that it shows; pages make it a link.
    """

    name: str
    shapes: "list[Shape]" = field(default_factory=list)
    of: frozenset[str] = frozenset()
    about: Thing | None = None

    def add(self, *shapes: "Shape") -> None:
        """Draw these on top."""
        self.shapes.extend(shapes)

    def texts(self) -> Iterator[Text]:
        """Every text in drawing order."""
        for shape in self.shapes:
            if isinstance(shape, Text):
                yield shape
            elif isinstance(shape, Group):
                yield from shape.texts()


Stroked = Line | Polyline | Rect | Circle  # what has a style
Shape = Stroked | Text | Group
Opener = Callable[[list[str], Group], str | None]


@dataclass
class Drawing:
    """A sheet of given size with its layers; `says` is read to those who cannot see it.

    One of `true_size` is printed as large as it is: 72 points to the inch. One drawn to a scale
    says how many of its points make a foot of the shop. One of several sheets of a kind names what
    it `holds`, in order, for lists of contents.
    """

    width: float
    height: float
    says: str
    root: Group = field(default_factory=lambda: Group("sheet"))
    true_size: bool = False
    points_per_ft: float | None = None
    holds: tuple[str, ...] = ()

    @property
    def bounds(self) -> Bounds:
        """The whole sheet."""
        return Bounds(0, 0, self.width, self.height)

    def layer(self, name: str) -> Group:
        """A new layer on top."""
        group = Group(name)
        self.root.add(group)
        return group

    def svg(self) -> str:
        """The drawing as SVG text."""
        return "".join(self.written())

    def written(self, opener: "Opener | None" = None) -> list[str]:
        """The drawing as SVG text, in parts.

        `opener` appends the tag that opens a group and gives the one that closes it, or appends
        what stands for all of the group and gives None. With one, a drawing may hold links: it is
        no single image to those who hear it.
        """
        says = clean(self.says)
        size = {"viewBox": f"0 0 {_number(self.width)} {_number(self.height)}"}
        named = {"xmlns": SVG, **size, "role": "group" if opener else "img"}
        if self.true_size:
            named |= {"width": f"{_number(self.width)}pt", "height": f"{_number(self.height)}pt"}
        named |= {"aria-label": says, "font-family": FONT}
        parts = [tag("svg", named), f"<title>{_escaped(says)}</title>"]
        for shape in (Rect(self.bounds, Style(fill=PAPER)), *self.root.shapes):
            _write(parts, shape, opener or _opened)
        parts.append("</svg>")
        return parts


def covered(shape: Shape) -> Bounds:
    """The rectangle that a shape takes, its line included; of a group that of all inside.

    >>> covered(Group("", [Line((0, 0), (4, 0), Style("#000000", 2)), Circle((9, 9), 1, Style())]))
    Bounds(left=-1.0, top=-1.0, right=10, bottom=10)
    """
    match shape:
        case Group():
            inside = [covered(one) for one in shape.shapes if not _empty(one)]
            lefts, tops, rights, bottoms = zip(*inside, strict=True)
            return Bounds(min(lefts), min(tops), max(rights), max(bottoms))
        case Text():
            return shape.bounds
        case Line():
            points: tuple[Xy, ...] = (shape.start, shape.end)
        case Polyline():
            points = shape.points
        case Rect():
            points = (shape.bounds[:2], shape.bounds[2:])
        case Circle():
            (x, y), radius = shape.centre, shape.radius
            points = ((x - radius, y - radius), (x + radius, y + radius))
    half = shape.style.width / 2 if shape.style.stroke != "none" else 0
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Bounds(min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)


def _empty(shape: Shape) -> bool:
    return isinstance(shape, Group) and all(map(_empty, shape.shapes))


def _number(value: float) -> str:
    """At most two decimals, never `-0`."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _points(points: tuple[Xy, ...]) -> str:
    """Coordinates of a polyline."""
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _escaped(text: str) -> str:
    """A text inside an element; apostrophes and quotation marks stay."""
    return escape(text, quote=False)


def tag(name: str, attributes: Mapping[str, str], end: str = ">") -> str:
    """A tag that opens an element; with ` />` as its end the whole element.

    >>> tag("g", {"class": 'a "b" & c'})
    '<g class="a &quot;b&quot; &amp; c">'
    """
    quoted = ((key, _escaped(says).replace('"', "&quot;")) for key, says in attributes.items())
    told = "".join(f' {key}="{says}"' for key, says in quoted)
    return f"<{name}{told}{end}"


@cache
def _look(style: Style) -> str:
    """A style as presentation attributes, and the end of an element."""
    look = {"fill": style.fill}
    if style.stroke != "none":
        look |= {"stroke": style.stroke, "stroke-width": _number(style.width)}
        look |= {"stroke-dasharray": style.dash} if style.dash else {}
        look |= {"stroke-linecap": "round"} if style.round_ends else {}
        look["stroke-linejoin"] = "round"
    return tag("", look, " />")[1:]


@cache
def _set(lettering: Lettering, anchor: Anchor) -> str:
    """Letters as presentation attributes; a halo of paper keeps them legible over lines."""
    look = {"font-size": _number(lettering.size), "fill": lettering.fill}
    look |= {"font-weight": "700"} if lettering.bold else {}
    look |= {"font-style": "italic"} if lettering.italic else {}
    look |= {"text-anchor": anchor} if anchor != "start" else {}
    if lettering.halo:
        look |= {"stroke": PAPER, "stroke-width": "3", "paint-order": "stroke"}
        look["stroke-linejoin"] = "round"
    return tag("", look, "")[1:]


def _write(parts: list[str], shape: Shape, opener: Opener) -> None:
    """Append one shape as SVG."""
    match shape:
        case Group():
            _write_group(parts, shape, opener)
        case Line():
            (x1, y1), (x2, y2) = shape.start, shape.end
            ends = f'x1="{_number(x1)}" y1="{_number(y1)}" x2="{_number(x2)}" y2="{_number(y2)}"'
            parts.append(f"<line {ends}{_look(shape.style)}")
        case Polyline():
            name = "polygon" if shape.closed else "polyline"
            parts.append(f'<{name} points="{_points(shape.points)}"{_look(shape.style)}')
        case Rect():
            left, top, right, bottom = shape.bounds
            sides = f'width="{_number(right - left)}" height="{_number(bottom - top)}"'
            sides += f' rx="{_number(shape.radius)}"' if shape.radius else ""
            at = f'x="{_number(left)}" y="{_number(top)}"'
            parts.append(f"<rect {at} {sides}{_look(shape.style)}")
        case Circle():
            x, y = shape.centre
            round_ = f'cx="{_number(x)}" cy="{_number(y)}" r="{_number(shape.radius)}"'
            parts.append(f"<circle {round_}{_look(shape.style)}")
        case Text():
            at = f'x="{_number(shape.at[0])}" y="{_number(shape.at[1])}"'
            says = _escaped(clean(shape.text))
            look = _set(shape.lettering, shape.anchor)
            parts.append(f"<text {at}{look}>{says}</text>" if says else f"<text {at}{look} />")


def _write_group(parts: list[str], group: Group, opener: Opener) -> None:
    """Append a group: its tag, its shapes, and the tag that closes it."""
    closes = opener(parts, group)
    if closes is None:
        return
    before = len(parts)
    for inner in group.shapes:
        _write(parts, inner, opener)
    if closes and len(parts) == before:
        parts[-1] = f"{parts[-1][:-1]} />"
    else:
        parts.append(closes)


def _opened(parts: list[str], group: Group) -> str:
    """The tags of a group: none for one without a name."""
    if not group.name:
        return ""
    parts.append(tag("g", {"class": group.name}))
    return "</g>"
