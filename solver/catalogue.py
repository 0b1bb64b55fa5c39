"""What can be bought, with whole-number prices and weights: breakers, cables, conductors, boxes."""

from functools import cache, cached_property
from typing import Final

from models.box_sizes import box_volume_in3
from models.formulas.box_fill import allowance_in3
from models.formulas.conductors import copper_lb_per_kft
from models.formulas.pull_boxes import needs_pull_box
from models.formulas.raceway_fill import conductor_area_in2
from models.part_keys import (
    CABLE_CONNECTOR,
    RACEWAY_CONNECTOR,
    box_key,
    breaker_key,
    cable_key,
    device_key,
    raceway_key,
    single_key,
)
from models.price_book import PriceBook
from models.shop import Box, Shop
from solver.candidate import AREA, VOLUME

CABLE_AWGS: Final = ("14", "12", "10", "8", "6")
LARGE_AWGS: Final = ("4", "3", "2")  # in raceways, to hard-wired machines
CABLE_WIRES: Final = (2, 3)  # insulated conductors in a cable
RATINGS: Final = (15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100)
DEVICE_BOXES: Final = ("4 x 1-1/2 square", "4 x 2-1/8 square", "4-11/16 x 2-1/8 square")
LUMINAIRE_BOXES: Final = ("4 x 1-1/2 octagonal", "4 x 2-1/8 octagonal")
GANGED_BOXES: Final = {
    gangs: (f"{gangs} gang masonry 2-1/2 deep", f"{gangs} gang masonry 3-1/2 deep")
    for gangs in (3, 4)
}
OUTDOOR_BOXES: Final = ("FS single gang", "FD single gang")
PULL_BOXES: Final = ("6 x 6 x 4", "8 x 8 x 4", "12 x 12 x 4")  # with a cover of their own
PANEL_SLACK_CFT: Final = 400  # 4 ft at the panel, common practice, no source
BOX_SLACK_CFT: Final = 100  # 6 in of free conductor is 300.14; 8 to 12 in is common practice


@cache
def volume(awg: str) -> int:
    """Box volume of one conductor [1/400 in³]; none for those that go by 314.28."""
    return 0 if needs_pull_box(awg) else round(allowance_in3(awg) * VOLUME)


@cache
def area(awg: str) -> int:
    """Raceway area of one THHN conductor [0.0001 in²]."""
    return round(conductor_area_in2(awg, "THHN") * AREA)


@cache
def copper_per_cft(awg: str) -> int:
    """Copper in a hundredth of a foot of one conductor [1e-8 lb]."""
    return round(copper_lb_per_kft(awg) * 1000)


@cache
def cable_ground(awg: str) -> str:
    """Bare ground inside an NM cable: as large as the hots up to 10 AWG, 10 AWG in 8 and 6."""
    return awg if awg in ("14", "12", "10") else "10"


class Catalogue:
    """Prices by what a circuit needs; a part the book does not list is not used."""

    def __init__(self, shop: Shop, book: PriceBook) -> None:
        self.shop, self.book = shop, book
        self.prices = {key: price.cents for key, price in book.prices.items()}
        self._devices: dict[tuple[str, str | None, bool], int | None] = {}

    def cents(self, key: str) -> int | None:
        """Price of a part [cents], or None when the book has none."""
        return self.prices.get(key)

    @cached_property
    def cables(self) -> dict[tuple[str, int], int]:
        """Cable with ground: (AWG, insulated conductors) -> cents per foot."""
        makes = ((awg, wires) for awg in CABLE_AWGS for wires in CABLE_WIRES)
        found = {make: self.cents(cable_key(*make)) for make in makes}
        return {make: price for make, price in found.items() if price is not None}

    @cached_property
    def singles(self) -> dict[tuple[str, bool], int]:
        """Single conductors: (AWG, for wet places) -> cents per foot of one conductor."""
        makes = ((awg, wet) for awg in (*CABLE_AWGS, *LARGE_AWGS) for wet in (False, True))
        found = {(awg, wet): self.cents(single_key(awg, wet=wet)) for awg, wet in makes}
        return {make: price for make, price in found.items() if price is not None}

    @cached_property
    def rising(self) -> bool:
        """Whether every larger conductor costs more, in cable and alone."""
        pairs = [(a, b) for n, b in enumerate(CABLE_AWGS) for a in CABLE_AWGS[:n]]
        return not any(self.cheaper(b, a) for a, b in pairs)

    def cheaper(self, awg: str, other: str) -> bool:
        """Whether some price of one size is below that of another, against all custom."""
        in_cable = (
            (self.cables.get((awg, wires)), self.cables.get((other, wires)))
            for wires in CABLE_WIRES
        )
        single = (
            (self.singles.get((awg, wet)), self.singles.get((other, wet))) for wet in (False, True)
        )
        return any(
            one is not None and two is not None and one < two for one, two in (*in_cable, *single)
        )

    @cached_property
    def cable_connector(self) -> int:
        """One cable end [cents]."""
        return self.book.cents(CABLE_CONNECTOR)

    @cached_property
    def raceway_connector(self) -> int:
        """One raceway end [cents]."""
        return self.book.cents(RACEWAY_CONNECTOR)

    def breaker(self, amps: int, poles: int, gfci: bool) -> int | None:
        """A breaker [cents]."""
        return self.cents(breaker_key(amps, poles, gfci))

    def device(self, kind: str, configuration: str | None, gfci: bool = False) -> int | None:
        """A receptacle or switch [cents]."""
        wanted = kind, configuration, gfci
        if wanted not in self._devices:
            self._devices[wanted] = self.cents(device_key(*wanted))
        return self._devices[wanted]

    def boxes_for(self, box: Box) -> list[tuple[str, int, int]]:
        """Sizes a box may have: (printed size, volume [1/400 in³], cents), cheapest first."""
        names: tuple[str, ...] = DEVICE_BOXES
        if box.luminaire_watts is not None:
            names = LUMINAIRE_BOXES
        elif box.outdoors:
            names = OUTDOOR_BOXES if len(box.yokes) == 1 else ()
        elif len(box.yokes) in GANGED_BOXES:
            names = GANGED_BOXES[len(box.yokes)]
        elif box.yokes == ("blank",):
            names = (*DEVICE_BOXES, *PULL_BOXES)
        sizes = [
            (name, round(box_volume_in3(name) * VOLUME), cents)
            for name in names
            if (cents := self.cents(box_key(name))) is not None
        ]
        return sorted(sizes, key=lambda size: (size[2], -size[1], size[0]))

    def raceway(self, kind: str, trade_size: str) -> int | None:
        """A foot of raceway [cents]."""
        return self.cents(raceway_key(kind, trade_size))
