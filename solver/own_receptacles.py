"""A receptacle of its own for a machine that may come with a plug: a single one on a circuit of its
own, in the place of a receptacle in reach or in a box set beside it. Parts in hundredths by key.
"""

from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from models.changeovers import fitting_configurations
from models.formulas.receptacles import receptacle
from models.part_keys import box_key
from models.shop import FutureMachine
from solver.candidate import BoxShare, Candidate, Seat
from solver.catalogue import volume
from solver.changed_candidate import HUNDREDTHS, Parts
from solver.enclosures import trim_key
from solver.load import Load

if TYPE_CHECKING:
    from solver.new_circuits import NewCircuits

Alone = Callable[["NewCircuits", Load, str], Candidate | None]


@dataclass(frozen=True)
class OwnReceptacle:
    """The least circuit from one panel with a receptacle at a yoke; `circuits` of the shop where it
    has that. In the place of the yoke, which a circuit has to free as `seat` says, or in a `box` of
    its own beside, which is bought with its cover.
    """

    yoke: str
    configuration: str
    made: Candidate
    circuits: "NewCircuits"
    seat: Seat | None
    box: Parts

    def boxes_of(self, made: Candidate) -> dict[str, BoxShare]:
        """What such a circuit takes of boxes that are there, beside the device of the yoke."""
        if self.seat is None:
            return {}
        (edge,) = made.edges
        smallest = self.circuits.shop.code.smallest_receptacle_conductor
        there = min(2 * volume(made.awg), 2 * volume(smallest))
        share = made.boxes[edge.end]
        return {**made.boxes, edge.end: replace(share, volume=share.volume - there)}


def own_receptacles(
    now: "NewCircuits", machine: FutureMachine, alone: Alone
) -> Iterator[OwnReceptacle]:
    """At every yoke in reach, from every panel; by the receptacle that costs least.

    `alone` gives the least circuit of a load from a panel.
    """
    for yoke in now.plugs.yokes[machine.id]:
        if now.boxes[now.points.yokes[yoke].box or ""].reel_ft is not None:
            continue  # what hangs on a reel is no place for another circuit
        tried = [
            (configuration, _with_single(now.plugs.then(machine.id), yoke, configuration))
            for configuration in fitting_configurations(machine.plug or "", machine.volts)
            if now.catalogue.device("single", configuration) is not None
        ]
        for panel in now.sources:
            found = []
            for configuration, circuits in tried:
                load = circuits.loads.of((circuits.points.yokes[yoke],), {machine.id: yoke})
                if (made := alone(circuits, load, panel)) is not None:
                    found.append((now.rank(made), configuration, made, circuits))
            if found:
                _, configuration, made, circuits = min(found, key=lambda one: one[:2])
                yield from _own(circuits, machine, yoke, configuration, made)


def _with_single(then: "NewCircuits", yoke: str, configuration: str) -> "NewCircuits":
    """The circuits of a shop where a yoke is a single receptacle."""
    circuits, points = copy(then), copy(then.points)
    single = replace(points.yokes[yoke], configuration=configuration, receptacles=1, switches=())
    points.yokes = {**points.yokes, yoke: single}
    points.configurations = {**points.configurations, configuration: receptacle(configuration)}
    circuits.points = points
    circuits.forget()
    return circuits


def _own(
    circuits: "NewCircuits", machine: FutureMachine, yoke: str, configuration: str, made: Candidate
) -> Iterator[OwnReceptacle]:
    """A receptacle with its circuit, in the place of a yoke and in a box beside."""
    name = circuits.points.yokes[yoke].box or ""
    share = made.boxes[name]
    box = circuits.boxes[name].model_copy(update={"yokes": (f"single {configuration}",)})
    sizes = circuits.catalogue.boxes_for(box)
    size = next((s for s, room, _ in sizes if room >= share.volume + share.ground_volume), None)
    trim = trim_key(box)
    if size is not None and trim is not None:
        bought = {box_key(size): HUNDREDTHS, trim: HUNDREDTHS}
        yield OwnReceptacle(yoke, configuration, made, circuits, None, bought)
    if name not in circuits.closed:
        seat = Seat(machine.id, yoke, "freed")
        yield OwnReceptacle(yoke, configuration, made, circuits, seat, {})
