"""Both sides of a changeover: a machine, its circuit, the boxes on the way, before and after."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Self

from models.changeovers import kept_words
from models.plan import (
    BoxPlan,
    CircuitPlan,
    Conductor,
    MachinePlan,
    OutletPlan,
    Plan,
    Run,
    YokePlan,
)
from models.shop import Shop
from models.shop_differences import shop_differences

Pair = tuple[Conductor, Conductor]


@dataclass(frozen=True)
class Sides:
    """Two plans that differ by the changeover of one machine."""

    old: Plan
    new: Plan
    machine_before: MachinePlan
    machine_after: MachinePlan
    before: CircuitPlan
    after: CircuitPlan

    @classmethod
    def of(cls, old: Plan, new: Plan, machine: str) -> Self:
        """The sides of a machine's day."""
        was, then = (next(m for m in p.machines if m.id == machine) for p in (old, new))
        circuits = (next(c for c in p.circuits if c.id == was.circuit) for p in (old, new))
        return cls(old, new, was, then, *circuits)

    @property
    def name(self) -> str:
        """What the machine is called."""
        return self.machine_before.name or self.machine_before.id

    @cached_property
    def outlet(self) -> OutletPlan:
        """The outlet that the machine has after the day."""
        after = self.machine_after
        return next(
            o
            for o in self.new.outlets
            if o.id == after.outlet
            or (after.outlet is None and o.kind == "hard-wired" and o.box == after.hard_wired_at)
        )

    @property
    def seat(self) -> str:
        """Its yoke, or its box where it is wired."""
        return self.outlet.yoke or self.outlet.box

    @cached_property
    def circuits(self) -> dict[str, CircuitPlan]:
        """The circuits of the plan in force."""
        return {circuit.id: circuit for circuit in self.old.circuits}

    @cached_property
    def way(self) -> tuple[tuple[Run, Run], ...]:
        """The runs from the panel to the machine, each before and after."""
        then = {run.id: run for run in self.after.runs}
        above = {run.end: run for run in self.before.runs}
        found: list[tuple[Run, Run]] = []
        box = self.outlet.box
        while box in above:
            found.insert(0, (above[box], then[above[box].id]))
            box = above[box].start
        return tuple(found)

    @property
    def boxes(self) -> tuple[str, ...]:
        """Boxes that are opened, from the panel outward, the machine's last."""
        return tuple(run.end for run, _ in self.way)

    def changed(self, run: Run, then: Run) -> list[Pair]:
        """Conductors of a run that serve otherwise, or are marked otherwise, afterwards."""
        pairs = zip(run.conductors, then.conductors, strict=True)
        return [(wire, later) for wire, later in pairs if wire != later]

    @property
    def capped(self) -> tuple[str, ...]:
        """Runs with a conductor that the day leaves without use."""
        return tuple(
            run.id
            for run, then in self.way
            if any(later.role == "spare" for _, later in self.changed(run, then))
        )

    @cached_property
    def beside(self) -> dict[str, list[str]]:
        """Other circuits with a conductor or device in a box that is opened, and which boxes."""
        opened = set(self.boxes)
        found: dict[str, list[str]] = {}
        for box in self.old.boxes:
            if box.id in opened:
                here = {one.circuit for one in box.conductors}
                here |= {yoke.circuit for yoke in box.yokes if yoke.circuit}
                here &= {circuit.id for circuit in self.old.circuits}
                for circuit in sorted(here - {self.before.id}):
                    found.setdefault(circuit, []).append(box.id)
        return found

    @cached_property
    def boxes_before(self) -> dict[str, BoxPlan]:
        """Boxes of the plan in force."""
        return {box.id: box for box in self.old.boxes}

    @cached_property
    def exchanged(self) -> list[YokePlan]:
        """GFCI devices on the way that leave with the day, the machine's own apart."""
        then = {yoke.id: yoke for box in self.new.boxes for yoke in box.yokes}
        return [
            yoke
            for name in self.boxes
            for yoke in self.boxes_before[name].yokes
            if yoke.gfci and not then[yoke.id].gfci and yoke.id != self.seat
        ]

    def critical_behind(self, panel: str) -> list[str]:
        """Critical machines on a panel and on those that hang on it."""
        shop = Shop.model_validate(self.old.source.shop)
        behind = {panel}
        while more := {f.to for f in self.old.feeders if f.source in behind} - behind:
            behind |= more
        fed = {circuit.id for circuit in self.old.circuits if circuit.panel in behind}
        on = {machine.id for machine in self.old.machines if machine.circuit in fed}
        return [m.name or m.id for m in shop.machines if m.critical and m.id in on]

    def outlet_after(self, outlet: OutletPlan) -> OutletPlan | None:
        """An outlet as it is after the day; of the exchanged yoke the first stands for both."""
        if (outlet.yoke or outlet.box) == self.seat:
            return self.outlet if outlet.position in (None, "top") else None
        return next(o for o in self.new.outlets if o.id == outlet.id)

    @cached_property
    def shop_changes(self) -> list[str]:
        """What the owner's shop file says otherwise from that day on, key by key."""
        found = [
            f"{one.path}: {one.after or 'left out'}, not {one.before or 'left out'}"
            for one in shop_differences(self.old.source.shop, self.new.source.shop)
            if not one.path.startswith("later")
        ]
        return [*found, f"later.changeovers: without {self.machine_before.id}"]

    def directory(self, plan: Plan, space: int) -> str:
        """What the circuit directory says of a space of the circuit's panel."""
        panel = next(p for p in plan.panels if p.id == self.before.panel)
        entry = next(one for one in panel.spaces if one.space == space)
        if entry.circuit is None:
            return kept_words(plan, entry.reserved_for)
        one = next(c for c in plan.circuits if c.id == entry.circuit)
        poles = {1: "1 pole", 2: "2 poles"}[one.breaker.poles]
        kind = " GFCI" if one.breaker.gfci else ""
        return f"{one.id}, {one.says}, {one.breaker.amps:g} A{kind}, {poles}, {one.volts_text} V"

    def plate(self, plan: Plan, outlet: OutletPlan) -> str:
        """What the plate of an outlet says: circuit, spaces, amperes, volts."""
        one = next(c for c in plan.circuits if c.id == outlet.circuit)
        spaces = spaces_words(one.fed_at(outlet.volts))
        guard = {None: "", "breaker": ", GFCI at the breaker"}.get(outlet.protected_by)
        guarded = f", GFCI at {outlet.protected_by}" if guard is None else guard
        return f"{one.id}, {spaces}, {one.breaker.amps:g} A, {outlet.volts} V{guarded}"


def spaces_words(spaces: Sequence[int]) -> str:
    """Spaces of a panel.

    >>> spaces_words((5, 7)), spaces_words([3])
    ('spaces 5 and 7', 'space 3')
    """
    return f"{'space' if len(spaces) == 1 else 'spaces'} {' and '.join(map(str, spaces))}"
