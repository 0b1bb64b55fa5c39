"""Causes: why no plan exists, in the owner's words, each with remedies as changes to the shop."""

import re
from collections.abc import Collection, Container, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import starmap
from math import ceil, dist
from typing import Any

from models.quantities import horsepower_text
from models.reach import receptacles_in_reach
from models.shop_edit import Change
from solver.beside_others import ELSEWHERE, goes_beside_others
from solver.bought import bought_unpriced, thing_changed
from solver.candidate import Candidate
from solver.circuit import Circuits
from solver.enclosures import box_choices
from solver.pins import clashes, held
from solver.points import Item
from solver.refusal import Refusal


@dataclass(frozen=True)
class Remedy:
    """A change that may help; once tried, whether it works, or what is then in the way."""

    says: str
    changes: tuple[Change, ...]
    works: bool | None = None
    leaves: str = ""
    cost_usd: float | None = None  # material of the plan it leads to
    more_usd: float | None = None  # than the cheapest remedy that works
    gives_up: bool = False  # something that the owner asked for

    @property
    def things(self) -> frozenset[str]:
        """The things of the shop that it changes."""
        return frozenset(starmap(thing_changed, self.changes))

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What it takes that no book has a price for."""
        return tuple(dict.fromkeys(filter(None, starmap(bought_unpriced, self.changes))))

    @property
    def priced(self) -> bool:
        """Whether all it takes is material of a plan."""
        return not self.unpriced


@dataclass(frozen=True)
class Cause:
    """One thing that stands in the way of any plan; `later`: once others are out of it."""

    reason: str
    where: str
    says: str
    remedies: tuple[Remedy, ...]
    later: bool = False


class Explainer:
    """Turns refusals into causes; `solver.shortages` has those of things together."""

    def __init__(self, circuits: Circuits) -> None:
        self.circuits, self.shop, self.points = circuits, circuits.shop, circuits.points

    def impossible_items(
        self, *, alone_only: bool = False, among: Container[int] | None = None
    ) -> list[Cause]:
        """Items that are on no circuit, alone or beside others, and boxes that cannot be bought.

        `alone_only`: name all that are none alone, where what is beside them did not help.
        `among`: only these items are looked at, all others are known to be on some.
        """
        looked_at = [n for n in range(len(self.points.items)) if among is None or n in among]
        causes = [self._no_box(choice.box) for choice in self._boxes_without_size()]
        alone = {
            number: self._alone(number)
            for number in looked_at
            if not _wanting(self.points.items[number])
        }
        bad = {
            number: made
            for number, made in alone.items()
            if isinstance(made, Refusal)
            and (alone_only or not goes_beside_others(self.circuits, number, made))
        }
        cut_off = [self.points.items[n] for n, why in bad.items() if why.reason == "no way"]
        causes += [self._no_way(cut_off)] if cut_off else []
        causes += [
            self._cause(self.points.items[number], why)
            for number, why in bad.items()
            if why.reason != "no way"
        ]
        causes += self._crowded_receptacles()
        causes += [self._clash(*clash) for clash in clashes(self.points.items)]
        causes += [self._held(*pin) for pin in held(self.shop)]
        for number in looked_at:
            item = self.points.items[number]
            if _wanting(item):
                refusal = self._homeless(number, item, bad.keys())
                causes += [self._cause(item, refusal)] if refusal else []
        return _merged([*causes, *(() if causes else self._crowded())])

    def _alone(self, number: int) -> Collection[Candidate] | Refusal:
        """Circuits of an item alone, the likeliest where that is one and nothing else is asked."""
        items = frozenset({number})
        plain = not (self.points.items[number].pins or self.circuits.is_special(items))
        return (plain and self.circuits.likely(items)) or self.circuits.candidates(items)

    def _clash(self, item: Item, other: Item, space: int) -> Cause:
        """Two pinned circuits in one space."""
        says = f"{item.id} and {other.id} are pinned to space {space}, each on a circuit of its own"
        return Cause("pin", item.id, says, tuple(self._unpin(item)))

    def _held(self, yokes: tuple[str, ...], circuit: str) -> Cause:
        """A pin that an existing circuit does not keep."""
        names = " and ".join(yokes)
        says = f"{names}: the pin asks something of {circuit}, which is there and stays as it is"
        change = Remedy(f"let {circuit} change", ((f"existing[{circuit}].may_change", True),))
        return Cause("pin", yokes[0], says, (*self._drop_pins(set(yokes)), change))

    def _boxes_without_size(self) -> Iterator[Any]:
        return (
            choice for choice in box_choices(self.shop, self.circuits.catalogue) if not choice.sizes
        )

    def _homeless(self, number: int, item: Item, bad: Container[int]) -> Refusal | None:
        """Why a machine finds no circuit at any yoke; None when it does, or the yokes are bad."""
        options = {name for point in item.points for name in point.options}
        yokes = [
            other
            for other, its in enumerate(self.points.items)
            if other not in bad and options & {point.id for point in its.points}
        ]
        made = [self.circuits.candidates(frozenset({number, other})) for other in yokes]
        refusals = [found for found in made if isinstance(found, Refusal)]
        return refusals[0] if refusals and len(refusals) == len(made) else None

    def _crowded(self) -> Iterator[Cause]:
        """Items that several machines have to share, each having no other, and cannot."""
        guests: dict[int, list[int]] = {}
        for number, item in enumerate(self.points.items):
            options = {name for point in item.points for name in point.options}
            hosts = [
                other
                for other, its in enumerate(self.points.items)
                if options & {point.id for point in its.points}
            ]
            if len(hosts) == 1:
                guests.setdefault(hosts[0], []).append(number)
        for host, machines in sorted(guests.items()):
            found = self.circuits.candidates(frozenset({host, *machines}))
            if isinstance(found, Refusal) and found.reason not in ELSEWHERE:
                yield self._cause(self.points.items[host], found)

    def _cause(self, item: Item, refusal: Refusal) -> Cause:
        says, remedies = self._words(item, refusal)
        if item.pins and refusal.reason != "pin":
            remedies = [*self._unpin(item), *remedies]
        return Cause(refusal.reason, item.id, says, tuple(remedies))

    def _words(self, item: Item, refusal: Refusal) -> tuple[str, list[Remedy]]:
        facts: Any = refusal.facts
        match refusal.reason:
            case "overloaded":
                return self._overloaded(item, facts)
            case "cord load":
                return self._cord_load(facts)
            case "receptacle horsepower":
                return self._horsepower(facts)
            case "no way":
                cause = self._no_way([item])
                return cause.says, list(cause.remedies)
            case "voltage drop":
                return self._drop(item, facts)
            case "conductor" | "pull box":
                return self._conductor(item, facts)
            case "no price":
                return self._no_price(item, facts)
            case "no rating":
                return self._no_rating(item)
            case "motor breaker" | "nameplate breaker" | "not alone":
                return self._own_breaker(item, facts)
            case "not planned":
                return self._not_planned(facts)
            case "no place for machine":
                return self._no_place(facts["machine"])
            case _:
                return self._pinned(item, refusal)

    def _crowded_receptacles(self) -> Iterator[Cause]:
        """More machines than sockets: at one receptacle, or at all that are in reach."""
        plugged: dict[str, list[str]] = {}
        for at, machines in self.points.fixed.items():
            plugged[at] = list(machines)
        for machine, at in self.points.on_existing.items():
            plugged.setdefault(at, []).append(machine)
        crowded = [
            machines[-1]
            for at, machines in plugged.items()
            if at in self.points.yokes and len(machines) > self.points.yokes[at].receptacles
        ]
        if not crowded:
            seated = self.circuits.loads.seat(self.points.points)
            crowded = [str(seated.facts["machine"])] if isinstance(seated, Refusal) else []
        for machine in crowded:
            says, remedies = self._no_place(machine)
            yield Cause("no place for machine", machine, says, tuple(remedies))

    def _no_place(self, machine: str) -> tuple[str, list[Remedy]]:
        """Every receptacle of a machine is taken: another one, or room for two plugs."""
        says = f"{machine}: every receptacle in reach that it fits is taken"
        remedies = self._elsewhere([machine])
        for fitting in receptacles_in_reach(self.shop, self.points.machines[machine]):
            yoke = self.points.yokes[fitting.yoke_id]
            box = self.circuits.boxes[yoke.box or ""]
            place = box.yoke_ids.index(yoke.id)
            single, double = (f"{kind} {yoke.configuration}" for kind in ("single", "duplex"))
            if box.yokes[place] == single:
                yokes = [*box.yokes[:place], double, *box.yokes[place + 1 :]]
                change = (f"boxes[{box.id}].yokes", yokes)
                remedies.append(Remedy(f"a duplex receptacle at {yoke.id}", (change,)))
        return says, remedies

    def _elsewhere(self, machines: Iterable[str]) -> list[Remedy]:
        """Let the planner pick another receptacle."""
        return [
            Remedy(
                f"let the planner pick the receptacle of {name}: take `plugs_into` away",
                ((f"machines[{name}].plugs_into", None),),
            )
            for name in machines
            if self.points.machines[name].receptacle
        ]

    def _overloaded(self, item: Item, facts: Any) -> tuple[str, list[Remedy]]:
        running = facts["state"]
        if not running:
            says = (
                f"luminaires {', '.join(facts['lights'])} draw {facts['found']:.1f} A with 125 %"
                f" for continuous load, more than {facts['limit']:g} A: put some on another switch"
            )
            return says, []
        says = (
            f"{' + '.join(running)} on {item.id} = {facts['found']:.1f} A of {facts['limit']:g} A"
            f" when they run together"
        )
        remedies = self._elsewhere(running)
        if len(running) > 1:
            remedies.append(
                Remedy(
                    f"never run {' and '.join(running)} together (a promise among the people)",
                    (("use.never_together[+]", {"machines": list(running), "by": "promise"}),),
                    gives_up=True,
                )
            )
        return says, remedies

    def _cord_load(self, facts: Any) -> tuple[str, list[Remedy]]:
        name, yoke_id = facts["machine"], facts["at"]
        says = (
            f"{name} draws {facts['found']:g} A; plugged in at {yoke_id} it may draw"
            f" {facts['limit']:g} A (NEC 210.23 and 210.21(B)(2))"
        )
        yoke = self.points.yokes[yoke_id]
        alone = (
            Remedy(
                f"make {yoke_id} a single receptacle, alone on its circuit",
                ((f"boxes[{yoke.box}].yokes", [f"single {yoke.configuration}"]),),
            ),
        )
        return says, [*(alone if yoke.receptacles == 2 else ()), *self._elsewhere([name])]

    def _horsepower(self, facts: Any) -> tuple[str, list[Remedy]]:
        name, yoke = facts["machine"], self.points.yokes[facts["at"]]
        power, limit = horsepower_text(facts["found"]), horsepower_text(Fraction(facts["limit"]))
        says = (
            f"{name} has {power} hp; receptacle {yoke.configuration} at {yoke.id} is rated"
            f" {limit} hp (UL 498, from memory where the table says so)"
        )
        wire = Remedy(
            f"hard-wire {name} at {yoke.box}, with a disconnect in sight",
            (
                (f"machines[{name}].plugs_into", None),
                (f"machines[{name}].plug", None),
                (f"machines[{name}].hard_wired_at", yoke.box),
                (f"boxes[{yoke.box}].yokes", ["blank"]),
            ),
        )
        return says, [wire]

    def _no_way(self, items: Iterable[Item]) -> Cause:
        """Boxes that no cable reaches, in one cause."""
        panel = self.shop.panel().id
        boxes = sorted({p.box for item in items for p in item.points if p.box})
        cut_off = [b for b in boxes if not self.circuits.ways.between(panel, b)] or boxes
        named = ", ".join(cut_off)
        says = (
            f"no way for a cable from panel {panel} to {named}: masonry, or cut off by openings,"
            " and no raceway leads there"
        )
        changes = tuple(
            (
                f"routes.raceways[R-{box}]",
                {"kind": "EMT", "trade_size": "1/2", "ends": [panel, box]},
            )
            for box in cut_off
        )
        remedy = Remedy(f"lay 1/2 in EMT from {panel} to {named}", changes)
        return Cause("no way", named, says, (remedy,))

    def _drop(self, item: Item, facts: Any) -> tuple[str, list[Remedy]]:
        limit = ceil(facts["found"] * 10) / 10
        says = (
            f"{item.id}: voltage drops {facts['found']:.2f} % with the largest conductors there"
            f" are, grounds enlarged with them (250.122(B)); the recommended"
            f" limit is {facts['limit']:g} % (a recommendation, not a rule)"
        )
        accept = Remedy(
            f"accept {limit:g} %: set `voltage_drop_percent`, or place the panel nearer",
            (("code.voltage_drop_percent", limit),),
        )
        usual = Remedy("the usual 3 % recommendation", (("code.voltage_drop_percent", None),))
        return says, [accept, usual]

    def _conductor(self, item: Item, facts: Any) -> tuple[str, list[Remedy]]:
        if "box" in facts:
            says = (
                f"{item.id}: conductors of 4 AWG and larger want {facts['box']} to be"
                f" {facts['least']:g} in long (NEC 314.28), longer than any box there"
            )
            return says, self._unpin(item)
        says = (
            f"{item.id}: no conductor up to 6 AWG in cable, 2 AWG in a raceway to a hard-wired"
            f" machine, carries a {facts['amps']} A circuit on the ways there are (heat, terminals"
            " and grounds counted)"
        )
        remedies = self._raceway_to(item)
        if self.shop.code.smallest_receptacle_conductor != "12":
            remedies.append(
                Remedy(
                    "12 AWG as the smallest conductor for receptacles",
                    (("code.smallest_receptacle_conductor", None),),
                )
            )
        if self.shop.building.ceiling_runs == "attic":
            remedies.append(
                Remedy(
                    "run below the ceiling instead of in the hot attic",
                    (("building.ceiling_runs", "surface"),),
                )
            )
        if self.shop.panel().terminals is None:
            remedies.append(
                Remedy(
                    "read the terminal marking of the panel; many are marked 75 C",
                    ((f"supply.panels[{self.shop.panel().id}].terminals", "75 C"),),
                )
            )
        return says, remedies

    def _raceway_to(self, item: Item) -> list[Remedy]:
        """THHN in a raceway to hard-wired machines, from the nearest box that raceways lead to."""
        boxes = sorted({point.box for point in item.points if point.box})
        if len(boxes) > 1 or any(point.kind != "hard-wired" for point in item.points):
            return []
        panel, box = self.shop.panel().id, self.circuits.boxes[boxes[0]]
        ends = {end for raceway in self.shop.routes.raceways for end in raceway.ends}
        if box.id in ends:
            return []
        starts = [j for j in self.shop.routes.junction_boxes if j.id in ends]
        there = self.shop.position(box)
        near = min(starts, key=lambda j: dist(self.shop.position(j), there), default=None)
        start = panel if near is None else near.id
        raceway = {"kind": "EMT", "trade_size": "1", "ends": [start, box.id], "laid": "surface"}
        says = f"lay 1 in EMT from {start} to {box.id}, below the ceiling, for THHN"
        return [Remedy(says, ((f"routes.raceways[R-{box.id}]", raceway),))]

    def _no_price(self, item: Item, facts: Any) -> tuple[str, list[Remedy]]:
        book = self.circuits.catalogue.book.file
        says = f"{item.id}: {book} has no price for a part of its {facts['amps']} A circuit"
        remedy = Remedy("try with the invented price book", (("prices.book", None),))
        return says, [remedy] if self.shop.prices.book else []

    def _no_rating(self, item: Item) -> tuple[str, list[Remedy]]:
        kinds = sorted({p.configuration for p in item.points if p.configuration})
        says = f"{item.id}: no breaker rating suits {' with '.join(kinds)} on one circuit (210.21)"
        return says, self._unpin(item)

    def _not_planned(self, facts: Any) -> tuple[str, list[Remedy]]:
        """A receptacle with two hots and a neutral, or an old one: its two-wire sister instead."""
        yoke = self.points.yokes[facts["point"]]
        old = yoke.configuration or ""
        new = re.sub(r"^(L?)1[04]-(\d+R)$", r"\g<1>6-\2", old)
        yokes = self.circuits.boxes[yoke.box or ""].yokes
        changes: list[Change] = [
            (f"boxes[{yoke.box}].yokes", [text.replace(old, new) for text in yokes])
        ]
        changes += [
            (f"machines[{machine.id}].plug", new.replace("R", "P"))
            for machine in self.shop.machines
            if machine.plug == old.replace("R", "P")
        ]
        says = f"{facts['point']}: {facts['why']}"
        return says, [Remedy(f"a {new} receptacle, where the machine allows it", tuple(changes))]

    def _own_breaker(self, item: Item, facts: Any) -> tuple[str, list[Remedy]]:
        """A machine with a breaker or a circuit of its own, by its motor or its nameplate."""
        name = facts.get("machine")
        if name is None:
            says = (
                f"{item.id}: a motor on it may be behind {facts['limit']} A at most, with the"
                f" rest it would be {facts['found']} A (NEC 430.52, 430.53)"
            )
            return says, self._unpin(item)
        if "limit" in facts:
            says = (
                f"{name}: its nameplate asks for a breaker of {facts['limit']:g} A, and"
                f" {facts['found']} A is not that (NEC 440.4, 440.22, 630.12)"
            )
            return says, self._unpin(item)
        says = f"{name} has a circuit of its own (NEC 440, 625.40, 630), not one with other outlets"
        yoke = self.points.yokes.get(facts["at"])
        if yoke is None or yoke.receptacles == 1:
            return says, self._unpin(item)
        single = Remedy(
            f"make {yoke.id} a single receptacle, alone on its circuit",
            ((f"boxes[{yoke.box}].yokes", [f"single {yoke.configuration}"]),),
        )
        return says, [single, *self._unpin(item)]

    def _pinned(self, item: Item, refusal: Refusal) -> tuple[str, list[Remedy]]:
        if refusal.reason == "pin":
            return f"the pinned circuit of {item.id}: {refusal.facts['why']}", self._unpin(item)
        names = " and ".join(p.id for p in item.points)
        why = {
            "mixed voltages": "they have different voltages",
            "lights apart": "lights keep circuits of their own (`lights_apart`)",
            "apart": "they are also told to be on different circuits",
            "too many receptacles": "the local limit of receptacles per circuit is smaller",
        }.get(refusal.reason, refusal.reason)
        return f"{names} are pinned to one circuit, but {why}", self._unpin(item)

    def _unpin(self, item: Item) -> list[Remedy]:
        return self._drop_pins({point.id for point in item.points})

    def _drop_pins(self, members: set[str]) -> list[Remedy]:
        """Take away the pins of these yokes."""
        pins = self.shop.canonical().get("pins", {})
        circuits = [pin for pin in pins.get("circuits", []) if not members & set(pin["yokes"])]
        if len(circuits) < len(pins.get("circuits", [])):
            return [Remedy("drop this pin", (("pins.circuits", circuits or None),))]
        together = [group for group in pins.get("together", []) if not members & set(group)]
        if len(together) < len(pins.get("together", [])):
            return [Remedy("drop this pin", (("pins.together", together or None),))]
        return []

    def _no_box(self, box_id: str) -> Cause:
        box = next(b for b in self.shop.boxes if b.id == box_id)
        where = "outdoors" if box.outdoors else "here"
        says = f"box {box_id}: the price book has no box for {len(box.yokes)} yokes {where}"
        change = (f"boxes[{box_id}].yokes", list(box.yokes[:1]))
        fewer = Remedy("one yoke only", (change,), gives_up=True)
        return Cause("no box", box_id, says, (fewer,) if len(box.yokes) > 1 else ())


def _wanting(item: Item) -> bool:
    """Whether an item is a machine whose receptacle the planner picks."""
    return any(point.options for point in item.points)


def _merged(causes: Iterable[Cause]) -> list[Cause]:
    """Voltage drop in one cause, with the largest limit it takes; the rest as they are."""
    drops = [cause for cause in causes if cause.reason == "voltage drop"]
    others = [cause for cause in causes if cause.reason != "voltage drop"]
    worst = max(drops, key=lambda cause: float(cause.remedies[0].changes[0][1]), default=None)
    return others if worst is None else [*others, worst]
