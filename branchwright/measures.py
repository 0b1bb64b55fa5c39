"""Lengths, volumes and conductor sizes as sheets print them, in feet and inches or in metric units.

The one place for it: drawings, tables and papers ask here, and what is made while `printed_in`
holds says metric. Only the print changes: places, cut lengths and prices stay those of the plan.
Conductors keep their gauge, with mm² beside it in metric; names of what is bought and trade sizes
stay as trade and price book have them. Sentences are in `metric_sentences`.
"""

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import replace
from typing import Final, Literal

from branchwright.papers.paper import Cell, Field, Paper
from branchwright.words import plain
from models.plan import Plan
from models.quantities import feet_inches
from models.tables import NotInTableError, lookup

Units = Literal["feet", "metric"]
UNITS: Final[tuple[Units, ...]] = ("feet", "metric")
METRES_IN_FOOT: Final = 0.3048  # exact by definition, as is 1 in = 25.4 mm
MM_IN_INCH: Final = 25.4
CM3_IN_IN3: Final = 2.54**3
MM2_IN_CIRCULAR_MIL: Final = math.pi / 4 * (MM_IN_INCH / 1000) ** 2  # area of a circle of 1 mil
INCHES: Final = 12
SIGNIFICANT: Final = 3
SCALE_STEPS_FT: Final = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
SCALE_STEPS_M: Final = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
SMALL_STEPS_MM: Final = (10, 20, 50)
ROOM_FOR_WORDS: Final = 40.0  # points, of "20 mm" and some air
# A heading's unit: its metric unit, the factor, and digits after the point that lose nothing that
# the plan says (0.01 ft, 0.01 in³).
HEADINGS: Final[dict[str, tuple[str, float, int]]] = {
    "[ft]": ("[m]", METRES_IN_FOOT, 3),
    "[in]": ("[mm]", MM_IN_INCH, 0),
    "[in³]": ("[cm³]", CM3_IN_IN3, 1),
}

_units: ContextVar[Units] = ContextVar("units", default="feet")


@contextmanager
def printed_in(units: Units) -> Iterator[None]:
    """What is made inside says its measures in these units."""
    before = _units.set(units)
    try:
        yield
    finally:
        _units.reset(before)


def is_metric() -> bool:
    """Whether metric units are printed now."""
    return _units.get() == "metric"


def length_words(length_ft: float) -> str:
    """A length as people say it: to the inch, or to the centimetre.

    >>> length_words(12.5)
    '12 ft 6 in'
    >>> with printed_in("metric"):
    ...     length_words(12.5)
    '3.81 m'
    """
    return f"{length_ft * METRES_IN_FOOT:.2f} m" if is_metric() else feet_inches(length_ft)


def exact_length(length_ft: float) -> str:
    """A length as exact as the plan has it: to 0.01 ft, or to the millimetre.

    >>> exact_length(12.5)
    '12.50 ft'
    >>> with printed_in("metric"):
    ...     exact_length(12.5)
    '3.810 m'
    """
    return f"{length_ft * METRES_IN_FOOT:.3f} m" if is_metric() else f"{length_ft:.2f} ft"


def length_and_unit(length_ft: float) -> tuple[float, str]:
    """A length and the unit it is in, for where the unit has a column of its own.

    >>> length_and_unit(12.5)
    (12.5, 'ft')
    >>> with printed_in("metric"):
    ...     length_and_unit(12.5)
    (3.81, 'm')
    """
    return (round(length_ft * METRES_IN_FOOT, 3), "m") if is_metric() else (length_ft, "ft")


def whole_length(length_ft: float) -> str:
    """A long length, to the foot or the metre.

    >>> whole_length(173.4)
    '173 ft'
    """
    return f"{length_ft * METRES_IN_FOOT:.0f} m" if is_metric() else f"{length_ft:.0f} ft"


def inches(length_in: int) -> str:
    """A short length that the trade says in inches.

    >>> inches(30)
    '30 in'
    """
    return f"{length_in * MM_IN_INCH:.0f} mm" if is_metric() else f"{length_in} in"


def cut_inches(length_ft: float) -> int:
    """A length to cut, rounded up to the next inch: a cable cut short is lost. [in]"""
    return math.ceil(round(length_ft * INCHES, 6))


def cut_length(length_ft: float) -> str:
    """A length to cut, rounded up to the next inch; in metric the same length to the millimetre.

    >>> cut_length(12.01), cut_length(12.5)
    ('12 ft 1 in', '12 ft 6 in')
    """
    cut_ft = cut_inches(length_ft) / INCHES
    return exact_length(cut_ft) if is_metric() else feet_inches(cut_ft)


def sold_length(package: str, package_ft: float | None) -> str:
    """How a roll or stick is sold, with its length beside that in metric; without one, by the foot.

    >>> sold_length("50 ft", 50.0)
    '50 ft'
    >>> with printed_in("metric"):
    ...     sold_length("50 ft", 50.0)
    '50 ft (15.24 m)'
    """
    return f"{package} ({length_words(package_ft)})" if package_ft and is_metric() else package


def volume(volume_in3: float) -> str:
    """A volume without its unit, which `volume_words` says: to 0.01 in³, or to 0.1 cm³."""
    return f"{volume_in3 * CM3_IN_IN3:.1f}" if is_metric() else f"{volume_in3:.2f}"


def fill_words(fill_in3: float, volume_in3: float) -> str:
    """What is filled of a volume, with its unit.

    >>> fill_words(10.0, 21.5)
    '10 of 21.5 in³'
    """
    if is_metric():
        return f"{volume(fill_in3)} of {volume(volume_in3)} cm³"
    return f"{plain(fill_in3)} of {plain(volume_in3)} in³"


def volume_words() -> str:
    """The unit of volumes in words."""
    return "cubic centimetres" if is_metric() else "cubic inches"


def square_mm(awg: str) -> str:
    """The metal's area of a conductor in metric, to three digits that count; otherwise nothing.

    Nothing for a size that the table of conductors does not list, either.

    >>> square_mm("12")
    ''
    >>> with printed_in("metric"):
    ...     square_mm("12"), square_mm("4/0")
    ('3.31 mm²', '107 mm²')
    """
    if not is_metric():
        return ""
    try:
        row = lookup("conductors", awg=awg, stranding="stranded")
    except NotInTableError:
        return ""
    area_mm2 = row.number("area_cmil") * MM2_IN_CIRCULAR_MIL
    digits = max(0, SIGNIFICANT - 1 - math.floor(math.log10(area_mm2)))
    return f"{area_mm2:.{digits}f} mm²"


def size_words(awg: str) -> str:
    """The size of a conductor where AWG stands behind it, with its area in metric.

    >>> size_words("12")
    '12'
    """
    area = square_mm(awg)
    return f"{awg} ({area})" if area else awg


def gauge(awg: str) -> str:
    """The size of a conductor, with its area in metric.

    >>> gauge("12")
    '12 AWG'
    >>> with printed_in("metric"):
    ...     gauge("12")
    '12 AWG (3.31 mm²)'
    """
    area = square_mm(awg)
    return f"{awg} AWG ({area})" if area else f"{awg} AWG"


def sold(quantity: float, unit: str, price_usd: float) -> tuple[float, str, float]:
    """What is sold by the foot, by the metre in metric at the price that costs the same.

    >>> with printed_in("metric"):
    ...     sold(100.0, "ft", 0.3048), sold(3.0, "each", 2.5)
    ((30.48, 'm', 1.0), (3.0, 'each', 2.5))
    """
    if unit != "ft" or not is_metric():
        return quantity, unit, price_usd
    return round(quantity * METRES_IN_FOOT, 3), "m", round(price_usd / METRES_IN_FOOT, 4)


def counted(quantity: float, unit: str) -> float:
    """A quantity, whole where pieces are counted.

    >>> counted(5.0, "each"), counted(5.0, "ft")
    (5, 5.0)
    """
    return int(quantity) if unit == "each" and quantity == int(quantity) else quantity


def sold_by() -> str:
    """The length that prices are for, in words."""
    return "metre" if is_metric() else "foot"


def scale_steps_ft() -> tuple[float, ...]:
    """Steps of a scale bar that are round in the units printed. [ft]"""
    if is_metric():
        return tuple(step / METRES_IN_FOOT for step in SCALE_STEPS_M)
    return SCALE_STEPS_FT


def scale_length(length_ft: float) -> str:
    """What stands under a scale bar, without zeros behind.

    >>> with printed_in("metric"):
    ...     scale_length(10 / METRES_IN_FOOT)
    '10 m'
    """
    if is_metric():
        return f"{round(length_ft * METRES_IN_FOOT, 2):g} m"
    return feet_inches(length_ft)


def small_steps(points_per_inch: float) -> tuple[float, tuple[str, str]]:
    """The bar of a section: two steps of so many points each, and what stands under their ends.

    >>> small_steps(150)
    (75.0, ('1/2 in', '1 in'))
    """
    if not is_metric():
        return points_per_inch / 2, ("1/2 in", "1 in")
    point = points_per_inch / MM_IN_INCH
    step = next((mm for mm in SMALL_STEPS_MM if mm * point >= ROOM_FOR_WORDS), SMALL_STEPS_MM[-1])
    return step * point, (f"{step} mm", f"{2 * step} mm")


def in_units(make: Callable[[Plan], Paper]) -> Callable[[Plan], Paper]:
    """A maker of papers whose columns of numbers come out in the units printed."""

    def made(plan: Plan) -> Paper:
        paper = make(plan)
        return _metric(paper) if is_metric() else paper

    return made


def _metric(paper: Paper) -> Paper:
    """Columns of numbers under a heading with a unit of HEADINGS, in metric."""
    changed: dict[int, tuple[float, int]] = {}
    fields: list[Field] = []
    for column, field in enumerate(paper.fields):
        unit = f"[{field.name.rpartition('[')[2]}"
        if field.digits is None or unit not in HEADINGS:
            fields.append(field)
            continue
        metric, factor, digits = HEADINGS[unit]
        changed[column] = (factor, digits)
        fields.append(replace(field, name=field.name.replace(unit, metric), digits=digits))
    rows = tuple(
        tuple(
            _times(cell, *changed[column]) if column in changed else cell
            for column, cell in enumerate(row)
        )
        for row in paper.rows
    )
    return replace(paper, fields=tuple(fields), rows=rows)


def _times(cell: Cell, factor: float, digits: int) -> Cell:
    if not isinstance(cell, int | float):
        return cell
    return round(cell * factor, digits) if digits else round(cell * factor)
