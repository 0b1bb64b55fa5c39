"""Equipment grounding conductors: size by breaker, and enlarging with enlarged hots.

Source: NFPA 70 (2017, 2020, 2023) 250.122(A), 250.122(B) and Table 250.122.
"""

from models.formulas.conductors import awg_sizes, circular_mils
from models.tables import NotInTableError, read_table


def equipment_ground_awg(
    breaker_amps: float, material: str = "copper", *, circuit_awg: str | None = None
) -> str:
    """Smallest equipment grounding conductor behind a breaker. [AWG]

    Never required larger than the circuit conductors (250.122(A)): give `circuit_awg`, of the
    same material, where the breaker is larger than the conductors alone would allow.
    >>> equipment_ground_awg(20), equipment_ground_awg(30), equipment_ground_awg(100)
    ('12', '10', '8')
    >>> equipment_ground_awg(40, circuit_awg="12")  # a motor circuit
    '12'
    """
    if material not in ("copper", "aluminum"):
        raise NotInTableError(
            f"Table 250.122 has no material {material!r}: use 'copper' or 'aluminum'"
        )
    rows = read_table("equipment_grounds")
    for row in rows:
        if breaker_amps <= row.number("device_amps"):
            ground = row.text(f"{material}_awg")
            return ground if circuit_awg is None else min(ground, circuit_awg, key=circular_mils)
    largest = rows[-1].whole("device_amps")
    raise NotInTableError(
        f"{breaker_amps:g} A is above {largest} A, the last row held of Table 250.122"
    )


def enlarged_ground_awg(ground_awg: str, *, minimum_cmil: int, installed_cmil: int) -> str:
    """Ground for hots enlarged from `minimum_cmil` to `installed_cmil`, in the same ratio. [AWG]

    250.122(B). Since 2020 an enlargement made only for ambient or bundling (310.15(B), (C)) asks
    for none; the caller decides what the minimum is.
    >>> enlarged_ground_awg(
    ...     "12", minimum_cmil=circular_mils("12"), installed_cmil=circular_mils("6")
    ... )
    '6'
    """
    wanted = circular_mils(ground_awg) * max(installed_cmil, minimum_cmil)
    for awg in awg_sizes():
        if circular_mils(awg) * minimum_cmil >= wanted:
            return awg
    needed_cmil = round(wanted / minimum_cmil)
    raise NotInTableError(f"a ground of {needed_cmil} cmil is above {awg} AWG, the largest held")
