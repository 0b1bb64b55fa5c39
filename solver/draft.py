"""Draft: the chosen circuits as parts of a plan, with ids, runs, conductors and claims."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from models.changeovers import SPARE_MARK
from models.part_keys import cable_key, single_key
from models.plan import (
    BreakerPlan,
    CircuitConductor,
    CircuitPlan,
    Conductor,
    Role,
    Run,
    Worst,
    Xyz,
)
from models.shop import Box, ExistingCircuit
from solver.candidate import HOTS, Candidate, Edge, Half
from solver.circuit import Circuits
from solver.devices import BREAKER
from solver.existing_runs import ExistingLeg, existing_legs, ground_of
from solver.load import Load
from solver.points import Point
from solver.routes import Way
from solver.worst import run_ampacity, worst_of, worst_state

COLOURS: Final[Mapping[Role, str]] = {
    "hot": "black", "hot2": "red", "neutral": "white", "switched": "black", "ground": "green",
    "traveller": "black", "traveller2": "red", "spare": "red",
}  # fmt: skip


@dataclass(frozen=True)
class Numbered:
    """A candidate with its circuit id, a pair with both, and the spaces of circuits."""

    ids: tuple[str, ...]
    candidate: Candidate
    spaces: Mapping[str, tuple[int, ...]]
    tandem: bool = False

    def breaker(self, name: str) -> BreakerPlan:
        """The breaker of a circuit; that of a pair is two poles in one, or two tied."""
        made = self.candidate
        spaces = self.spaces[name]
        tied = bool(made.halves) and made.tied
        if made.halves and not tied:
            spaces = tuple(sorted(space for one in self.ids for space in self.spaces[one]))
        return BreakerPlan(
            amps=float(made.breaker_amps),
            poles=1 if tied else made.poles,
            spaces=spaces,
            kind="tandem" if self.tandem else "gfci" if made.gfci == BREAKER else "plain",
            gfci=made.gfci == BREAKER,
            handle_tie=tied,
        )


def feet3(point: tuple[int, int, int]) -> Xyz:
    """A point in feet."""
    x, y, z = point
    return x / 100, y / 100, z / 100


def conductors(way: Way, awg: str, ground: str, roles: Sequence[Role]) -> tuple[Conductor, ...]:
    """The conductors of one run with the colours they are pulled in."""
    made = [Conductor(role=role, awg=awg, colour=COLOURS[role]) for role in roles]
    if "spare" in roles:  # of a cable the one left, in a raceway the hot or neutral to come
        colour = "white" if {"hot", "hot2"} <= set(roles) else "red"
        capped = Conductor(role="spare", awg=awg, colour=colour, marked=SPARE_MARK)
        made[roles.index("spare")] = capped
    if set(roles) >= {"hot", "switched"}:  # told apart: the switched one is the red
        made[roles.index("switched")] = Conductor(role="switched", awg=awg, colour="red")
    if way.method == "cable":
        if roles == ("hot", "hot2"):  # the white of a two-wire cable, re-marked: 200.7(C)
            made[1] = Conductor(role="hot2", awg=awg, colour="white", marked="black")
        if roles == ("hot2", "neutral"):  # a two-wire cable has no red
            made[0] = Conductor(role="hot2", awg=awg, colour="black")
        made.append(Conductor(role="ground", awg=ground, insulated=False, colour="bare"))
    else:
        made.append(Conductor(role="ground", awg=ground, colour=COLOURS["ground"]))
    return tuple(made)


def point_outlets(point: Point) -> list[str]:
    """Outlet ids of a point."""
    if point.receptacles == 2:
        return [f"{point.id}.top", f"{point.id}.bottom"]
    return list(point.luminaires) if point.kind == "lights" else [point.id]


def outlet_ids(box: Box) -> list[str]:
    """Outlets of a box: two on a duplex yoke, none on a switch."""
    ids = [box.id] if box.luminaire_watts is not None else []
    for yoke_id, kind, _, _ in box.devices:
        if kind == "duplex":
            ids += [f"{yoke_id}.top", f"{yoke_id}.bottom"]
        elif kind != "switch":
            ids.append(yoke_id)
    return ids


class Drafter:
    """Turns candidates and existing circuits into circuits of a plan."""

    def __init__(self, circuits: Circuits, counted: Mapping[str, int]) -> None:
        self.circuits, self.shop, self.counted = circuits, circuits.shop, counted
        self.points = circuits.points

    def new(self, numbered: Numbered) -> list[CircuitPlan]:
        """A selected circuit, or the two of a pair."""
        made = numbered.candidate
        if not made.halves:
            (name,) = numbered.ids
            at = () if made.gfci is None else (made.gfci,)
            whole = Half(made.items, made.load, at, made.drop_percent)
            return [self._circuit(numbered, name, whole, made.edges, made.edges)]
        circuits = []
        for name, other, half, hot in zip(
            numbered.ids, reversed(numbered.ids), made.halves, HOTS, strict=True
        ):
            edges = [edge for edge in made.edges if hot in edge.roles]
            listed = [edge for edge in edges if hot == HOTS[0] or not edge.shared]
            at_breaker = replace(half, gfci_at=(BREAKER,))
            fed = at_breaker if made.gfci == BREAKER else half
            circuit = self._circuit(numbered, name, fed, edges, listed)
            spaces = circuit.breaker.spaces
            (own,) = numbered.spaces[name]
            pole = None if circuit.breaker.handle_tie else spaces.index(own) + 1
            circuits.append(circuit.model_copy(update={"multiwire_with": other, "pole": pole}))
        return circuits

    def _circuit(
        self,
        numbered: Numbered,
        name: str,
        half: Half,
        edges: Sequence[Edge],
        listed: Sequence[Edge],
    ) -> CircuitPlan:
        """A circuit on these edges, with the runs that are listed on it."""
        made, load = numbered.candidate, half.load
        runs = tuple(
            self.run(f"{name}.{n}", edge, made, made.ground[edge.way.method])
            for n, edge in enumerate(listed, 1)
        )
        on = [self.run("", edge, made, made.ground[edge.way.method]) for edge in edges]
        methods = [edge.way.method for edge in edges]
        insulation = [run.make.partition(" ")[0] for run in on]
        return CircuitPlan(
            id=name,
            says=self._says(load),
            panel=made.panel,
            volts=made.volts,
            breaker=numbered.breaker(name),
            conductor=CircuitConductor(
                awg=made.awg,
                material="copper",
                insulation=" and ".join(dict.fromkeys(insulation)),
                count=max(edge.wires - edge.roles.count("spare") for edge in edges),
                ground_awg=made.ground[methods[0]],
                spares=max(edge.roles.count("spare") for edge in edges),
            ),
            outlets=tuple(sorted(o for p in load.outlets for o in point_outlets(p))),
            machines=tuple(sorted(load.placed)),
            runs=runs,
            gfci_at=half.gfci_at,
            worst=self._worst(made, load, on),
            voltage_drop_percent=round(half.drop_percent, 2),
            life="new",
            known="verified",
            pinned=self._is_pinned(half.items),
        )

    def _is_pinned(self, numbers: Sequence[int]) -> bool:
        """Whether the owner has chosen what is on it, or how it is built."""
        items = [self.points.items[item] for item in numbers]
        return any(item.pins for item in items) or any(map(self.points.is_pinned, numbers))

    def run(self, name: str, edge: Edge, made: Candidate, ground: str) -> Run:
        """A run along an edge."""
        way = edge.way
        cable = way.method == "cable"
        make = single_key(made.awg, wet=way.wet) + " in " + ", ".join(way.raceways)
        return Run(
            id=name,
            start=edge.start,
            end=edge.end,
            via=way.via,
            raceways=way.raceways,
            path=tuple(map(feet3, way.path)),
            length_ft=way.length_cft / 100,
            allowance_ft=self.circuits.slack_cft(edge.start, edge.end) / 100,
            make=cable_key(made.awg, edge.wires) if cable else make,
            method=way.method,
            conductors=conductors(way, made.awg, ground, edge.roles),
            ambient_c=way.ambient_c,
            current_carrying=(
                edge.carrying if cable else max(self.counted[r] for r in way.raceways)
            ),
            wet=way.wet,
        )

    def _ampacity(self, runs: Iterable[Run], awg: str, panel: str) -> float:
        """Ampacity of the worst of some runs. [A]"""
        return min(run_ampacity(run, awg, self.circuits.panels[panel]) for run in runs)

    def _worst(self, made: Candidate, load: Load, runs: Iterable[Run]) -> Worst | None:
        if load.weighted_amps == 0:
            return None
        ampacity = self._ampacity(runs, made.awg, made.panel)
        return worst_state(load.day, load.state, load.weighted_amps, made.breaker_amps, ampacity)

    def _says(self, load: Load) -> str:
        """What the directory prints: boxes, then machines by name in the same order."""
        if load.outlets[0].kind == "lights":
            lights = sorted(load.lights_amps)
            return ("Lights " if len(lights) > 1 else "Light ") + ", ".join(lights)
        seated = sorted(load.placed, key=lambda machine: (load.placed[machine], machine))
        names = [self.points.machines[m].name or m for m in seated]
        boxes = sorted({p.id for p in load.outlets})
        what = "Hard-wired" if load.outlets[0].kind == "hard-wired" else "Receptacles"
        if len(boxes) == 1 and what == "Receptacles":
            what = "Receptacle"
        return f"{what} {', '.join(boxes)}" + (f" ({', '.join(names)})" if names else "")

    # -- what is there already

    def existing(self, circuit: ExistingCircuit, kept: Candidate | None = None) -> CircuitPlan:
        """A circuit that is there, with what `kept` adds to it.

        Its runs are where a cable would most likely be, unless the owner says where they are.
        """
        runs = [
            self._existing_run(f"{circuit.id}.{number}", circuit, leg)
            for number, leg in enumerate(existing_legs(self.circuits.ways, circuit), 1)
        ]
        boxes = {box.id: box for box in self.shop.boxes}
        outlets = [outlet for name in circuit.feeds for outlet in outlet_ids(boxes[name])]
        machines = sorted(kept.load.placed) if kept else self._machines_on(circuit)
        exchanged = kept is not None and kept.gfci == BREAKER and not circuit.gfci
        gfci = exchanged or circuit.gfci
        as_it_is = CircuitPlan(
            id=circuit.id,
            says=circuit.says or "Existing: " + ", ".join(circuit.feeds),
            panel=circuit.panel,
            volts=240 if len(circuit.spaces) == 2 else 120,
            breaker=BreakerPlan(
                amps=circuit.breaker_amps,
                poles=2 if len(circuit.spaces) == 2 else 1,
                spaces=circuit.spaces,
                kind="tandem" if self._is_tandem(circuit) else "gfci" if gfci else "plain",
                gfci=gfci,
                exchanged=exchanged,
            ),
            conductor=CircuitConductor(
                awg=circuit.conductor,
                material="copper",
                insulation="NM-B",
                count=2,
                ground_awg=ground_of(circuit),
                spares=0,
            ),
            outlets=tuple(sorted(outlets)),
            machines=tuple(machines),
            runs=tuple(runs),
            gfci_at=(BREAKER,) if gfci else (),
            worst=None,
            voltage_drop_percent=None,
            life="existing",
            known=circuit.known,
            pinned=kept is not None and self._is_pinned(kept.items),
        )
        whole = self._extended(as_it_is, circuit, kept) if kept and kept.edges else as_it_is
        return whole.model_copy(update={"worst": self._existing_worst(whole)})

    def _extended(self, old: CircuitPlan, circuit: ExistingCircuit, made: Candidate) -> CircuitPlan:
        """A circuit that is there with new runs and outlets."""
        new = tuple(
            self.run(f"{circuit.id}.{number}", edge, made, made.ground[edge.way.method])
            for number, edge in enumerate(made.edges, len(old.runs) + 1)
        )
        added = [point for point in made.load.outlets if point.box not in circuit.feeds]
        outlets = [outlet for point in added for outlet in point_outlets(point)]
        ground = made.ground[made.edges[0].way.method]
        return old.model_copy(
            update={
                "says": ", ".join([old.says, *sorted({point.id for point in added})]),
                "conductor": old.conductor.model_copy(update={"ground_awg": ground}),
                "outlets": tuple(sorted({*old.outlets, *outlets})),
                "runs": (*old.runs, *new),
                "voltage_drop_percent": round(made.drop_percent, 2),
            }
        )

    def _existing_worst(self, circuit: CircuitPlan) -> Worst | None:
        """The worst state of a circuit that is there, with what is added to it."""
        ampacity = self._ampacity(circuit.runs, circuit.conductor.awg, circuit.panel)
        return worst_of(self.points, self.circuits.loads, circuit, ampacity)

    def removed(self, circuit: ExistingCircuit) -> CircuitPlan:
        """A circuit that is taken apart, as it was."""
        was = self.existing(circuit)
        runs = tuple(run.model_copy(update={"life": "removed"}) for run in was.runs)
        return was.model_copy(
            update={"runs": runs, "life": "removed", "machines": (), "worst": None}
        )

    def _is_tandem(self, circuit: ExistingCircuit) -> bool:
        """Whether another existing circuit is in the same space."""
        held = [(c.panel, space) for c in self.shop.existing for space in c.spaces]
        return any(held.count((circuit.panel, space)) > 1 for space in circuit.spaces)

    def _machines_on(self, circuit: ExistingCircuit) -> list[str]:
        return sorted(
            machine
            for machine, at in self.points.on_existing.items()
            if self.points.box_at(at) in circuit.feeds
        )

    def _existing_run(self, name: str, circuit: ExistingCircuit, leg: ExistingLeg) -> Run:
        way = leg.way
        return Run(
            id=name,
            start=leg.start,
            end=leg.end,
            via=way.via,
            raceways=way.raceways,
            path=tuple(map(feet3, way.path)),
            length_ft=leg.length_cft / 100,
            allowance_ft=self.circuits.slack_cft(leg.start, leg.end) / 100,
            make=(
                single_key(circuit.conductor) + " in " + ", ".join(way.raceways)
                if leg.in_raceway
                else cable_key(circuit.conductor, 2)
            ),
            method=leg.method,
            conductors=conductors(way, circuit.conductor, ground_of(circuit), leg.roles),
            ambient_c=way.ambient_c,
            current_carrying=max((self.counted[r] for r in way.raceways), default=2),
            wet=way.wet,
            life="existing",
            known=leg.known,
        )
