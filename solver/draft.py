"""Draft: the chosen circuits as parts of a plan, with ids, runs, conductors and claims."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from models.formulas.ampacity import ampacity_amps
from models.formulas.grounds import equipment_ground_awg
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
from models.shop import Box, ExistingCircuit, ExistingRun
from solver.candidate import HOTS, Candidate, Edge, Half
from solver.circuit import Circuits
from solver.load import CONTINUOUS_SHARE, Load
from solver.points import Point
from solver.routes import Way
from solver.wiring import BREAKER, NM_TERMINALS_C

COLOURS: Final[Mapping[Role, str]] = {
    "hot": "black", "hot2": "red", "neutral": "white", "switched": "black", "ground": "green",
    "traveller": "black", "traveller2": "red",
}  # fmt: skip


@dataclass(frozen=True)
class Numbered:
    """A candidate with its circuit id, a pair with both, and the spaces of circuits."""

    ids: tuple[str, ...]
    candidate: Candidate
    spaces: Mapping[str, tuple[int, ...]]

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
            kind="gfci" if made.gfci == BREAKER else "plain",
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
    if way.method == "cable":
        if roles == ("hot", "hot2"):  # the white of a two-wire cable, re-marked: 200.7(C)
            made[1] = Conductor(role="hot2", awg=awg, colour="white", marked="black")
        if roles == ("hot2", "neutral"):  # a two-wire cable has no red
            made[0] = Conductor(role="hot2", awg=awg, colour="black")
        if set(roles) >= {"hot", "switched"}:  # told apart: the switched one is the red
            made[roles.index("switched")] = Conductor(role="switched", awg=awg, colour="red")
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
            self._run(f"{name}.{n}", edge, made, made.ground[edge.way.method])
            for n, edge in enumerate(listed, 1)
        )
        on = [self._run("", edge, made, made.ground[edge.way.method]) for edge in edges]
        methods = [edge.way.method for edge in edges]
        return CircuitPlan(
            id=name,
            says=self._says(load),
            panel=made.panel,
            volts=made.volts,
            breaker=numbered.breaker(name),
            conductor=CircuitConductor(
                awg=made.awg,
                material="copper",
                insulation=" and ".join(
                    dict.fromkeys("NM-B" if m == "cable" else "THHN" for m in methods)
                ),
                count=max(edge.wires for edge in edges),
                ground_awg=made.ground[methods[0]],
                spares=0,
            ),
            outlets=tuple(sorted(o for p in load.outlets for o in point_outlets(p))),
            machines=tuple(sorted(load.placed)),
            runs=runs,
            gfci_at=half.gfci_at,
            worst=self._worst(made, load, on),
            voltage_drop_percent=round(half.drop_percent, 2),
            life="new",
            known="verified",
            pinned=any(map(self.points.is_pinned, half.items)),
        )

    def _run(self, name: str, edge: Edge, made: Candidate, ground: str) -> Run:
        way = edge.way
        cable = way.method == "cable"
        make = single_key(made.awg) + " in " + ", ".join(way.raceways)
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
        )

    def _ampacity(self, run: Run, awg: str, panel: str) -> float:
        marked = 75 if self.circuits.panels[panel].terminals == "75 C" else 60
        return ampacity_amps(
            awg,
            terminal_c=marked if run.method == "raceway" else NM_TERMINALS_C,
            ambient_c=run.ambient_c,
            current_carrying=run.current_carrying,
        )

    def _worst(self, made: Candidate, load: Load, runs: Iterable[Run]) -> Worst | None:
        if load.weighted_amps == 0:
            return None
        ampacity = min(self._ampacity(run, made.awg, made.panel) for run in runs)
        return Worst(
            day=load.day,
            state=load.state,
            amps=round(load.weighted_amps, 3),
            limit_amps=round(min(made.breaker_amps, ampacity), 3),
            limited_by="breaker" if made.breaker_amps <= ampacity else "ampacity",
        )

    def _says(self, load: Load) -> str:
        """What the directory prints: machines by name, then boxes in words."""
        if load.outlets[0].kind == "lights":
            return "Lights " + ", ".join(sorted(load.lights_amps))
        names = [self.points.machines[m].name or m for m in sorted(load.placed)]
        boxes = sorted({p.id for p in load.outlets})
        what = "Hard-wired" if load.outlets[0].kind == "hard-wired" else "Receptacles"
        if len(boxes) == 1 and what == "Receptacles":
            what = "Receptacle"
        return f"{what} {', '.join(boxes)}" + (f" ({', '.join(names)})" if names else "")

    # -- what is there already

    def existing(self, circuit: ExistingCircuit) -> CircuitPlan:
        """A circuit that stays as it is; its runs are where a cable would most likely be."""
        boxes = {box.id: box for box in self.shop.boxes}
        runs = list(self._existing_runs(circuit))
        lights = sum((boxes[name].luminaire_watts or 0) / 120 for name in circuit.feeds)
        machines = self._machines_on(circuit)
        fed = [boxes[name] for name in circuit.feeds]
        outlets = [outlet for box in fed for outlet in outlet_ids(box)]
        volts = 240 if len(circuit.spaces) == 2 else 120
        weights = {
            m: self.points.amps[m] * (CONTINUOUS_SHARE if self.points.machines[m].lasting else 1.0)
            for m in machines
        }
        day, state = self.circuits.loads.worst(weights)
        amps = state.load + CONTINUOUS_SHARE * lights
        ampacity = min(self._ampacity(run, circuit.conductor, circuit.panel) for run in runs)
        worst = Worst(
            day=day,
            state=state.machines,
            amps=round(amps, 3),
            limit_amps=round(min(circuit.breaker_amps, ampacity), 3),
            limited_by="breaker" if circuit.breaker_amps <= ampacity else "ampacity",
        )
        return CircuitPlan(
            id=circuit.id,
            says=circuit.says or "Existing: " + ", ".join(circuit.feeds),
            panel=circuit.panel,
            volts=volts,
            breaker=BreakerPlan(
                amps=circuit.breaker_amps,
                poles=2 if volts == 240 else 1,
                spaces=circuit.spaces,
                kind="gfci" if circuit.gfci else "plain",
                gfci=circuit.gfci,
            ),
            conductor=CircuitConductor(
                awg=circuit.conductor,
                material="copper",
                insulation="NM-B",
                count=2,
                ground_awg=equipment_ground_awg(circuit.breaker_amps),
                spares=0,
            ),
            outlets=tuple(sorted(outlets)),
            machines=tuple(machines),
            runs=tuple(runs),
            gfci_at=(BREAKER,) if circuit.gfci else (),
            worst=worst if amps else None,
            voltage_drop_percent=None,
            life="existing",
            known=circuit.known,
        )

    def _machines_on(self, circuit: ExistingCircuit) -> list[str]:
        yokes = self.points.yokes
        return sorted(
            machine
            for machine, at in self.points.on_existing.items()
            if (yokes[at].box if at in yokes else at) in circuit.feeds
        )

    def _existing_runs(self, circuit: ExistingCircuit) -> Iterator[Run]:
        """The runs that the owner describes, or else from box to box as the circuit feeds them."""
        legs = circuit.runs or [
            ExistingRun.model_construct(start=start, end=end, raceways=(), by=(), length_ft=None)
            for start, end in pairwise((circuit.panel, *circuit.feeds))
        ]
        for number, leg in enumerate(legs, 1):
            yield self._existing_run(f"{circuit.id}.{number}", circuit, leg)

    def _existing_run(self, name: str, circuit: ExistingCircuit, leg: ExistingRun) -> Run:
        way = self._existing_way(leg)
        ground = equipment_ground_awg(circuit.breaker_amps)
        end = self.shop.enclosures[leg.end]
        switch = end.switch_box if isinstance(end, Box) else None
        second: Role = "hot2" if len(circuit.spaces) == 2 else "neutral"
        first: Role = "switched" if switch is not None and switch in circuit.feeds else "hot"
        seen = bool(circuit.runs) and (leg.known or circuit.known) != "unknown"
        sure = way.raceways or (way.method == "cable" and (seen or not circuit.runs))
        in_raceway = seen and bool(way.raceways)
        return Run(
            id=name,
            start=leg.start,
            end=leg.end,
            via=way.via,
            raceways=way.raceways,
            path=tuple(map(feet3, way.path)),
            length_ft=way.length_cft / 100 if leg.length_ft is None else leg.length_ft,
            allowance_ft=self.circuits.slack_cft(leg.start, leg.end) / 100,
            make=(
                single_key(circuit.conductor) + " in " + ", ".join(way.raceways)
                if in_raceway
                else cable_key(circuit.conductor, 2)
            ),
            method=way.method if sure else "unknown",
            conductors=conductors(way, circuit.conductor, ground, (first, second)),
            ambient_c=way.ambient_c,
            current_carrying=max((self.counted[r] for r in way.raceways), default=2),
            life="existing",
            known=circuit.known if not circuit.runs or leg.known is None else leg.known,
        )

    def _existing_way(self, leg: ExistingRun) -> Way:
        """Where an existing run lies: as given, else the first way there is, else along walls."""
        ways = self.circuits.ways
        if leg.raceways and (way := ways.through(leg.start, leg.raceways)):
            return way
        if leg.by:
            return ways.given(leg.start, leg.end, leg.by)
        found = next(iter(ways.between(leg.start, leg.end)), None)
        return found or ways.along_walls(leg.start, leg.end)
