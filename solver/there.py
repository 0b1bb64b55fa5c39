"""What is there: what existing circuits put into raceways, passages and boxes that new ones share.

Counted as `solver.candidate` counts. Where nobody has seen a run it is taken to be where it is
drawn, with conductors ended at 60 °C (the stricter reading). New conductors beside existing ones
heat these too, so what they survive counts as well; those that are too hot already get no hotter
bracket.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from models.shop import ExistingCircuit, Shop
from solver.candidate import BoxShare, WayShare
from solver.catalogue import area, volume
from solver.existing_runs import ExistingLeg, existing_legs, ground_of
from solver.routes import Ways
from solver.wire_limits import RACEWAY_COUNTS, ampacity_and_breaker, terminals_c


@dataclass(frozen=True)
class There:
    """Shares of one existing circuit, by raceway, passage and box."""

    raceways: Mapping[str, WayShare]
    passages: Mapping[str, WayShare]
    boxes: Mapping[str, BoxShare]


def all_there(ways: Ways) -> dict[str, There]:
    """What every existing circuit takes, those that may change too, by circuit."""
    found = {circuit.id: _there(ways, circuit) for circuit in ways.shop.existing}
    inside: dict[str, int] = {}
    through: dict[str, int] = {}
    for one in found.values():
        for name, share in one.raceways.items():
            inside[name] = inside.get(name, 0) + share.current_carrying
        for name, cables in one.passages.items():
            through[name] = through.get(name, 0) + cables.current_carrying
    return {
        circuit: There(
            {name: share.no_hotter(inside[name]) for name, share in one.raceways.items()},
            {name: share.no_hotter(through[name]) for name, share in one.passages.items()},
            one.boxes,
        )
        for circuit, one in found.items()
    }


def together(shares: Iterable[WayShare | None]) -> WayShare | None:
    """Shares of one raceway or passage as one; None when there is nothing."""
    total: WayShare | None = None
    for share in shares:
        if share is not None:
            total = share.beside(total)
    return total


def _there(ways: Ways, circuit: ExistingCircuit) -> There:
    """What an existing circuit takes of raceways, passages and boxes."""
    raceways: dict[str, WayShare] = {}
    passages: dict[str, WayShare] = {}
    conductors: dict[str, int] = {}
    grounds: dict[str, int] = {}
    ground = ground_of(circuit)
    for leg in existing_legs(ways, circuit):
        wires, survives = len(leg.roles), _survives(ways.shop, circuit, leg)
        each = wires * area(circuit.conductor) + area(ground)
        for name in leg.way.raceways:
            raceways[name] = WayShare(each, wires, survives).beside(raceways.get(name))
        for name in leg.way.passages:
            passages[name] = WayShare(1, wires, survives).beside(passages.get(name))
        for box in (leg.start, *leg.way.via, leg.end):
            conductors[box] = conductors.get(box, 0) + wires
            grounds[box] = grounds.get(box, 0) + 1
    boxes = {
        box: BoxShare(count * volume(circuit.conductor), grounds[box], volume(ground))
        for box, count in sorted(conductors.items())
        if box != circuit.panel
    }
    return There(raceways, passages, boxes)


def _survives(shop: Shop, circuit: ExistingCircuit, leg: ExistingLeg) -> int:
    """The largest count that leaves its conductors as much as its breaker asks for."""
    boxes = {box.id: box for box in shop.boxes}
    kinds = [yoke.kind for name in circuit.feeds for yoke in boxes[name].devices]
    several = kinds.count("single") + 2 * kinds.count("duplex") > 1
    panel = next(panel for panel in shop.supply.panels if panel.id == circuit.panel)

    def holds(counted: int) -> bool:
        _, largest = ampacity_and_breaker(
            circuit.conductor,
            terminals_c(panel, leg.method),
            leg.way.ambient_c,
            counted,
            several,
            shop.code.edition,
        )
        return largest >= circuit.breaker_amps

    return next((count for count in RACEWAY_COUNTS if holds(count)), 0)
