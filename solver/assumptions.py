"""What the plan takes for granted, in sentences; every one is printed with the plan."""

from models.shop import Climate, Shop
from solver.scope import left_out


def assumptions(shop: Shop) -> tuple[str, ...]:
    """What was not stated and which reading was taken."""
    told = [
        "A branch circuit leaves the panel as one cable; it branches at splices in boxes.",
        "Cables are kept apart and are not bundled; only conductors in raceways are counted.",
        "Boxes are metal with their connectors outside, so no volume is taken for clamps.",
        "Each circuit pulls its own equipment ground through a raceway.",
        "4 ft of conductor is left free at the panel and 1 ft at each box (common practice).",
        "A cord leaves its machine 3 ft above the floor and lies straight.",
        "Luminaires are all on, and for three hours or more.",
        "On a 120 V receptacle circuit a 12 A tool may run at the farthest receptacle.",
        "Receptacles match their circuit as Table 210.21(B)(3) printed it up to 2020 (stricter).",
        "The luminaires themselves are not priced.",
        "Cable may run in stud walls and over the ceiling; it passes an opening 1 ft above its"
        " head, over the header (common practice).",
    ]
    if shop.code.multiwire:
        told.append(
            "Multiwire circuits feed 120 V receptacles and fixed machines on 15 and 20 A, never"
            " lights; each half is taken to carry its current with the other half off."
        )
    if shop.panel().terminals is None:
        told.append("Panel terminals are not marked: ampacity is read at 60 °C.")
    attics = sorted({c.attic_c for c in _climates(shop) if c.ceiling_runs == "attic"})
    if attics:
        heat = " or ".join(f"{attic_c * 9 / 5 + 32:.0f}" for attic_c in attics)
        told.append(f"Runs over the ceiling lie in the attic at {heat} °F.")
    if any(not circuit.runs for circuit in shop.existing):
        told.append("Runs of existing circuits are drawn where a cable would most likely lie.")
    return (*told, *left_out(shop))


def _climates(shop: Shop) -> list[Climate]:
    """What holds at every enclosure."""
    return [shop.building.climate_at(*shop.stands_in(p)) for p in shop.enclosures.values()]
