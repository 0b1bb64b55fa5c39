"""Assembly: the chosen circuits, spaces and boxes as one plan with all its claims."""

from collections.abc import Iterable, Mapping, Sequence
from importlib.metadata import PackageNotFoundError, version
from typing import Literal

from models.building_main import MAIN, back_fed_main_amps
from models.changeovers import changeover_of, later_machine_of
from models.local_answers import local_answers
from models.plan import (
    NOW,
    PLAN_FORMAT,
    THEN,
    CircuitPlan,
    Content,
    FeederPlan,
    LegDemand,
    MachinePlan,
    MadeBy,
    Main,
    Objective,
    OutletPlan,
    PanelPlan,
    PinPlan,
    Plan,
    PriceBookMark,
    RacewayPlan,
    Source,
    Space,
    Stage,
    SwitchPlan,
    TakeoffLine,
)
from models.plan_file import canonical_json, sha256_text
from models.shop import Box, Machine, Panel, Shop
from models.switching import box_of, switch_kind
from models.tables import tables_hash
from models.takeoff import count_parts
from solver.assumptions import assumptions
from solver.candidate import COPPER, MONEY, Candidate
from solver.changeover_drafts import ChangeoverDrafts, takeoff_lines
from solver.circuit import Circuits
from solver.devices import BREAKER
from solver.draft import Drafter, Numbered, feet3, outlet_ids
from solver.feeder_claims import feeder_plan, leg_rows
from solver.held_drafts import held_plugs
from solver.later_drafts import later_drafts
from solver.later_rooms import Rooms
from solver.load_calculation import load_assumptions, load_lines
from solver.make_up import boxes_of
from solver.panel import SPARE, feeder_spaces, leg_of, main_spaces
from solver.passages import passages_of
from solver.placement import kept_beside
from solver.placing import PanelPlaced
from solver.selection import Selected
from solver.solve import Control
from solver.staying import staying
from solver.switched_boxes import wired_order
from solver.tallies import kept_in, ledgers, totals_of
from solver.there import all_there


def number(shop: Shop, candidates: Iterable[Candidate]) -> list[tuple[tuple[str, ...], Candidate]]:
    """Circuit ids for candidates, two for a pair, in the order of their first outlet."""
    taken = {circuit.id for circuit in shop.existing}
    free = (f"C{n}" for n in range(1, 1000) if f"C{n}" not in taken)
    ordered = sorted(candidates, key=lambda candidate: min(candidate.load.names))
    return [
        (
            (made.extends,) if made.extends else tuple(next(free) for _ in made.halves or (made,)),
            made,
        )
        for made in ordered
    ]


class Assembly:
    """Builds a plan part by part from what was chosen."""

    def __init__(
        self,
        circuits: Circuits,
        selected: Selected,
        numbered: Sequence[tuple[tuple[str, ...], Candidate]],
        placed: Mapping[str, PanelPlaced],
    ) -> None:
        self.all, self.shop, self.selected = circuits, circuits.shop, selected
        self.placed = placed
        counted = dict.fromkeys(circuits.ways.raceways, 0)
        for _, candidate in numbered:
            for name, share in candidate.raceways.items():
                counted[name] += share.current_carrying
        stay, shares = staying(self.shop), all_there(circuits.ways)
        for circuit in stay:
            for name, share in shares[circuit.id].raceways.items():
                counted[name] += share.current_carrying
        drafter = Drafter(circuits, counted)
        new = [
            circuit
            for ids, candidate in numbered
            if candidate.extends is None
            for circuit in drafter.new(
                Numbered(
                    ids,
                    candidate,
                    placed[candidate.panel].placed.spaces,
                    ids[0] in placed[candidate.panel].halves,
                )
            )
        ]
        kept = {candidate.extends: candidate for _, candidate in numbered}
        stays = {circuit.id for circuit in stay} | kept.keys()
        old = [drafter.existing(c, kept.get(c.id)) for c in self.shop.existing if c.id in stays]
        gone = [drafter.removed(c) for c in self.shop.existing if c.id not in stays]
        self.circuits: tuple[CircuitPlan, ...] = (*old, *new)
        self.removed = tuple(gone) or None
        self.fed = {circuit.id: circuit.feeds for circuit in self.shop.existing}
        self.seats = {m: yoke for _, c in numbered for m, yoke in c.load.placed.items()}
        self.seats.update(circuits.points.on_existing)
        self.rooms = Rooms(circuits, selected.candidates, selected.later)
        machines = {machine.id: machine for machine in self.shop.machines}
        taken = frozenset(
            self._receptacle(machines[m], yoke)
            for m, yoke in self.seats.items()
            if not machines[m].hard_wired_at
        )
        held = dict(held_plugs(circuits, selected.later, self.circuits, taken))
        allowed = frozenset(seat for made in selected.candidates for seat in made.allows)
        self.later = later_drafts(circuits, self.rooms, drafter, placed, held, allowed)
        self.boxes = boxes_of(self.shop, self.circuits, dict(selected.box_sizes), self.later or ())
        self.raceways = tuple(self._raceways())
        self.kept = {
            (candidate.panel, placed[candidate.panel].placed.spaces[kept_beside(ids[0])][0]): one
            for ids, candidate in numbered
            for one in candidate.prepared
            if one.keeps_space
        }
        self.changeovers = ChangeoverDrafts(circuits, self.circuits, self.kept).drafts(numbered)
        self.panels = tuple(map(self._panel, self.shop.supply.panels))

    def plan(self, control: Control, objective: Objective) -> Plan:
        """The whole plan, without findings."""
        takeoff = self._takeoff()
        shop = self.shop.canonical()
        return Plan(
            format=PLAN_FORMAT,
            made_by=self._made_by(control),
            source=Source(shop=shop, sha256=sha256_text(canonical_json(shop))),
            objective=objective,
            stages=tuple(Stage(id=name) for name in (NOW, THEN)[: 1 + any(self.rooms.kept)]),
            panels=self.panels,
            feeders=tuple(map(self._feeder, self.shop.supply.panels)),
            boxes=self.boxes,
            outlets=tuple(self._outlets()),
            machines=tuple(map(self._machine, self.shop.machines)),
            switches=tuple(self._switches()),
            circuits=self.circuits,
            removed=self.removed,
            raceways=self.raceways,
            passages=passages_of(self.shop, self.all.ways, self.circuits),
            legs=tuple(row for panel in self.placed for row in self._legs(panel)),
            changeovers=self.changeovers,
            later_machines=self.later,
            pins=tuple(self._pins()),
            takeoff=takeoff,
            totals=totals_of(self.circuits, takeoff, self.later or ()),
            findings=(),
        )

    def _made_by(self, control: Control) -> MadeBy:
        book = self.all.catalogue.book
        return MadeBy(
            tool=f"branchwright {_version('branchwright')}",
            versions={name: _version(name) for name in ("networkx", "ortools", "pydantic")},
            tables_sha256=tables_hash(),
            price_book=PriceBookMark(
                name=book.name, dated=book.dated, sha256=book.sha256, invented=book.invented
            ),
            edition=self.shop.code.edition,
            local_answers=local_answers(self.shop),
            assumptions=(*assumptions(self.shop), *load_assumptions(self.shop)),
            seed=control.seed,
            effort=control.effort,
            repeatable=not control.cut_short,
            status="stopped" if control.cut_short else "complete",
            gap_asked=control.gap,
            started_from=control.older.sha256 if control.older else None,
        )

    # -- panels and legs

    def _panel(self, panel: Panel) -> PanelPlan:
        feeding = {
            space: name for name, pair in feeder_spaces(self.shop, panel).items() for space in pair
        }
        spare = self.placed[panel.id].placed.spare
        main = main_spaces(self.shop, panel)
        kept = {**dict.fromkeys(spare, SPARE), **feeding, **dict.fromkeys(main, MAIN)}
        kept |= {
            s: changeover_of(o.machine) for (name, s), o in self.kept.items() if name == panel.id
        }
        kept |= {
            space: later_machine_of(one.machine)
            for one in self.later or ()
            for space in one.panel_spaces
            if one.panel == panel.id
        }
        held: dict[int, list[tuple[str, int]]] = {}
        for circuit in self.circuits:
            if circuit.panel == panel.id:
                for pole, space in enumerate(circuit.fed_from, circuit.pole or 1):
                    held.setdefault(space, []).append((circuit.id, pole))
        spaces = []
        for space in range(1, panel.spaces + 1):
            here: Sequence[tuple[str | None, int | None]] = held.get(space) or [(None, None)]
            halves: tuple[Literal["a", "b"] | None, ...] = ("a", "b") if len(here) > 1 else (None,)
            for (name, half_pole), half in zip(here, halves, strict=True):
                spaces.append(
                    Space(
                        space=space,
                        leg="A" if leg_of(space) == "A" else "B",
                        pole=half_pole,
                        circuit=name,
                        tandem=half,
                        reserved_for=kept.get(space),
                    )
                )
        return PanelPlan(
            id=panel.id,
            place=self.shop.position(panel),
            bus_amps=panel.bus_amps,
            main=_main(self.shop, panel),
            terminals_c=75 if panel.terminals == "75 C" else 60,
            spaces=tuple(spaces),
        )

    def _legs(self, panel: str) -> Iterable[LegDemand]:
        return leg_rows(self.all.loads, panel, {leg: self.placed[panel].leg(leg) for leg in "AB"})

    def _feeder(self, panel: Panel) -> FeederPlan:
        machines = map(self._machine, self.shop.machines)
        lines = load_lines(self.shop, panel, machines, self.circuits)
        return feeder_plan(panel, self._legs(panel.id), lines)

    # -- outlets, machines, switches

    def _outlets(self) -> Iterable[OutletPlan]:
        feeding = {outlet: circuit for circuit in self.circuits for outlet in circuit.outlets}
        groups = self.all.points.groups
        first = {name: g.switches[0] for g in groups for name in (*g.luminaires, *g.yokes)}
        for box in self.shop.boxes:
            for outlet in outlet_ids(box):
                if outlet in feeding:
                    yield self._outlet(outlet, box, feeding[outlet], first)

    def _outlet(
        self, outlet: str, box: Box, circuit: CircuitPlan, switches: Mapping[str, str]
    ) -> OutletPlan:
        if outlet == box.id and box.luminaire_watts is not None:
            kind, yoke_id, text = "luminaire", None, ""
        else:
            texts = dict(zip(box.yoke_ids, box.yokes, strict=True))
            yoke_id = outlet if outlet in texts else outlet.rpartition(".")[0]
            text = texts[yoke_id].partition(" switched by ")[0]
            kind = "hard-wired" if text == "blank" else "receptacle"
        position = outlet.rpartition(".")[2]
        protected = circuit.gfci_at[0] if circuit.gfci_at and kind != "luminaire" else None
        if circuit.gfci_at == (BREAKER,):
            protected = BREAKER
        elif circuit.multiwire_with:
            protected = yoke_id if yoke_id in circuit.gfci_at else None
        return OutletPlan.model_validate(
            {
                "id": outlet,
                "box": box.id,
                "yoke": yoke_id,
                "position": position if text.startswith("duplex") else None,
                "kind": kind,
                "configuration": text.partition(" ")[2] or None,
                "volts": circuit.volts,
                "watts": box.luminaire_watts,
                "circuit": circuit.id,
                "switched_by": switches.get(yoke_id or box.id),
                "protected_by": protected,
                "life": circuit.life if box.id in self.fed.get(circuit.id, (box.id,)) else "new",
                "known": circuit.known,
            }
        )

    def _machine(self, machine: Machine) -> MachinePlan:
        amps = self.all.points.amps[machine.id]
        at = self.seats.get(machine.id)
        circuit = next((c.id for c in self.circuits if machine.id in c.machines), None)
        table = machine.motor_hp is not None
        chosen = not (machine.receptacle or machine.hard_wired_at or machine.portable)
        return MachinePlan(
            id=machine.id,
            name=machine.name,
            volts=machine.volts,
            outlet=self._receptacle(machine, at) if at and not machine.hard_wired_at else None,
            hard_wired_at=machine.hard_wired_at,
            amps_table=amps if table else None,
            amps_nameplate=None if table else amps,
            circuit=circuit,
            portable=machine.portable,
            why_there="picked by the planner within cord reach" if chosen else None,
        )

    def _receptacle(self, machine: Machine, yoke_id: str) -> str:
        """The receptacle of a yoke: as the shop says, else the first free one of a duplex."""
        if self.all.points.yokes[yoke_id].receptacles == 1:
            return yoke_id
        if machine.receptacle and machine.receptacle != yoke_id:
            return machine.receptacle
        said = {m.receptacle for m in self.shop.machines}
        free = [o for o in (f"{yoke_id}.top", f"{yoke_id}.bottom") if o not in said]
        others = sorted(
            m.id
            for m in self.shop.machines
            if self.seats.get(m.id) == yoke_id and m.receptacle in (None, yoke_id)
        )
        return free[others.index(machine.id) % len(free)] if free else f"{yoke_id}.top"

    def _switches(self) -> Iterable[SwitchPlan]:
        """Every switch that switches something, group by group."""
        for group in self.all.points.groups:
            found = {outlet for box in self.shop.boxes for outlet in outlet_ids(box)}
            fed = {f"{yoke}{place}" for yoke in group.yokes for place in ("", ".top", ".bottom")}
            controls = tuple(sorted(found & (fed | set(group.luminaires))))
            circuit = next((c for c in self.circuits if set(controls) & set(c.outlets)), None)
            if circuit is None:
                continue
            ordered = wired_order(circuit, group)
            for place, name in enumerate(ordered):
                yield SwitchPlan(
                    id=name,
                    box=box_of(name),
                    kind=switch_kind(place, len(ordered)),
                    controls=controls,
                    circuit=circuit.id,
                    pair_with=ordered[(place + 1) % len(ordered)] if len(ordered) > 1 else None,
                )

    def _pins(self) -> Iterable[PinPlan]:
        pins = Shop.model_validate(self.shop.canonical()).pins  # in the order of the plan's shop
        for members in pins.together:
            yield PinPlan(kind="together", members=members)
        for members in pins.apart:
            yield PinPlan(kind="apart", members=members)
        for pin in pins.circuits:
            yield PinPlan(kind="circuit", members=pin.yokes)

    # -- raceways, takeoff, totals

    def _raceways(self) -> Iterable[RacewayPlan]:
        listed = {*self.all.panels, *(box.id for box in self.boxes)}
        for name, route in sorted(self.all.ways.raceways.items()):
            contents = tuple(
                Content(run=run.id, circuit=circuit.id, conductors=run.conductors)
                for circuit in self.circuits
                for run in circuit.runs
                if name in run.raceways
            )
            raceway = route.raceway
            kept = kept_in(name, self.later or ())
            there = raceway.existing and listed.issuperset(raceway.ends)
            if not (contents or kept or there):
                continue  # nothing goes through it: it is not laid, or leads to an unused box
            size = self.rooms.trade_size(name)
            yield RacewayPlan(
                id=name,
                kind=raceway.kind,
                trade_size=size,
                start=raceway.ends[0],
                end=raceway.ends[1],
                path=tuple(map(feet3, route.path)),
                length_ft=route.length_cft / 100,
                life="existing" if raceway.existing else "new",
                ledgers=ledgers(raceway.kind, size, contents, kept, self.rooms.counted_then(name)),
            )

    def _takeoff(self) -> tuple[TakeoffLine, ...]:
        """Counted parts at their prices; a line's cost is exact to 0.0001 USD."""
        book = self.all.catalogue.book
        parts = count_parts(self.circuits, self.boxes, self.raceways, self.panels, self.later or ())
        return takeoff_lines(book, {key: round(100 * count) for key, count in parts.items()})


def _main(shop: Shop, panel: Panel) -> Main:
    """The main of a panel: its own, one that is added, or lugs."""
    if panel.main != "main lug":
        return Main(kind="breaker", amps=float(panel.main))
    if main_spaces(shop, panel):
        return Main(kind="back-fed", amps=back_fed_main_amps(shop, panel))
    return Main(kind="lug", amps=None)


def _version(distribution: str) -> str:
    try:
        return version(distribution)
    except PackageNotFoundError:
        return "unknown"


def objective_of(shop: Shop, selected: Selected, lower_bound: int | None) -> Objective:
    """What was minimized and how near the best possible it is."""
    copper = shop.prices.minimize == "copper"
    unit = COPPER if copper else MONEY
    gap = None
    if lower_bound is not None:
        assert lower_bound <= selected.value, "a bound above the value is no bound"
        gap = round((selected.value - lower_bound) / max(1, selected.value), 6)
    days = [c.expected_copper if copper else c.expected_cost for c in selected.everything]
    proved = "global" if selected.value == lower_bound else "pool" if selected.optimal else "none"
    return Objective.model_validate(
        {
            "minimize": shop.prices.minimize,
            "unit": "lb" if copper else "USD",
            "value": round(selected.value / unit, 2),
            "lower_bound": None if lower_bound is None else round(lower_bound / unit, 2),
            "gap": gap,
            "proved": proved,
            "expected_later": round(sum(days) / unit, 2)
            if any(c.prepared or c.is_told_later for c in selected.everything)
            else None,
        }
    )


def with_bound(objective: Objective, lower_bound: int) -> Objective:
    """The same with a bound that came to be known later. [least units]"""
    unit = COPPER if objective.minimize == "copper" else MONEY
    lower = min(objective.value, round(lower_bound / unit, 2))
    gap = round((objective.value - lower) / max(1 / unit, objective.value), 6)
    return objective.model_copy(update={"lower_bound": lower, "gap": gap})
