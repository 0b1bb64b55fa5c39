"""Box sizes by the words people buy them by, with the volume the published table gives.

Source: NFPA 70 (2017, 2020, 2023) Table 314.16(A); a volume marked on the box may be larger.
"""

from typing import Final

from models.formulas.box_fill import box_volumes
from models.tables import NotInTableError

BOX_TABLE_NAMES: Final = {
    "FS single gang": "FS, 1-3/4 min depth, single gang",
    "FD single gang": "FD, 2-3/8 min depth, single gang",
    "4 x 1-1/2 octagonal": "4 x 1-1/2 round or octagonal",
    "4 x 2-1/8 octagonal": "4 x 2-1/8 round or octagonal",
}


def box_volume_in3(name: str) -> float:
    """Volume of a box by its size in words [in³]."""
    volumes = box_volumes()
    printed = BOX_TABLE_NAMES.get(name, name)
    if printed not in volumes:
        raise NotInTableError(f"box_volumes.csv: no box {name!r}: name a size of Table 314.16(A)")
    return volumes[printed]
