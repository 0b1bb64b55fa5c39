"""The receptacle circuit that a dwelling's garage must have: which circuits would be it.

NEC 210.11(C)(4): a 120 V circuit of 20 A for receptacles alone, one of them inside; since 2020 one
in every vehicle bay that has any. Circuits that stay as they are may meet it already.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import dist
from typing import Final

from models.formulas.receptacles import receptacle
from models.gfci import READILY_REACHED_FT
from models.rules.required_outlets import (
    BAY_TOP_FT,
    GARAGE_CIRCUIT,
    GARAGE_CIRCUIT_AMPS,
    bays,
)
from models.shop import Box, Shop
from solver.candidate import Candidate
from solver.load import Load
from solver.staying import staying

LARGEST_GENERAL_AMPS: Final = 20


@dataclass(frozen=True)
class GarageNeed:
    """One circuit that has to be there: it serves the garage, and one of these yokes is on it."""

    name: str
    yokes: frozenset[str]
    boxes: frozenset[str]  # that may not be on it: outdoors and out of reach
    hard_wired: bool  # whether machines without a plug may be on it as well

    def met_by(self, made: Candidate, *, any_halves: bool = False) -> bool:
        """Whether a circuit, or half of a pair, would be it.

        `any_halves`: take it for granted that halves of a pair are dealt as they should be.
        """
        if made.volts != 120 or made.breaker_amps != GARAGE_CIRCUIT_AMPS:
            return False
        if any(one.choice != "nothing" for one in made.prepared):
            return False  # it will not be one after that day
        loads = [half.load for half in made.halves] or [made.load]
        if made.halves and any_halves:
            return any(p.id in self.yokes for load in loads for p in load.outlets)
        return any(map(self.met_by_load, loads))

    def met_by_load(self, load: Load) -> bool:
        """Whether outlets of 120 V on a circuit of 20 A would be it."""
        return self._serves((p.id, p.box or "", p.kind) for p in load.outlets)

    def met_by_boxes(self, boxes: Iterable[Box], hard_wired: frozenset[str]) -> bool:
        """Whether a circuit of 120 V and 20 A that feeds these boxes is it."""
        outlets = [
            (yoke, box.id, "receptacle" if configuration else "hard-wired")
            for box in boxes
            for yoke, _, configuration, _ in box.devices
            if configuration or box.id in hard_wired
        ]
        lights = [(box.id, box.id, "lights") for box in boxes if box.luminaire_watts is not None]
        return self._serves([*outlets, *lights])

    def _serves(self, outlets: Iterable[tuple[str, str, str]]) -> bool:
        """Of outlets by yoke, box and kind."""
        kinds = {"receptacle", "hard-wired"} if self.hard_wired else {"receptacle"}
        here = list(outlets)
        return any(yoke in self.yokes for yoke, _, _ in here) and all(
            kind in kinds and box not in self.boxes for _, box, kind in here
        )


def garage_needs(shop: Shop) -> list[GarageNeed]:
    """What has to be there beside the circuits that stay; none where no garage of a dwelling is."""
    building = shop.building
    if not (building.dwelling and building.kind == "garage"):
        return []
    edition = GARAGE_CIRCUIT[shop.code.edition]
    far = frozenset(
        box.id
        for box in shop.boxes
        if box.outdoors and not edition.any_outdoors and _height_ft(shop, box) > READILY_REACHED_FT
    )
    wired = edition.equipment_in_one_bay and len(bays(building)) == 1
    general = dict(_general(shop))
    wanted = _by_bay(shop, general) if edition.in_every_bay else []
    wanted = wanted or [("garage", frozenset(general))]
    needs = [GarageNeed(name, yokes, far, wired) for name, yokes in wanted]
    return [need for need in needs if not _is_there(shop, need)]


def wanted_yokes(shop: Shop) -> list[frozenset[str]]:
    """Sets of yokes of which one has to be there: all inside of a dwelling's garage or accessory
    building, and those of each vehicle bay.
    """
    if not shop.building.dwelling:
        return []
    general = dict(_general(shop))
    in_bays = _by_bay(shop, general) if shop.building.kind == "garage" else []
    return [frozenset(general), *(yokes for _, yokes in in_bays)]


def _height_ft(shop: Shop, box: Box) -> float:
    return shop.position(box)[2]


def _general(shop: Shop) -> Iterator[tuple[str, Box]]:
    """The yokes inside of 125 V and 15 or 20 A, with their boxes."""
    for box in shop.boxes:
        for yoke, _, configuration, _ in box.devices:
            if configuration and not box.outdoors:
                found = receptacle(configuration)
                if found.volts == 120 and found.amps <= LARGEST_GENERAL_AMPS:
                    yield yoke, box


def _by_bay(shop: Shop, general: dict[str, Box]) -> list[tuple[str, frozenset[str]]]:
    """The low yokes of every vehicle bay that has any: each is of the nearest bay."""
    middles = bays(shop.building)
    found: dict[int, set[str]] = {}
    for yoke, box in general.items():
        x, y, z = shop.position(box)
        if middles and z <= BAY_TOP_FT:
            nearest = min(range(len(middles)), key=lambda bay: dist(middles[bay], (x, y)))
            found.setdefault(nearest, set()).add(yoke)
    return [(f"bay {bay + 1}", frozenset(yokes)) for bay, yokes in sorted(found.items())]


def _is_there(shop: Shop, need: GarageNeed) -> bool:
    """Whether a circuit that stays is what is needed."""
    boxes = {box.id: box for box in shop.boxes}
    wired = frozenset(m.hard_wired_at for m in shop.machines if m.hard_wired_at is not None)
    return any(
        need.met_by_boxes([boxes[name] for name in circuit.feeds if name in boxes], wired)
        for circuit in staying(shop)
        if len(circuit.spaces) == 1 and circuit.breaker_amps == GARAGE_CIRCUIT_AMPS
    )
