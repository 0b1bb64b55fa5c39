"""What binds each circuit: the limit nearest to being reached, and what would break it.

Recomputed from plan and shop; no claim of the plan is used. Amperes, cubic inches, percent.
A box that is still to be bought is measured against the largest of its shape (Table 314.16(A)):
its size is a choice, not a limit.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Final, Literal

from models.box_sizes import box_volume_in3
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, fill_percent
from models.plan import BoxPlan, CircuitPlan
from models.reach import fitting_receptacles, within_cord
from models.rules.box_fill import fill_in3
from models.rules.cord_and_plug import cord_limit_amps
from models.rules.raceway_fill import INSULATION
from models.rules.reading import CONTINUOUS, Reading, machine_amps
from models.rules.rule import SAME_AMPS
from models.rules.voltage_drop import worst_percent
from models.shop import Machine

LARGEST_BOX: Final = {
    "square": "4-11/16 x 2-1/8 square",
    "octagonal": "4 x 2-1/8 octagonal",
    "single gang": "FD single gang",
}
LARGEST_GROUP_TRIED: Final = 3
Kind = Literal["load", "one machine", "box", "raceway", "drop", "receptacles"]


@dataclass(frozen=True)
class Limit:
    """One limit of a circuit: how much of it is taken, where, and by which machines on which day.

    `held_by` is what sets it: `breaker` or `conductor` for a load, the size of a box or raceway.
    """

    kind: Kind
    where: str
    found: float
    limit: float
    unit: str
    machines: tuple[str, ...] = ()
    day: str = ""
    held_by: str = ""

    @property
    def share(self) -> float:
        """The part of the limit that is taken."""
        return self.found / self.limit if self.limit else 0.0


@dataclass(frozen=True)
class Break:
    """Machines that together overload a circuit on a day; `added` are not on it today."""

    machines: tuple[str, ...]
    added: tuple[str, ...]
    day: str
    amps: float
    limit_amps: float
    in_reach: bool


@dataclass(frozen=True)
class Binding:
    """What binds a circuit; `breaks` is None when no machine whose plug fits could overload it."""

    circuit: str
    limits: tuple[Limit, ...]
    breaks: Break | None

    @property
    def nearest(self) -> Limit | None:
        """The limit nearest to being reached; of equal ones the first, load before the rest."""
        return max(self.limits, key=lambda limit: round(limit.share, 6), default=None)


class Bindings:
    """The bindings of all circuits of a plan."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self._together: dict[frozenset[str], tuple[str, bool]] = {}

    def of(self, circuit: CircuitPlan) -> Binding:
        """What binds one circuit."""
        return Binding(circuit.id, tuple(self.limits(circuit)), self.breaks(circuit))

    # How much of each limit is taken

    def limits(self, circuit: CircuitPlan) -> Iterator[Limit]:
        """Every limit of a circuit, and how much of it is taken."""
        reading = self.reading
        if (worst := reading.worst_on(circuit)) is not None:
            limit = reading.limit_amps(circuit)
            here = {machine.id for machine in reading.machines_on(circuit)}
            on = tuple(name for name in worst.state if name in here)
            held_by = "breaker" if limit >= circuit.breaker.amps else "conductor"
            yield Limit("load", circuit.id, worst.amps, limit, "A", on, worst.day, held_by)
        for placed in reading.plan.machines:
            outlet = reading.outlet_of(placed)
            if outlet and outlet.circuit == circuit.id and outlet.configuration:
                amps = machine_amps(reading.machines_of_shop[placed.id])
                most = cord_limit_amps(reading, circuit, outlet.configuration)
                yield Limit("one machine", outlet.id, amps, most, "A", (placed.id,))
        if circuit.life == "new" and circuit.runs:
            wished = reading.shop.code.voltage_drop_percent
            yield Limit("drop", circuit.id, worst_percent(reading, circuit), wished, "%")
        most_yokes = reading.shop.code.receptacles_per_circuit
        if most_yokes is not None:
            yokes = {outlet.yoke for outlet in reading.receptacles_on(circuit)}
            yield Limit("receptacles", circuit.id, len(yokes), most_yokes, "yokes")
        yield from self._raceways(circuit)
        yield from self._boxes(circuit)

    def _raceways(self, circuit: CircuitPlan) -> Iterator[Limit]:
        raceways = {raceway.id: raceway for raceway in self.reading.plan.raceways}
        used = {name for run in circuit.runs for name in run.raceways if name in raceways}
        for name in sorted(used):
            raceway = raceways[name]
            kept = self.reading.rooms_in_raceway.get(name, [])
            runs = [*(run for _, run in self.reading.runs_in_raceway[name]), *kept]
            inside = [c for run in runs for c in run.conductors]
            areas = [
                conductor_area_in2(c.awg, INSULATION if c.insulated else "bare") for c in inside
            ]
            percent = fill_percent(raceway.kind, raceway.trade_size, areas)
            size = f"{raceway.kind} {raceway.trade_size}" + ", room kept counted" * bool(kept)
            limit = 100 * fill_limit(len(inside))
            yield Limit("raceway", name, percent, limit, "%", held_by=size)

    def _boxes(self, circuit: CircuitPlan) -> Iterator[Limit]:
        ends = {end for run in circuit.runs for end in (run.start, *run.via, run.end)}
        for box in self.reading.plan.boxes:
            if box.id in ends and box.volume_in3 is not None:
                size = _largest_size(box)
                volume = box.volume_in3 if size == box.box else box_volume_in3(size)
                yield Limit("box", box.id, fill_in3(self.reading, box), volume, "in³", held_by=size)

    # What would break it

    @cached_property
    def _reach(self) -> dict[str, dict[str, bool]]:
        """For each machine with a plug the yokes it goes into, and whether its cord is as long."""
        shop = self.reading.shop
        return {
            machine.id: {
                fit.yoke_id: within_cord(machine, fit.distance_ft)
                for fit in fitting_receptacles(shop, machine)
            }
            for machine in shop.machines
        }

    def visitors(self, circuit: CircuitPlan) -> dict[str, bool]:
        """Machines from elsewhere whose plug goes into this circuit; whether the cord reaches."""
        here = {machine.id for machine in self.reading.machines_on(circuit)}
        yokes = {outlet.yoke for outlet in self.reading.receptacles_on(circuit)}
        found = {}
        for name, reach in self._reach.items():
            fitting = [reaches for yoke, reaches in reach.items() if yoke in yokes]
            if fitting and name not in here:
                found[name] = any(fitting)
        return found

    def breaks(self, circuit: CircuitPlan) -> Break | None:
        """The smallest group found that overloads a circuit: with as few from elsewhere as can be.

        Groups of up to three machines are looked through; a larger one is taken from the state
        that loads the circuit most, and none of its machines can be left out.
        """
        reading = self.reading
        loads, lights = reading.loads_on(circuit)
        visitors = self.visitors(circuit)
        machines = reading.machines_of_shop
        loads = loads | {name: weighted_amps(machines[name]) for name in visitors}
        limit = reading.limit_amps(circuit)
        worst = reading.worst(loads, lights)
        if worst is None or worst.amps <= limit + SAME_AMPS:
            return None
        group = self._small_group(circuit, loads, visitors, limit - lights)
        group = group or _thinned(loads, worst.state, limit - lights)
        if not plugs_in(reading, circuit, group):
            return None
        added = tuple(name for name in group if name in visitors)
        return Break(
            group,
            added,
            self._day(frozenset(group))[0],
            lights + sum(loads[name] for name in group),
            limit,
            all(visitors[name] for name in added),
        )

    def _small_group(
        self,
        circuit: CircuitPlan,
        loads: dict[str, float],
        visitors: dict[str, bool],
        room_amps: float,
    ) -> tuple[str, ...] | None:
        own = loads.keys() - visitors.keys()
        for size in range(1, LARGEST_GROUP_TRIED + 1):
            over = [
                group
                for group in combinations(sorted(loads), size)
                if sum(loads[name] for name in group) > room_amps + SAME_AMPS
                and self.reading.rules.running(group) & own <= set(group)
                and plugs_in(self.reading, circuit, group)
            ]
            over.sort(
                key=lambda group: (
                    not all(visitors.get(name, True) for name in group),
                    sum(name in visitors for name in group),
                    round(sum(loads[name] for name in group), 6),
                    group,
                )
            )
            found = next((group for group in over if self._day(frozenset(group))[1]), None)
            if found:
                return found
        return None

    def _day(self, group: frozenset[str]) -> tuple[str, bool]:
        """The day on which most of a group run at once, and whether all of them do."""
        if group not in self._together:
            most = self.reading.worst(dict.fromkeys(sorted(group), 1.0))
            self._together[group] = (
                (most.day, most.amps > len(group) - 0.5) if most else ("", False)
            )
        return self._together[group]


def plugs_in(reading: Reading, circuit: CircuitPlan, group: tuple[str, ...]) -> bool:
    """Whether a circuit has receptacles enough for all of a group at once."""
    plugged = [name for name in group if reading.machines_of_shop[name].plug is not None]
    return len(plugged) <= len(reading.receptacles_on(circuit))


def weighted_amps(machine: Machine) -> float:
    """Current of a machine as a breaker counts it: continuous at 125 %. [A]"""
    return machine_amps(machine) * (CONTINUOUS if machine.lasting else 1)


def _thinned(loads: dict[str, float], state: tuple[str, ...], room_amps: float) -> tuple[str, ...]:
    """Machines of a state without those that it takes no one of to be over, the lightest first."""
    group = [name for name in state if name in loads]
    for name in sorted(group, key=lambda name: (loads[name], name)):
        rest = [other for other in group if other != name]
        if sum(loads[other] for other in rest) > room_amps + SAME_AMPS:
            group = rest
    return tuple(group)


def _largest_size(box: BoxPlan) -> str:
    """The largest size that a box to be bought could have; an existing one stays as it is."""
    if box.life != "new":
        return box.box
    return next((size for shape, size in LARGEST_BOX.items() if box.box.endswith(shape)), box.box)
