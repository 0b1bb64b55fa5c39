"""The local answers in force, stated in the shop file or not, as they are printed with a plan."""

from models.shop import Shop


def local_answers(shop: Shop) -> dict[str, str]:
    """The local answers in force, stated or not."""
    code = shop.code
    limit = code.receptacles_per_circuit
    return {
        "edition": f"NEC {code.edition}",
        "GFCI at": code.gfci_at,
        "lights on circuits of their own": "yes" if code.lights_apart else "no",
        "multiwire circuits": (
            f"allowed, joined by a {code.ties or 'common trip (not stated)'}"
            if code.multiwire
            else "not used"
        ),
        "noncoincident loads": code.noncoincident or "interlocked (not stated)",
        "receptacle yokes per circuit": "no limit" if limit is None else str(limit),
        "smallest conductor for receptacles": f"{code.smallest_receptacle_conductor} AWG",
        "terminals": shop.panel().terminals or "60 C (not marked)",
        "voltage drop": f"{code.voltage_drop_percent:g} % recommended",
    }
