"""The site: everything about a shop that making a circuit needs to know."""

from collections.abc import Mapping
from typing import Final

from models.box_sizes import shorter_side_in
from models.formulas.raceway_fill import fill_limit, raceway_area_in2
from models.gfci import place_in_scope
from models.shop import Box, JunctionBox, Raceway, Shop
from solver.candidate import AREA
from solver.catalogue import BOX_SLACK_CFT, CABLE_AWGS, PANEL_SLACK_CFT, Catalogue, area
from solver.load import Loads
from solver.points import Points
from solver.priced_ways import PricedWays
from solver.routes import Way, Ways
from solver.staying import closed_boxes

# 2023 takes larger receptacles too (210.21(B)(3)); the stricter reading is planned by.
RATINGS_EDITION: Final = 2020
MOST_BOXES: Final = 6  # of a tiny shop, junction boxes with them
LARGEST_SHARE: Final = 0.75  # of a run's conductors are counted: three and a ground
ROUNDED_PERCENT: Final = 1e-9
MOST_JOINED: Final = 5  # boxes of one circuit that are joined in every way: 625 trees


class Site:
    """A shop with its points, ways, loads and prices; `exact` is what is known of the refusals.

    `every_tree`: whether circuits are built along every tree, not the cheapest alone; `gap`: those
    that are dearer by more than the cheapest are of no use. In the first objective.
    """

    def __init__(
        self,
        shop: Shop,
        points: Points,
        ways: Ways,
        catalogue: Catalogue,
        *,
        every_tree: bool = False,
        gap: int | None = None,
    ) -> None:
        self.shop, self.points, self.ways, self.catalogue = shop, points, ways, catalogue
        self.loads = Loads(shop, points)
        self.panels = {panel.id: panel for panel in shop.supply.panels}
        self.sources = tuple(self.panels)  # panels that new circuits are tried from
        self.ratings_edition = min(shop.code.edition, RATINGS_EDITION)
        self.exact = True  # every refusal so far holds for every tree that could be built
        self.boxes = {box.id: box for box in shop.boxes}
        self.gfci_places = frozenset(
            box.id for box in shop.boxes if place_in_scope(shop, box, shop.code.edition)
        )
        self.junctions = tuple(box.id for box in shop.routes.junction_boxes)
        self.every_tree, self.gap = every_tree, gap
        self.everything = frozenset((*ways.raceways, *ways.passages))
        rooms = (shop.stands_in(place) for place in shop.enclosures.values())
        self.room_c = min(shop.building.climate_at(*room).room_c for room in rooms)
        self.copper_first = shop.prices.minimize == "copper"
        self.closed = closed_boxes(shop)
        named_for = points.named_for
        self.apart = [
            frozenset(named_for.get(name, name) for name in group) for group in shop.apart()
        ]
        self.most_in = {r: most_counted(route.raceway) for r, route in ways.raceways.items()}
        self._sides_in: dict[str, float] = {}
        self.forget()

    def forget(self) -> None:
        """Begin to know priced ways, anew where some are known."""
        self._priced: dict[tuple[object, ...], PricedWays] = {}

    def longest_side_in(self, box: str) -> float:
        """Shorter side of the largest box that may stand there. [in]"""
        if box not in self._sides_in:
            place = self.shop.enclosures[box]
            sizes = (
                [size for size, _, _ in self.catalogue.boxes_for(place)]
                if isinstance(place, Box)
                else [place.box]
                if isinstance(place, JunctionBox)
                else []
            )
            self._sides_in[box] = max(map(shorter_side_in, sizes), default=0.0)
        return self._sides_in[box]

    def priced(
        self,
        awg: str,
        wires: int,
        ground: Mapping[str, str],
        allowed: frozenset[str],
        refused: frozenset[tuple[str, float]] = frozenset(),
    ) -> PricedWays:
        """Ways priced for conductors, their grounds by method, and the raceways they may use.

        `refused`: methods and heats [°C] at which they would not do.
        """
        alike = awg, wires, ground["raceway"], allowed, refused
        if alike not in self._priced:
            self._priced[alike] = PricedWays(
                self.ways_between,
                self.catalogue,
                awg,
                wires,
                ground,
                allowed,
                refused,
                slack_cft=self.slack_cft,
                copper_first=self.copper_first,
            )
        return self._priced[alike]

    def ways_between(self, start: str, end: str) -> list[Way]:
        """The ways that new conductors may take between two enclosures."""
        return [way for way in self.ways.between(start, end) if self.closed.isdisjoint(way.via)]

    def keeps_voltage(self, drop_percent: float) -> bool:
        """Whether a voltage drop is within the limit of the shop. [%]"""
        return drop_percent <= self.shop.code.voltage_drop_percent + ROUNDED_PERCENT

    def wished_v(self, volts: int) -> float:
        """What a circuit of some voltage may lose. [V]"""
        return volts * (self.shop.code.voltage_drop_percent + ROUNDED_PERCENT) / 100

    def slack_cft(self, *ends: str) -> int:
        """Conductor left free at the ends of a run, in hundredths of a foot."""
        return sum(PANEL_SLACK_CFT if end in self.panels else BOX_SLACK_CFT for end in ends)


def is_tiny(shop: Shop) -> bool:
    """Whether boxes are so few that every tree can be tried."""
    return len(shop.boxes) + len(shop.routes.junction_boxes) <= MOST_BOXES


def most_counted(raceway: Raceway) -> int:
    """More counted conductors never fit: of each run one at least, its ground, is not counted."""
    limit = fill_limit(3) * raceway_area_in2(raceway.kind, raceway.trade_size)
    return int(LARGEST_SHARE * limit * AREA / area(CABLE_AWGS[0]))
