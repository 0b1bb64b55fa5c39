"""Box fill: volume that conductors, devices, clamps and grounds need in a box. Cubic inches.

Source: NFPA 70 (2017, 2020, 2023) 314.16(A) and (B). The volume needed is never rounded.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from types import MappingProxyType

from models.formulas.editions import require_edition
from models.tables import NotInTableError, lookup, read_table


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
) -> float:
    """Volume the contents of a box need, 314.16(B). [in³]

    `conductors`: sizes spliced, ended or passing through, hot and neutral alike. `yokes`: the
    largest conductor on each and how many gangs wide it is. `grounds`: one allowance together;
    from 2020 a quarter more for each past four. `support_fittings`: kinds of stud or hickey.
    Pigtails that stay in the box are not counted.
    >>> box_fill_in3(["14"] * 6, [("14", 1)], ["14"] * 3, internal_clamps=False, edition=2023)
    18.0
    """
    require_edition(edition)
    past_four = max(0, len(grounds) - 4) if edition >= 2020 else 0
    largest = max(
        map(allowance_in3, (*conductors, *grounds, *(awg for awg, _ in yokes))), default=0.0
    )
    ground = max(map(allowance_in3, grounds), default=0.0)
    return (
        sum(map(allowance_in3, conductors))  # (B)(1)
        + largest * internal_clamps  # (B)(2)
        + largest * support_fittings  # (B)(3)
        + sum(2 * gangs * allowance_in3(awg) for awg, gangs in yokes)  # (B)(4)
        + ground * (1 + past_four / 4)  # (B)(5)
    )
