"""Points: what a circuit is made of, seen from the solver.

A point is one thing that always hangs on one circuit as a whole: a receptacle yoke, a group of
switches with the luminaires they switch, a luminaire without a switch, a hard-wired outlet, or a
machine whose receptacle the planner picks. An item is one or more points that the owner pinned
together, or that one switch turns off; items are what selection deals out to circuits.
"""

from collections.abc import Collection, Iterable, Mapping
from copy import copy
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Final, Literal

from models.formulas.motors import motor_amps
from models.formulas.receptacles import Receptacle, receptacle
from models.reach import receptacles_in_reach
from models.shop import Box, Machine, PinnedCircuit, Shop
from models.switching import Group, switch_groups, switch_named
from solver.staying import staying

UNRATED_HP: Final = Fraction(1, 3)  # 430.109(F): a smaller portable motor needs no rating
Kind = Literal["receptacle", "lights", "hard-wired", "machine"]


@dataclass(frozen=True)
class Point:
    """One point; `box` is where its circuit's cable comes in, of switches the first one named."""

    id: str
    kind: Kind
    box: str | None
    volts: int
    configuration: str | None = None
    receptacles: int = 0
    luminaires: tuple[str, ...] = ()
    switches: tuple[str, ...] = ()
    machine: str | None = None
    options: tuple[str, ...] = ()


@dataclass(frozen=True)
class Item:
    """Points that share a circuit whatever happens, and what else is pinned of it."""

    points: tuple[Point, ...]
    pins: tuple[PinnedCircuit, ...] = ()

    @cached_property
    def id(self) -> str:
        """Names of its points."""
        return "+".join(point.id for point in self.points)


def machine_point(machine: str) -> str:
    """What the point of a machine is called whose receptacle the planner picks."""
    return f"machine {machine}"


def machine_amps(machine: Machine) -> float:
    """Current of a machine: table current for a motor, else as its nameplate has it. [A]"""
    if machine.motor_hp is not None:
        return motor_amps(machine.motor_hp, machine.volts)
    for amps in (machine.marked_amps, machine.mca_amps, machine.i1eff_amps):
        if amps is not None:
            return amps
    assert machine.power_watts is not None
    return round(machine.power_watts / machine.volts, 3)


class Points:
    """The points and items of a shop, with what is already on existing circuits that stay.

    `held`: portable tools that are taken for machines with a receptacle of their own.
    """

    def __init__(self, shop: Shop, held: Collection[str] = ()) -> None:
        self.shop, self._held = shop, held
        self.groups = switch_groups(shop)
        self.named_for = {
            switch: (*group.yokes, *group.switches)[0]
            for group in self.groups
            for switch in group.switches
        }  # the point that a switch belongs to
        self.group_of = {switch: group for group in self.groups for switch in group.switches}
        self._boxes = {box.id: box for box in shop.boxes}
        self.existing_boxes = {
            box: circuit.id for circuit in staying(shop) for box in circuit.feeds
        }
        self.machines: Mapping[str, Machine] = {m.id: m for m in shop.machines}
        self.amps = {m.id: machine_amps(m) for m in shop.machines}
        self.configurations: dict[str, Receptacle] = {}
        self.yokes: dict[str, Point] = {}
        self.fixed: dict[str, list[str]] = {}
        self.on_existing: dict[str, str] = {}
        self.points: list[Point] = []
        for box in shop.boxes:
            if box.id not in self.existing_boxes:
                self.points.extend(self._points_of(box))
            self._note_yokes(box)
        for machine in shop.machines:
            self._place(machine)
        self.items = self._items()

    def part(self, items: Iterable[int]) -> "Points":
        """The same of some of the items, in this order."""
        part = copy(self)
        part.items = tuple(self.items[item] for item in items)
        return part

    def _points_of(self, box: Box) -> Iterable[Point]:
        """The points of one new box."""
        for yoke_id, kind, configuration, switch in box.devices:
            if configuration:
                yield self._receptacle(box, yoke_id, kind, configuration, switch)
            elif kind == "switch":
                group = self.group_of.get(yoke_id, Group((yoke_id,), (), ()))
                if group.switches[0] == yoke_id and not group.yokes:
                    yield Point(
                        yoke_id,
                        "lights",
                        box.id,
                        120,
                        luminaires=group.luminaires,
                        switches=group.switches,
                    )
            else:
                wired = next((m for m in self.shop.machines if m.hard_wired_at == box.id), None)
                if wired:
                    yield Point(yoke_id, "hard-wired", box.id, wired.volts)
        if box.luminaire_watts and not box.switched_by:
            yield Point(box.id, "lights", box.id, 120, luminaires=(box.id,))

    def _receptacle(
        self, box: Box, yoke_id: str, kind: str, configuration: str, switch: str | None
    ) -> Point:
        found = receptacle(configuration)
        count = 2 if kind == "duplex" else 1
        switches = (switch_named(self._boxes, switch),) if switch else ()
        return Point(
            yoke_id,
            "receptacle",
            box.id,
            found.volts,
            configuration,
            count,
            switches=switches,
        )

    def _note_yokes(self, box: Box) -> None:
        """Remember every receptacle yoke, on existing circuits too."""
        for yoke_id, kind, configuration, switch in box.devices:
            if configuration:
                self.yokes[yoke_id] = self._receptacle(box, yoke_id, kind, configuration, switch)
                self.configurations[configuration] = receptacle(configuration)

    def _place(self, machine: Machine) -> None:
        """Put a machine at its yoke, or make it a point of its own when the planner picks."""
        if machine.portable and machine.id not in self._held:
            return
        if machine.hard_wired_at is not None:
            self._fix(machine.id, machine.hard_wired_at)
        elif machine.receptacle is not None:
            self._fix(machine.id, yoke_of(machine.receptacle, self.yokes))
        else:
            options = self._options(machine)
            new = [y for y in options if self.yokes[y].box not in self.existing_boxes]
            if len(new) == 1 or not new:
                self._fix(machine.id, (new or options)[0])
            else:
                self.points.append(
                    Point(
                        machine_point(machine.id),
                        "machine",
                        None,
                        machine.volts,
                        machine=machine.id,
                        options=tuple(new),
                    )
                )

    def _options(self, machine: Machine) -> list[str]:
        """Receptacles in reach with horsepower enough, the largest ratings first, then the nearest.

        A larger receptacle takes whatever a smaller one does (210.21(B)(2)).
        """
        power = machine.motor_hp or 0
        rated = [
            (receptacle(fitting.configuration), fitting)
            for fitting in receptacles_in_reach(self.shop, machine)
        ]
        strong = [pair for pair in rated if power <= max(pair[0].horsepower, UNRATED_HP)]
        chosen = strong or rated
        return [
            fitting.yoke_id
            for found, fitting in sorted(chosen, key=lambda pair: (-pair[0].amps, pair[1][:2]))
        ]

    def box_at(self, name: str) -> str:
        """The box of a yoke, or of what is hard-wired there."""
        yoke = self.yokes.get(name)
        return yoke.box if yoke is not None and yoke.box is not None else name

    def _fix(self, machine: str, yoke_id: str) -> None:
        box = self.box_at(yoke_id)
        if box in self.existing_boxes:
            self.on_existing[machine] = yoke_id
        else:
            self.fixed.setdefault(yoke_id, []).append(machine)

    def is_pinned(self, item: int) -> bool:
        """Whether the owner pinned points of an item together."""
        names = {point.id for point in self.items[item].points}
        return any(len(names & set(group)) > 1 for group in self.shop.pins.together)

    def _items(self) -> tuple[Item, ...]:
        """Join points that are pinned together or on one switch; the rest stand alone."""
        group = {point.id: point.id for point in self.points}
        pins = self.shop.pins
        switched = (group.yokes for group in self.groups)
        for together in (*pins.together, *(pin.yokes for pin in pins.circuits), *switched):
            names = [name for name in together if name in group]
            for name in names[1:]:
                old, new = group[name], group[names[0]]
                group = {key: new if value == old else value for key, value in group.items()}
        members: dict[str, list[Point]] = {}
        for point in sorted(self.points, key=lambda point: point.id):
            members.setdefault(group[point.id], []).append(point)
        items = (Item(tuple(points), self._pins(points)) for points in members.values())
        return tuple(sorted(items, key=_by_id))

    def _pins(self, points: Iterable[Point]) -> tuple[PinnedCircuit, ...]:
        """The pins of circuits that these points are in."""
        names = {point.id for point in points}
        return tuple(pin for pin in self.shop.pins.circuits if names & set(pin.yokes))


def _by_id(item: Item) -> str:
    return item.id


def yoke_of(name: str, yokes: Mapping[str, Point]) -> str:
    """The yoke of a yoke id or an outlet id."""
    return name if name in yokes else name.rpartition(".")[0]
