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
    """The least circuit from one panel with a receptacle at a yoke; `beside`: a box for it, with
    its cover; None where no book has one.
    """

    yoke: str
    configuration: str
    made: Candidate
    beside: Parts | None
    seat: Seat | None  # where the yoke could be freed for it
    room: dict[str, BoxShare]  # that its conductors then take in the box of the yoke


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
                    found.append((now.rank(made), configuration, made))
            if found:
                _, configuration, made = min(found, key=lambda one: one[:2])
                yield _own(now, machine, yoke, configuration, made)


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
    now: "NewCircuits", machine: FutureMachine, yoke: str, configuration: str, made: Candidate
) -> OwnReceptacle:
    """A receptacle with its circuit, and what a box beside it would be."""
    name = now.points.yokes[yoke].box or ""
    share, device = made.boxes[name], 2 * volume(made.awg)
    box = now.boxes[name].model_copy(update={"yokes": (f"single {configuration}",)})
    sizes = now.catalogue.boxes_for(box)
    size = next((s for s, room, _ in sizes if room >= share.volume + share.ground_volume), None)
    trim = trim_key(box)
    beside = None if size is None or trim is None else {box_key(size): HUNDREDTHS, trim: HUNDREDTHS}
    there = 2 * volume(now.shop.code.smallest_receptacle_conductor)  # of the device as it is
    return OwnReceptacle(
        yoke,
        configuration,
        made,
        beside,
        None if name in now.closed else Seat(machine.id, yoke, "freed"),
        {name: replace(share, volume=share.volume - min(device, there))},
    )
