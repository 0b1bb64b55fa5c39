"""Box sizes by the words people buy them by, with the volume the published table gives.

Source: NFPA 70 (2017, 2020, 2023) Table 314.16(A); a volume marked on the box may be larger.
"""

import re
from fractions import Fraction
from math import prod
from typing import Final

from models.formulas.box_fill import box_volumes
from models.quantities import parse
from models.tables import NotInTableError

BOX_TABLE_NAMES: Final = {
    "FS single gang": "FS, 1-3/4 min depth, single gang",
    "FD single gang": "FD, 2-3/8 min depth, single gang",
    "4 x 1-1/2 octagonal": "4 x 1-1/2 round or octagonal",
    "4 x 2-1/8 octagonal": "4 x 2-1/8 round or octagonal",
}
PER_GANG: Final = {
    f"{gangs} gang masonry {depth} deep": (gangs, f"3-3/4 x 2 x {depth} masonry (per gang)")
    for gangs in (3, 4)
    for depth in ("2-1/2", "3-1/2")
}


_INCHES: Final = r"(\d{1,2}(?:-\d{1,2}/\d{1,2}|\.\d{1,2})?)"
_DIMENSIONS: Final = re.compile(rf"{_INCHES} x {_INCHES} x {_INCHES}")


def is_box_size(name: str) -> bool:
    """Whether the volume of a box is known from its size in words."""
    return name in PER_GANG or name in box_volumes() or _DIMENSIONS.fullmatch(name) is not None


def is_pull_box(name: str) -> bool:
    """Whether a box is known by its three sides, and has a cover of its own.

    >>> is_pull_box("12 x 12 x 4"), is_pull_box("4 x 2-1/8 square")
    (True, False)
    """
    return _DIMENSIONS.fullmatch(name) is not None


def shorter_side_in(name: str) -> float:
    """The shorter of width and height of a box known by its three sides; else 0. [in]

    >>> shorter_side_in("12 x 8 x 4"), shorter_side_in("4 x 2-1/8 square")
    (8.0, 0.0)
    """
    if (sides := _DIMENSIONS.fullmatch(name)) is None:
        return 0.0
    width, height, _ = (
        parse(f"{side} in", {"in": Fraction(1)}, "12 in") for side in sides.groups()
    )
    return float(min(width, height))


def box_volume_in3(name: str) -> float:
    """Volume of a box by its size in words, or by width x height x depth in inches [in³].

    >>> box_volume_in3("12 x 12 x 4")
    576.0
    >>> box_volume_in3("3 gang masonry 2-1/2 deep")
    42.0
    """
    volumes = box_volumes()
    if name in PER_GANG:
        gangs, printed = PER_GANG[name]
        return gangs * volumes[printed]
    if name not in volumes and (sides := _DIMENSIONS.fullmatch(name)):
        return float(
            prod(parse(f"{side} in", {"in": Fraction(1)}, "12 in") for side in sides.groups())
        )
    printed = BOX_TABLE_NAMES.get(name, name)
    if printed not in volumes:
        raise NotInTableError(f"box_volumes.csv: no box {name!r}: name a size of Table 314.16(A)")
    return volumes[printed]
