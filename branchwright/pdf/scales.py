"""At which scale a drawing comes on paper: one that a rule in the drawer knows, where that costs
little of its size or its letters stay large; else one of whole inches to the inch. The bar on the
drawing is true with any.

A scale is 1 to N: how many of its lengths on paper make the true one.
"""

import math
from collections.abc import Mapping
from typing import Final

from models.quantities import feet_inches

POINTS_TO_THE_FOOT: Final = 864.0
MOST_LOST: Final = 0.12  # of the size, for a scale that a rule knows
LARGE: Final = 0.75  # of a drawing: its letters of 9.5 points are then of 7
INCHES_TO_THE_FOOT: Final[Mapping[int, str]] = {
    12: "1 in", 16: "3/4 in", 24: "1/2 in", 32: "3/8 in", 48: "1/4 in", 64: "3/16 in",
    96: "1/8 in", 128: "3/32 in", 192: "1/16 in",
}  # fmt: skip
METRIC: Final[Mapping[int, str]] = dict.fromkeys((10, 20, 25, 50, 75, 100, 125, 150, 200), "")
QUARTER: Final = 4


def scale_for(
    points_per_ft: float, most_factor: float, *, metric: bool, least_factor: float = 0.0
) -> tuple[float, str]:
    """The factor to draw by, at most the one given, and the scale in words. None that a rule knows
    takes it below `least_factor`.

    >>> scale_for(20.0, 0.95, metric=False)
    (0.9, '1/4 in = 1 ft (1:48)')
    >>> scale_for(20.0, 0.8, metric=False)
    (0.8, '1 in = 4 ft 6 in (1:54)')
    >>> scale_for(20.0, 1.3, metric=False)
    (0.9, '1/4 in = 1 ft (1:48)')
    >>> scale_for(20.0, 0.7, metric=False), scale_for(20.0, 0.7, metric=False, least_factor=0.69)
    ((0.675, '3/16 in = 1 ft (1:64)'), (0.6967741935483871, '1 in = 5 ft 2 in (1:62)'))
    """
    least = POINTS_TO_THE_FOOT / (points_per_ft * most_factor)
    if least < 1:  # larger than it is
        times = max(1, math.floor(QUARTER / least + 1e-9)) / QUARTER
        return times * POINTS_TO_THE_FOOT / points_per_ft, f"{times:g}:1"
    known = METRIC if metric else INCHES_TO_THE_FOOT
    most = max(least / (1 - MOST_LOST), POINTS_TO_THE_FOOT / (points_per_ft * LARGE))
    if 0 < least_factor <= most_factor:
        most = min(most, POINTS_TO_THE_FOOT / (points_per_ft * least_factor))
    near = [n for n in known if least - 1e-6 <= n <= most]
    whole = min(near, default=math.ceil(least - 1e-6))
    factor = POINTS_TO_THE_FOOT / (points_per_ft * whole)
    if metric:
        return factor, f"1:{whole}"
    inches = f"{known[whole]} = 1 ft" if whole in known else f"1 in = {feet_inches(whole / 12)}"
    return factor, f"{inches} (1:{whole})"
