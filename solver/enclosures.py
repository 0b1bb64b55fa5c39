"""Boxes as a choice: the sizes each may have, and what is bought whatever the circuits are."""

from dataclasses import dataclass

from models.box_sizes import box_volume_in3, is_pull_box
from models.building_main import back_fed_main_amps, main_parts
from models.part_keys import box_key
from models.shop import Box, Shop
from solver.candidate import VOLUME
from solver.catalogue import Catalogue
from solver.panel import main_spaces
from solver.routes import RacewayRoute

UNUSED = ""


@dataclass(frozen=True)
class BoxChoice:
    """Sizes one box may have: (size in words, volume [1/400 in³], cost [0.0001 USD])."""

    box: str
    sizes: tuple[tuple[str, int, int], ...]


def box_choices(shop: Shop, catalogue: Catalogue) -> list[BoxChoice]:
    """Every new box with its sizes; a junction box may also stay unused."""
    existing = existing_boxes(shop)

    def trim(box: Box) -> int:
        """What `fixed_cost` counts for a cover, and a pull box does not need."""
        key = trim_key(box)
        return 100 * catalogue.book.cents(key) if key else 0

    choices = [
        BoxChoice(
            box.id,
            tuple(
                (name, vol, 100 * cents - (trim(box) if is_pull_box(name) else 0))
                for name, vol, cents in catalogue.boxes_for(box)
            ),
        )
        for box in shop.boxes
        if box.id not in existing
    ]
    for junction in shop.routes.junction_boxes:
        cents = 0 if junction.existing else catalogue.book.cents(box_key(junction.box))
        volume = round(box_volume_in3(junction.box) * VOLUME)
        sizes = ((UNUSED, 0, 0), (junction.box, volume, 100 * cents))
        choices.append(BoxChoice(junction.id, sizes))
    return choices


def raceway_cost(catalogue: Catalogue, route: RacewayRoute) -> int:
    """What a raceway costs once something goes through it [0.0001 USD]."""
    raceway = route.raceway
    if raceway.existing:
        return 0
    per_ft = catalogue.raceway(raceway.kind, raceway.trade_size) or 0
    return per_ft * route.length_cft + 2 * 100 * catalogue.raceway_connector


def existing_boxes(shop: Shop) -> frozenset[str]:
    """Boxes that existing circuits feed."""
    return frozenset(box for circuit in shop.existing for box in circuit.feeds)


def trim_key(box: Box) -> str | None:
    """What covers a box: ring and plate indoors, an in-use cover outdoors."""
    if box.luminaire_watts is not None:
        return None
    return "cover in-use" if box.outdoors else f"trim {len(box.yokes)} gang"


def fixed_cost(shop: Shop, catalogue: Catalogue) -> int:
    """Covers and rings of the new boxes, and a main that is added [0.0001 USD]."""
    existing = existing_boxes(shop)
    keys = [trim_key(box) for box in shop.boxes if box.id not in existing]
    for panel in shop.supply.panels:
        amps = back_fed_main_amps(shop, panel)
        keys += main_parts(amps) if amps is not None and main_spaces(shop, panel) else ()
    return sum(100 * catalogue.book.cents(key) for key in keys if key is not None)
