"""Box fill: volume that conductors, devices, clamps and grounds need in a box. Cubic inches.

Source: NFPA 70 (2017, 2020, 2023) 314.16(A) and (B). The volume needed is never rounded.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import Final

from models.formulas.editions import require_edition
from models.tables import NotInTableError, lookup, read_table

BARRIER_IN3: Final = MappingProxyType({"metal": 0.5, "nonmetallic": 1.0})  # 314.16(A)
MOST_CANOPY_WIRES: Final = 4  # 314.16(B)(1) exception
CANOPY_AWGS: Final = ("18", "16")  # smaller than 14 AWG


@cache
def box_volumes() -> Mapping[str, float]:
    """Volume of every metal box of Table 314.16(A), by its trade size. [in³]

    >>> box_volumes()["4 x 2-1/8 square"]
    30.3
    """
    rows = read_table("box_volumes")
    return MappingProxyType({row.text("box"): row.number("volume_in3") for row in rows})


def allowance_in3(awg: str) -> float:
    """Volume of one conductor, Table 314.16(B)(1). [in³]

    >>> allowance_in3("12")
    2.25
    """
    try:
        return lookup("box_allowances", awg=awg).number("allowance_in3")
    except NotInTableError as error:
        raise NotInTableError(f"{error}; conductors of 4 AWG and larger go by 314.28") from None


def box_fill_in3(
    conductors: Sequence[str],
    yokes: Sequence[tuple[str, int]] = (),
    grounds: Sequence[str] = (),
    *,
    internal_clamps: bool,
    edition: int,
    support_fittings: int = 0,
    loops: Sequence[str] = (),
    terminal_blocks: Sequence[str] = (),
) -> float:
    """Volume the contents of a box need, 314.16(B). [in³]

    `conductors`: sizes spliced, ended or passing through, hot and neutral alike. `yokes`: the
    largest conductor on each and how many gangs wide it is. `grounds`: one allowance together;
    from 2020 a quarter more for each past four. `support_fittings`: kinds of stud or hickey.
    `loops`: conductors that pass unbroken with twice the free length of 300.14, which count twice.
    `terminal_blocks`: the largest conductor on each; counted from 2023. Pigtails that stay in the
    box are not counted.
    >>> box_fill_in3(["14"] * 6, [("14", 1)], ["14"] * 3, internal_clamps=False, edition=2023)
    18.0
    """
    require_edition(edition)
    blocks = terminal_blocks if edition >= 2023 else ()
    past_four = max(0, len(grounds) - 4) if edition >= 2020 else 0
    sizes = (*conductors, *loops, *grounds, *blocks, *(awg for awg, _ in yokes))
    largest = max(map(allowance_in3, sizes), default=0.0)
    ground = max(map(allowance_in3, grounds), default=0.0)
    return (
        sum(map(allowance_in3, conductors))  # (B)(1)
        + 2 * sum(map(allowance_in3, loops))  # (B)(1)
        + largest * internal_clamps  # (B)(2)
        + largest * support_fittings  # (B)(3)
        + sum(2 * gangs * allowance_in3(awg) for awg, gangs in yokes)  # (B)(4)
        + ground * (1 + past_four / 4)  # (B)(5)
        + sum(map(allowance_in3, blocks))  # (B)(6)
    )


def canopy_wires_counted(wires: Sequence[str]) -> tuple[str, ...]:
    """Wires from a domed luminaire or canopy that count in the box, 314.16(B)(1) exception.

    Up to four smaller than 14 AWG do not, nor does their ground; of more, all count (the stricter
    reading).
    >>> canopy_wires_counted(["18"] * 4), canopy_wires_counted(["14", "14"])
    ((), ('14', '14'))
    """
    few = len(wires) <= MOST_CANOPY_WIRES and all(awg in CANOPY_AWGS for awg in wires)
    return () if few else tuple(wires)


def volume_beside_barriers_in3(volume_in3: float, barriers: Sequence[str]) -> float:
    """Volume of a box that unmarked barriers leave for the spaces between them, 314.16(A). [in³]

    >>> volume_beside_barriers_in3(42.0, ["metal", "nonmetallic"])
    40.5
    """
    return volume_in3 - sum(BARRIER_IN3[barrier] for barrier in barriers)
