"""Working space in front of a panel: 30 in wide, 36 in deep, up to 6.5 ft. Feet.

Source: NFPA 70 (2017, 2020, 2023) 110.26(A), from memory.
"""

from typing import Final

from models.shop import WORKING_SPACE_DEPTH_FT, WORKING_SPACE_WIDTH_FT, Panel, Shop

TOP_FT: Final = 6.5


def in_working_space(shop: Shop, panel: Panel, x_ft: float, y_ft: float) -> bool:
    """Whether a point on the floor lies in front of a panel within its working space."""
    if panel.wall is None:
        return False
    px, py, _ = shop.position(panel)
    dx, dy = shop.building.facing(panel.wall, panel.faces)
    inwards = (x_ft - px) * dx + (y_ft - py) * dy
    aside = (x_ft - px) * dy - (y_ft - py) * dx
    return abs(aside) < WORKING_SPACE_WIDTH_FT / 2 and 0 < inwards < WORKING_SPACE_DEPTH_FT
