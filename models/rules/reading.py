"""A finished plan as the checks read it: looked up by id, with what they all derive from it.

Loads, working states, ampacities and trees are derived here from the plan's choices (what hangs
where, which wire, which way) and the shop, never taken from the plan's own claims about them.
Amperes, feet, °C.
"""

from collections.abc import Iterable
from functools import cached_property
from typing import Any, NamedTuple

from models.crew import Crew
from models.formulas.ampacity import ampacity_amps
from models.formulas.motors import motor_amps
from models.formulas.overcurrent import largest_breaker_amps
from models.formulas.receptacles import Receptacle, receptacle
from models.naming import called
from models.plan import CircuitPlan, MachinePlan, OutletPlan, Plan, Role, Run
from models.shop import Box, Machine, Shop
from models.spaces import Laid, hottest_c
from models.states import Known, WorkingRules, binding_days
from models.switching import Group, switch_groups

CONTINUOUS = 1.25  # 210.20(A), 215.3
CARRYING = frozenset({"hot", "hot2", "switched", "traveller", "traveller2", "neutral"})
LUMINAIRE_VOLTS = 120


class Tree:
    """Runs by the enclosures they join; also readable when they form no tree."""

    def __init__(self, runs: Iterable[Run]) -> None:
        self.run_to: dict[str, Run] = {}
        self.runs_from: dict[str, list[Run]] = {}
        for run in runs:
            self.run_to.setdefault(run.end, run)
            self.runs_from.setdefault(run.start, []).append(run)
        self._ways: dict[str, list[Run]] = {}
        self._beyond: dict[str, frozenset[str]] = {}

    def way(self, enclosure: str) -> list[Run]:
        """Runs from the panel out to an enclosure; ends early where the plan has no way."""
        if enclosure not in self._ways:
            runs: list[Run] = []
            seen, at = set(), enclosure
            while (run := self.run_to.get(at)) and run.id not in seen:
                runs.insert(0, run)
                seen.add(run.id)
                at = run.start
            self._ways[enclosure] = runs
        return self._ways[enclosure]

    def passed(self, enclosure: str) -> list[str]:
        """Enclosures on the way to one, itself last, the panel left out."""
        return [run.end for run in self.way(enclosure)]

    def beyond(self, run: Run) -> frozenset[str]:
        """The enclosure at a run's end and every one further out."""
        if run.end not in self._beyond:
            found, todo = set(), [run.end]
            while todo:
                here = todo.pop()
                if here not in found:
                    found.add(here)
                    todo += [further.end for further in self.runs_from.get(here, [])]
            self._beyond[run.end] = frozenset(found)
        return self._beyond[run.end]


class WorstState(NamedTuple):
    """A state of a day and the amperes it puts on something, continuous loads as asked for."""

    day: str
    state: tuple[str, ...]
    amps: float


class Reading:
    """One plan with its shop, ready to be asked."""

    def __init__(self, plan: Plan, shop: Shop) -> None:
        self.plan, self.shop = plan, shop
        self.edition = shop.code.edition
        self.rules = WorkingRules.of(shop.machines, shop.use)
        self.days = binding_days(shop.use.days)
        self.crews = {day.id: Crew.of(shop, day) for day in self.days}
        self._states = {day.id: Known() for day in self.days}
        self.machines_of_shop = {machine.id: machine for machine in shop.machines}
        self.called = called(shop.machines)
        self.boxes_of_shop = {box.id: box for box in shop.boxes}
        self.existing = {circuit.id: circuit for circuit in shop.existing}
        self.circuits = {circuit.id: circuit for circuit in plan.circuits}
        self.boxes = {box.id: box for box in plan.boxes}
        self.outlets = {outlet.id: outlet for outlet in plan.outlets}
        self.machines = {machine.id: machine for machine in plan.machines}
        self.kept: dict[object, Any] = {}  # what a check works out once for many circuits
        self.trees = {circuit.id: Tree(self.runs_of(circuit)) for circuit in plan.circuits}

    @property
    def new_circuits(self) -> list[CircuitPlan]:
        """Circuits this plan builds."""
        return [circuit for circuit in self.plan.circuits if circuit.life == "new"]

    @property
    def worked_circuits(self) -> list[CircuitPlan]:
        """Circuits this plan builds, and existing ones that it adds runs to."""
        return [circuit for circuit in self.plan.circuits if is_worked(circuit)]

    @cached_property
    def switch_groups(self) -> tuple[Group, ...]:
        """The switch groups of the shop."""
        return switch_groups(self.shop)

    @cached_property
    def runs_in_raceway(self) -> dict[str, list[tuple[CircuitPlan, Run]]]:
        """Every run by the raceways it lies in."""
        found: dict[str, list[tuple[CircuitPlan, Run]]] = {}
        for circuit in self.plan.circuits:
            for run in circuit.runs:
                for raceway in run.raceways:
                    found.setdefault(raceway, []).append((circuit, run))
        return found

    @cached_property
    def rooms_in_raceway(self) -> dict[str, list[Run]]:
        """Runs of machines that may come, by the raceways in which room is kept for them."""
        found: dict[str, list[Run]] = {}
        for run in self.plan.rooms:
            for raceway in run.raceways:
                found.setdefault(raceway, []).append(run)
        return found

    @cached_property
    def runs_at(self) -> dict[str, list[tuple[CircuitPlan, Run]]]:
        """Every run by the enclosures it ends in or passes."""
        found: dict[str, list[tuple[CircuitPlan, Run]]] = {}
        for circuit in self.plan.circuits:
            for run in circuit.runs:
                for enclosure in dict.fromkeys((run.start, *run.via, run.end)):
                    found.setdefault(enclosure, []).append((circuit, run))
        return found

    def names(self, ids: Iterable[str]) -> str:
        """Machines as people say them together, "table saw + battery chargers"."""
        return " + ".join(self.called.get(name, name) for name in ids)

    # Multiwire pairs

    def partner(self, circuit: CircuitPlan) -> CircuitPlan | None:
        """The circuit that shares the neutral of this one."""
        return self.circuits.get(circuit.multiwire_with or "")

    def pair(self, circuit: CircuitPlan) -> tuple[CircuitPlan, ...]:
        """A circuit, and its partner where it shares a neutral."""
        other = self.partner(circuit)
        return (circuit,) if other is None else (circuit, other)

    def runs_of(self, circuit: CircuitPlan) -> list[Run]:
        """Runs that feed a circuit: its own, and those listed on its partner that carry both."""
        other = self.partner(circuit)
        shared = [run for run in other.runs if is_shared(run)] if other else []
        return [*shared, *circuit.runs]

    def hot_of(self, circuit: CircuitPlan) -> Role:
        """The hot of a 120 V circuit: `hot2` where shared runs are listed on its partner."""
        other = self.partner(circuit)
        listed_there = other is not None and any(map(is_shared, other.runs))
        return "hot2" if listed_there and not any(map(is_shared, circuit.runs)) else "hot"

    # What hangs on a circuit

    def outlets_on(self, circuit: CircuitPlan) -> list[OutletPlan]:
        """Outlets that name this circuit."""
        return list(self._outlets_of.get(circuit.id, ()))

    @cached_property
    def _outlets_of(self) -> dict[str | None, list[OutletPlan]]:
        """Outlets by the circuit that they name."""
        found: dict[str | None, list[OutletPlan]] = {}
        for outlet in self.plan.outlets:
            found.setdefault(outlet.circuit, []).append(outlet)
        return found

    def receptacles_on(self, circuit: CircuitPlan) -> list[OutletPlan]:
        """Receptacle outlets of a circuit; a duplex is two."""
        return [outlet for outlet in self.outlets_on(circuit) if outlet.kind == "receptacle"]

    def is_individual(self, circuit: CircuitPlan) -> bool:
        """One single receptacle or one hard-wired outlet, and nothing else, is on it."""
        return len(self.outlets_on(circuit)) == 1

    def machines_on(self, circuit: CircuitPlan) -> list[Machine]:
        """Machines of the shop that take their current from this circuit."""
        return [self.machines_of_shop[machine.id] for machine, _ in self.placed_on(circuit)]

    def placed_on(self, circuit: CircuitPlan) -> list[tuple[MachinePlan, OutletPlan]]:
        """Machines that take their current from this circuit, each with the outlet it has."""
        return list(self._placed.get(circuit.id, ()))

    @cached_property
    def _placed(self) -> dict[str | None, list[tuple[MachinePlan, OutletPlan]]]:
        """Machines with their outlets, by circuit."""
        found: dict[str | None, list[tuple[MachinePlan, OutletPlan]]] = {}
        for machine in self.plan.machines:
            if outlet := self.outlet_of(machine):
                found.setdefault(outlet.circuit, []).append((machine, outlet))
        return found

    @cached_property
    def _hard_wired(self) -> dict[str, OutletPlan]:
        """The first hard-wired outlet of each name and of each box."""
        found: dict[str, OutletPlan] = {}
        for outlet in self.plan.outlets:
            if outlet.kind == "hard-wired":
                found.setdefault(outlet.id, outlet)
                found.setdefault(outlet.box, outlet)
        return found

    def outlet_of(self, machine: MachinePlan) -> OutletPlan | None:
        """The outlet that feeds a machine: a receptacle, or the one of its box if hard-wired."""
        if machine.outlet is not None:
            return self.outlets.get(machine.outlet)
        return self._hard_wired.get(machine.hard_wired_at or "")

    def box_of_shop(self, outlet: OutletPlan) -> Box:
        """The shop's box that holds an outlet."""
        return self.boxes_of_shop[outlet.box]

    def luminaire_amps(self, circuit: CircuitPlan) -> float:
        """Current of the luminaires of a circuit, all on. [A]"""
        boxes = [self.box_of_shop(o) for o in self.outlets_on(circuit) if o.kind == "luminaire"]
        return sum((box.luminaire_watts or 0) / LUMINAIRE_VOLTS for box in boxes)

    # Working states

    def worst(
        self, loads: dict[str, float], base_amps: float = 0.0, rules: WorkingRules | None = None
    ) -> WorstState | None:
        """The state of a binding day with the greatest load; the first day wins a tie."""
        found: WorstState | None = None
        for day in self.days:
            known = self._states[day.id] if rules is None else None
            state = (rules or self.rules).worst(loads, self.crews[day.id], known)
            if found is None or base_amps + state.load > found.amps + 1e-9:
                found = WorstState(day.id, state.machines, base_amps + state.load)
        return found

    def worst_on(self, circuit: CircuitPlan) -> WorstState | None:
        """The worst state of a circuit, continuous loads and luminaires at 125 %. [A]

        None where nothing ever loads it: no machine is on it, or nobody is there to run one.
        """
        found = self.worst(*self.loads_on(circuit))
        return found if found is not None and found.amps else None

    def loads_on(self, circuit: CircuitPlan) -> tuple[dict[str, float], float]:
        """Machines and luminaires of a circuit, continuous ones at 125 %. [A]"""
        machines = {
            machine.id: machine_amps(machine) * (CONTINUOUS if machine.lasting else 1)
            for machine in self.machines_on(circuit)
        }
        return machines, CONTINUOUS * self.luminaire_amps(circuit)

    def allows(self, state: tuple[str, ...], day_id: str) -> bool:
        """Whether these machines may be on together on a day, asked rule by rule."""
        crew = self.crews.get(day_id)
        on, use = set(state), self.shop.use
        if crew is None or len(on) != len(state) or not on <= self.machines_of_shop.keys():
            return False
        follows = {follower.machine for follower in use.followers}
        attended = [m for m in on if self.machines_of_shop[m].attended and m not in follows]
        return (
            crew.attends(attended)
            and all(len(on & set(group.machines)) <= group.at_most for group in use.never_together)
            and all(
                (follower in on)
                == any(on & set(f.follows) for f in use.followers if f.machine == follower)
                for follower in follows
            )
        )

    # What a run carries

    def ambient_c(self, run: Run) -> float:
        """The hottest space a run crosses. [°C]"""
        return hottest_c(self.shop.building, run.path, self.laid(run))

    def laid(self, run: Run) -> Laid:
        """How a run lies: as cable, or as the raceways it goes through; the hottest of several."""
        if run.method != "raceway":
            return "cable"
        raceways = {r.id: r.laid for r in self.shop.routes.raceways}
        laid = {raceways.get(name, "surface") for name in run.raceways}
        kinds: tuple[Laid, ...] = ("attic", "in wall", "surface", "buried")
        return next((kind for kind in kinds if kind in laid), "surface")

    def carrying(self, run: Run) -> int:
        """Current-carrying conductors around a run: its own, or those of its fullest raceway."""
        if run.method != "raceway":
            return self.carrying_of(run)
        return max((self.carrying_in(raceway) for raceway in run.raceways), default=0)

    def carrying_in(self, raceway: str) -> int:
        """Current-carrying conductors of all runs in a raceway (310.15)."""
        return sum(self.carrying_of(run) for _, run in self.runs_in_raceway.get(raceway, []))

    def carrying_of(self, run: Run) -> int:
        """Current-carrying conductors of a run; the neutral of both hots of a pair is none."""
        carrying = sum(c.role in CARRYING for c in run.conductors)
        paired = self.circuit_of[run.id].multiwire_with is not None
        return carrying - (paired and is_shared(run))

    @cached_property
    def circuit_of(self) -> dict[str, CircuitPlan]:
        """The circuit that lists a run."""
        return {run.id: circuit for circuit in self.plan.circuits for run in circuit.runs}

    def run_ampacity(self, circuit: CircuitPlan, run: Run) -> float:
        """Ampacity of the smallest hot of a run where it lies and where it ends. [A]"""
        awgs = [c.awg for c in run.conductors if c.role in CARRYING] or [circuit.conductor.awg]
        return min(self.ampacity(circuit, run, awg) for awg in dict.fromkeys(awgs))

    def ampacity(
        self, circuit: CircuitPlan, run: Run, awg: str, counted: int | None = None
    ) -> float:
        """Ampacity a conductor of this size would have in the place of a run. [A]

        Among so many current-carrying conductors as are `counted`, otherwise as the plan has them.
        """
        marked_75 = any(
            panel.terminals == "75 C"
            for panel in self.shop.supply.panels
            if panel.id == circuit.panel
        )
        return ampacity_amps(
            awg,
            terminal_c=75 if run.method == "raceway" and marked_75 else 60,
            ambient_c=self.ambient_c(run),
            current_carrying=self.carrying(run) if counted is None else counted,
            material=circuit.conductor.material,
        )

    def breaker_ceiling_amps(
        self, circuit: CircuitPlan, run: Run, awg: str, *, several_receptacles: bool
    ) -> int:
        """Largest breaker for a conductor of this size in the place of a run; 0 for none. [A]"""
        ampacity = self.ampacity(circuit, run, awg)
        return self._ceiling_amps(circuit, awg, ampacity, several_receptacles)

    def allowed_breaker_amps(self, circuit: CircuitPlan, ampacity: float) -> int:
        """Largest breaker for a circuit's conductors of this ampacity; 0 for none. [A]"""
        several = len(self.receptacles_on(circuit)) > 1
        return self._ceiling_amps(circuit, circuit.conductor.awg, ampacity, several)

    def _ceiling_amps(
        self, circuit: CircuitPlan, awg: str, ampacity: float, several_receptacles: bool
    ) -> int:
        largest = largest_breaker_amps(
            awg,
            ampacity,
            several_receptacles=several_receptacles,
            edition=self.edition,
            material=circuit.conductor.material,
        )
        return largest or 0

    def circuit_ampacity(self, circuit: CircuitPlan) -> float:
        """Ampacity of a circuit's worst run; of its size in cable where no run is known. [A]"""
        key = "ampacity", circuit.id
        if key not in self.kept:
            self.kept[key] = self._worst_ampacity(circuit)
        amps: float = self.kept[key]
        return amps

    def _worst_ampacity(self, circuit: CircuitPlan) -> float:
        known = [run for run in self.runs_of(circuit) if run.method != "unknown" and run.conductors]
        if not known:
            return ampacity_amps(
                circuit.conductor.awg,
                ambient_c=self.room_c(circuit),
                material=circuit.conductor.material,
            )
        return min(self.run_ampacity(circuit, run) for run in known)

    def room_c(self, circuit: CircuitPlan) -> float:
        """The hottest room that a circuit has a box in. [°C]"""
        building, shop = self.shop.building, self.shop
        runs = self.runs_of(circuit)
        ends = [shop.enclosures[run.end] for run in runs if run.end in shop.enclosures]
        rooms = [building.climate_at(*shop.stands_in(place)).room_c for place in ends]
        return max(rooms, default=building.ambient.room_c)

    def limit_amps(self, circuit: CircuitPlan) -> float:
        """The lesser of breaker and ampacity. [A]"""
        return min(circuit.breaker.amps, self.circuit_ampacity(circuit))


def is_shared(run: Run) -> bool:
    """Whether a run carries two hots and the neutral between them, which then carries only what
    they differ by, 310.15(E); in a tail of two wires it carries everything.
    """
    return {"hot", "hot2", "neutral"} <= {conductor.role for conductor in run.conductors}


def is_worked(circuit: CircuitPlan) -> bool:
    """Whether a circuit is new, or existing and extended by new runs."""
    return circuit.life == "new" or any(run.life == "new" for run in circuit.runs)


def new_runs(circuit: CircuitPlan) -> list[Run]:
    """Runs that this plan pulls."""
    return [run for run in circuit.runs if run.life == "new"]


def machine_amps(machine: Machine) -> float:
    """Current of a machine: motor table, nameplate amperes, or power over volts. [A]"""
    if machine.motor_hp is not None:
        return motor_amps(machine.motor_hp, machine.volts)
    for amps in (machine.marked_amps, machine.mca_amps, machine.i1eff_amps):
        if amps is not None:
            return amps
    return (machine.power_watts or 0) / machine.volts


def configuration_of(outlet: OutletPlan) -> Receptacle | None:
    """What the configuration of a receptacle gives; None for other outlets."""
    return receptacle(outlet.configuration) if outlet.configuration else None


def amps_text(amps: float) -> str:
    """Amperes without needless digits.

    >>> amps_text(23.0), amps_text(12.333)
    ('23 A', '12.3 A')
    """
    return f"{round(amps, 1):g} A"
