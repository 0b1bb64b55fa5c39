"""Every colour, width, dash and letter size of the drawings, in one place.

Readable in black and white: where a run lies is told by its dash, which circuit it belongs to by
the shape at its ends and by labels. Colour only helps: circuits are dark and light by turns, which
black and white keeps, and of both there is one bluish, one yellowish and one greyish to those who
do not see red and green apart.
"""

from dataclasses import dataclass, replace
from typing import Final, Literal

FONT: Final = "'Helvetica Neue', Helvetica, Arial, 'DejaVu Sans', sans-serif"
INK, SOFT, FAINT, HAIR, PAPER = "#1d2430", "#5b6472", "#a3abb6", "#d9dde3", "#ffffff"
WALL, CASING, ALERT = "#eceef1", "#8d97a5", "#a51d1d"
CHANGED: Final = "#5b2a86"
CIRCUIT_COLOURS: Final = ("#003f8a", "#c24e00", "#004d3a", "#a050b8", "#5a3c00", "#667585")
MARKERS: Final = ("circle", "square", "triangle", "diamond", "cross")
DASHES: Final = {"wall": "", "ceiling": "7 3.5", "raceway": "", "unknown": "1.5 3"}

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Style:
    """How a shape is drawn; the same for every shape of its kind."""

    stroke: str = "none"
    width: float = 1.0
    dash: str = ""
    fill: str = "none"
    round_ends: bool = False


@dataclass(frozen=True)
class Lettering:
    """How a text is set."""

    size: float = 11.0
    bold: bool = False
    italic: bool = False
    fill: str = INK
    halo: bool = False


WALL_BAND_EDGED: Final = Style(SOFT, 0.9, fill=WALL)
ROOM: Final = Style(INK, 1.5, fill=PAPER)
PAPER_PATCH: Final = Style(fill=PAPER)
OPENING: Final = Style(SOFT, 0.9, fill=PAPER)
OPENING_LINE: Final = Style(SOFT, 0.8)
DOOR_SWEEP: Final = Style(FAINT, 0.8, "3 3")
LATER_RUN: Final = Style(INK, 1.4, "8 2.5 1.5 2.5")  # pulled now for a machine that may come
SYMBOL: Final = Style(INK, 1.4, fill=PAPER)
SYMBOL_LINE: Final = Style(INK, 1.4)
SYMBOL_SOLID: Final = Style(INK, 1.4, fill=INK)
PANEL: Final = Style(INK, 1.6, fill=PAPER)
PARTITION: Final = Style(SOFT, 0.9, fill=WALL)
HATCH: Final = Style(SOFT, 0.7)
AREA_EDGE: Final = Style(FAINT, 0.9, "9 3 2 3")
ZONE: Final = Style(FAINT, 0.9, "1.5 3")
KEEP_OUT: Final = Style(SOFT, 0.9)
BARE_WALL: Final = Style(FAINT, 3.4, "0.5 5", round_ends=True)
NO_WAY: Final = Style(ALERT, 2.0)
WORKING_SPACE: Final = Style(FAINT, 1.0, "2 3")
MACHINE: Final = Style(FAINT, 1.2, fill="#f6f7f9")
CORD: Final = Style(FAINT, 1.0, "1 2.5", round_ends=True)
DIMENSION: Final = Style(FAINT, 0.8)
DIMENSION_TICK: Final = Style(SOFT, 1.0)
LEADER: Final = Style(SOFT, 0.6)
RULE: Final = Style(HAIR, 1.0)
TAG: Final = Style(INK, 1.0, fill=PAPER)
CASING_EDGE: Final = Style(CASING, 7.4)
CASING_BODY: Final = Style("#ffffff", 5.6)
BANNER: Final = Style(ALERT, 1.5, fill="#fdf1f0")
ENCLOSURE: Final = Style(SOFT, 1.2, fill="#fafbfc")
BREAKER: Final = Style(INK, 1.3, fill=PAPER)
BREAKER_EXISTING: Final = Style(SOFT, 1.2, fill=WALL)
VACANT: Final = Style(FAINT, 1.0, "3 3", fill=PAPER)
FEED: Final = Style(INK, 2.0)
BUS: Final = Style(INK, 5.0)
RACEWAY_WALL: Final = Style(CASING, 4.0, fill=PAPER)
WIRE: Final = Style(INK, 1.1, fill=PAPER)
WIRE_DARK: Final = Style(INK, 1.1, fill=INK)
WIRE_SPARE: Final = Style(INK, 1.1, "2 2", fill=PAPER)
WIRE_BARE: Final = Style(INK, 1.1, fill=FAINT)
LIMIT: Final = Style(ALERT, 1.6)
PIECE: Final = Style(INK, 1.0, fill=PAPER)
LEFT_OVER: Final = Style(INK, 1.0, fill=WALL)
CUT: Final = Style(FAINT, 0.7, "4 3", fill=PAPER)
FLOOR_LINE: Final = Style(INK, 2.2)
ON_WALL: Final = Style(SOFT, 1.2, "7 3.5")
GRID: Final = Style(CASING, 0.8, fill=PAPER)
GRID_ALONE: Final = Style(CASING, 0.8, fill=WALL)
GRID_APART: Final = Style(FAINT, 0.8, "2 2", fill=PAPER)
GRID_OVER: Final = Style(INK, 0.8, fill=INK)
OUTSIDE: Final = Style(INK, 1.3, "3 2", fill=PAPER)
CLOUD: Final = Style(CHANGED, 1.1)
CLOUD_TAG: Final = Style(CHANGED, 1.1, fill=PAPER)
CLOUD_LEADER: Final = Style(CHANGED, 0.7)

BODY: Final = Lettering()
STRONG: Final = Lettering(bold=True)
PANEL_TEXT: Final = Lettering(10.5)
SMALL: Final = Lettering(9.5, fill=SOFT)
SMALL_INK: Final = Lettering(9.5)
TITLE: Final = Lettering(20.0, bold=True)
HEADING: Final = Lettering(9.5, bold=True, fill=SOFT)
BOX_LABEL: Final = Lettering(11.0, bold=True, halo=True)
MACHINE_LABEL: Final = Lettering(10.5, italic=True, fill=SOFT, halo=True)
PLAIN_LABEL: Final = Lettering(9.5, fill=SOFT, halo=True)
SYMBOL_LETTER: Final = Lettering(9.5, bold=True)
CLOUD_NUMBER: Final = Lettering(9.5, bold=True, fill=CHANGED)
CLOUD_WORDS: Final = Lettering(9.5, bold=True, fill=CHANGED)
ALERT_TEXT: Final = Lettering(18.0, bold=True, fill=ALERT)


LIES: Final = {
    "in wall": Style("#00609e", 1.9),
    "on surface": Style("#00755c", 1.9, "10 2.5 2.5 2.5"),
    "in ceiling": Style("#7a5c00", 1.9, "7 3.5"),
    "attic": Style("#b54708", 1.9, "3.5 3"),
    "underground": Style("#52606f", 1.9, "1.5 3"),
}


def run_style(place: str, colour: str) -> Style:
    """The line of a run lying in a `wall`, over the `ceiling`, in a `raceway`, or `unknown`."""
    return Style(colour, 1.9, DASHES[place])


def marker_style(index: int) -> tuple[str, Style]:
    """Shape and look of a circuit's end marks; filled first, then hollow, then over again."""
    shape = MARKERS[index % len(MARKERS)]
    colour = circuit_colour(index)
    hollow = index // len(MARKERS) % 2 == 1
    return shape, Style(colour, 1.4, fill=PAPER if hollow else colour)


def circuit_colour(index: int) -> str:
    """Colour of the circuit at this place in the plan's order."""
    return CIRCUIT_COLOURS[index % len(CIRCUIT_COLOURS)]


def coloured(lettering: Lettering, colour: str) -> Lettering:
    """The same lettering in another colour."""
    return replace(lettering, fill=colour)
