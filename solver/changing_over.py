"""The plan after a changeover: a machine takes its other voltage on the runs that lie there.

Every id stays but those of the receptacle that is exchanged. All claims are worked out again from
the circuits as they then are; the checks look at the plan like at any other, and one that they
find a violation in is refused. USD, A, ft.
"""

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any, Final

from models.changeovers import planned_changeovers, shop_after
from models.formulas.conductors import ohm_per_kft
from models.formulas.voltage_drop import drop_percent
from models.local_answers import local_answers
from models.part_keys import breaker_key
from models.plan import (
    BoxPlan,
    ChangedOver,
    ChangeoverPlan,
    CircuitPlan,
    Content,
    FeederPlan,
    Finding,
    LegDemand,
    MachinePlan,
    MadeBy,
    Objective,
    OutletPlan,
    PanelPlan,
    PassagePlan,
    Plan,
    RacewayPlan,
    Run,
    Source,
    TakeoffLine,
    Worst,
)
from models.plan_file import canonical_json, sha256_text
from models.rules import check_plan
from models.shop import Changeover, Panel, Shop
from models.shop_checks import check_shop
from models.tables import tables_hash
from models.takeoff import count_parts
from solver.assumptions import assumptions
from solver.changed_circuit import circuit_after, left_capped
from solver.changeover_drafts import breaker_words, day_steps
from solver.changeover_refused import Refused, not_planned_for, not_prepared
from solver.devices import BREAKER
from solver.feeder_claims import feeder_plan, leg_rows
from solver.load import Loads
from solver.load_calculation import load_assumptions, load_lines
from solver.make_up import boxes_of
from solver.panel import leg_of, panels_behind
from solver.passages import carrying, passage_ledger
from solver.points import Points
from solver.tallies import kept_in, ledgers, totals_of
from solver.voltage import LOW_VOLTS, Losses
from solver.worst import run_ampacity, worst_of

TWO_POLES: Final = 2


def changed_over(plan: Plan, machine: str) -> Plan | Refused:
    """The plan after the changeover of a machine of its shop, or why there is none."""
    shop = Shop.model_validate(plan.source.shop)
    change = planned_changeovers(shop).get(machine)
    if change is None:
        return not_planned_for(plan, shop, machine)
    if violated := _violations(plan.findings):
        says = f"the plan has violations already, the first: {violated[0].says}"
        return Refused.for_reason(
            says, "mend the plan first: " + (violated[0].fix or "plan the shop again")
        )
    draft = next((one for one in plan.changeovers or () if one.machine == machine), None)
    if draft is None or not draft.prepared:
        return not_prepared(plan, shop, change, draft)
    made = _After(plan, shop, change, draft).plan
    if problems := check_shop(Shop.model_validate(made.source.shop)):
        return Refused.for_reason(problems[0].says, "change the shop file, and plan it again")
    if violated := _violations(made.findings):
        says = f"the plan would then have a violation: {violated[0].says}"
        return Refused.for_reason(
            says, violated[0].fix or "plan the shop with the machine as it will be"
        )
    return made


def _violations(findings: Iterable[Finding]) -> list[Finding]:
    return [finding for finding in findings if finding.severity == "violation"]


class _After:
    """A plan after a changeover, part by part."""

    def __init__(self, plan: Plan, shop: Shop, change: Changeover, draft: ChangeoverPlan) -> None:
        self.old, self.change, self.draft = plan, change, draft
        self.machine = next(one for one in plan.machines if one.id == change.machine)
        self.at = next(o for o in plan.outlets if self._feeds(o))
        self.was = next(c for c in plan.circuits if c.id == self.at.circuit)
        then = shop_after(shop, change, self.at.yoke or self.at.box, draft.configuration)
        left = tuple(c for c in shop.later.changeovers if c.machine != change.machine)
        later = shop.later.model_copy(update={"changeovers": left})
        given = then.model_copy(update={"later": later}).canonical()
        self.shop = Shop.model_validate(Shop.model_validate(given).canonical())
        self.points = Points(self.shop)
        self.loads = Loads(self.shop, self.points)

    def _feeds(self, outlet: OutletPlan) -> bool:
        """Whether an outlet is the machine's."""
        if self.machine.outlet is not None:
            return outlet.id == self.machine.outlet
        return outlet.kind == "hard-wired" and self.machine.hard_wired_at == outlet.box

    @cached_property
    def plan(self) -> Plan:
        """The whole plan, with what the checks find in it."""
        shop = self.shop.canonical()
        made = self.old.model_copy(
            update={
                "made_by": self._made_by(),
                "source": Source(shop=shop, sha256=sha256_text(canonical_json(shop))),
                "objective": self._objective(),
                "panels": tuple(map(self._panel, self.old.panels)),
                "feeders": tuple(map(self._feeder, self.shop.supply.panels)),
                "boxes": self.boxes,
                "outlets": self.outlets,
                "machines": self.machines,
                "circuits": self.circuits,
                "raceways": self.raceways,
                "passages": self.passages,
                "legs": tuple(row for p in self.shop.supply.panels for row in self._legs(p)),
                "changeovers": self.changeovers,
                "takeoff": self.takeoff,
                "totals": totals_of(self.circuits, self.takeoff, self.old.later_machines or ()),
                "findings": (),
            }
        )
        return made.model_copy(update={"findings": check_plan(made)})

    def _made_by(self) -> MadeBy:
        made = self.old.made_by
        done = ChangedOver(
            machine=self.machine.id,
            volts_before=self.machine.volts,
            volts=self.change.volts or self.machine.volts,
            capped_runs=tuple(left_capped(self.was, self.changed)),
        )
        return made.model_copy(
            update={
                "tables_sha256": tables_hash(),
                "local_answers": local_answers(self.shop),
                "assumptions": (*assumptions(self.shop), *load_assumptions(self.shop)),
                "changed": (*(made.changed or ()), done),
            }
        )

    # -- outlets, machines

    @cached_property
    def outlets(self) -> tuple[OutletPlan, ...]:
        """Every outlet; of the yoke that is exchanged there is one, called by the yoke."""
        found: list[OutletPlan] = []
        for outlet in self.old.outlets:
            if outlet.circuit != self.was.id:
                found.append(outlet)
            elif outlet.id == self.at.id:
                found.append(self._exchanged(outlet))
            elif outlet.yoke is None or outlet.yoke != self.at.yoke:
                guarded = BREAKER if self.draft.breaker_gfci else outlet.protected_by
                kept = guarded if outlet.kind != "luminaire" or guarded == BREAKER else None
                found.append(outlet.model_copy(update={"protected_by": kept}))
        return tuple(found)

    def _exchanged(self, outlet: OutletPlan) -> OutletPlan:
        name = self.draft.configuration
        new = {} if name is None else {"id": outlet.yoke, "position": None, "configuration": name}
        guarded = BREAKER if self.draft.breaker_gfci else None
        return outlet.model_copy(
            update={**new, "volts": self.change.volts, "protected_by": guarded}
        )

    @cached_property
    def machines(self) -> tuple[MachinePlan, ...]:
        """Every machine, the changed one at its new voltage."""
        given = self.points.machines[self.machine.id]
        amps, table = self.points.amps[given.id], given.motor_hp is not None
        wired = self.machine.outlet is None
        then = self.machine.model_copy(
            update={
                "volts": given.volts,
                "outlet": None if wired else self.at.yoke,
                "amps_table": amps if table else None,
                "amps_nameplate": None if table else amps,
            }
        )
        return tuple(then if one.id == then.id else one for one in self.old.machines)

    # -- circuits

    @cached_property
    def changed(self) -> CircuitPlan:
        """The circuit of the machine, its conductors in their new roles."""
        mine = [outlet for outlet in self.outlets if outlet.circuit == self.was.id]
        return circuit_after(self.was, self.draft, self.at, mine)

    @property
    def mixed(self) -> frozenset[str]:
        """Circuits whose neutral serves 120 V outlets beside others between both hots."""
        all_circuits = (self.changed, *(c for c in self.old.circuits if c.id != self.was.id))
        return frozenset(c.id for c in all_circuits if c.is_mixed)

    @cached_property
    def circuits(self) -> tuple[CircuitPlan, ...]:
        """Every circuit with what its runs and loads then come to."""
        roles = [self.changed if c.id == self.was.id else c for c in self.old.circuits]
        counted: dict[str, int] = {}
        for circuit in roles:
            for run in circuit.runs:
                for name in run.raceways:
                    counted[name] = counted.get(name, 0) + self._carrying(circuit, run)
        found = []
        for circuit in roles:
            runs = tuple(self._heated(circuit, run, counted) for run in circuit.runs)
            found.append(circuit.model_copy(update={"runs": runs}))
        by_id = {circuit.id: circuit for circuit in found}
        return tuple(self._loaded(circuit, by_id) for circuit in found)

    def _content(self, circuit: CircuitPlan, run: Run) -> Content:
        return Content(run=run.id, circuit=circuit.id, conductors=run.conductors)

    def _carrying(self, circuit: CircuitPlan, run: Run) -> int:
        return carrying(self._content(circuit, run), self.mixed)

    def _heated(self, circuit: CircuitPlan, run: Run, counted: Mapping[str, int]) -> Run:
        """A run with the conductors that count around it."""
        if run.raceways:
            count = max(counted[name] for name in run.raceways)
        elif circuit.id == self.was.id:
            count = self._carrying(circuit, run)
        else:
            return run
        return run.model_copy(update={"current_carrying": count})

    def _loaded(self, circuit: CircuitPlan, by_id: Mapping[str, CircuitPlan]) -> CircuitPlan:
        """A circuit with its worst state, and its drop where it is the changed one."""
        partner, both = by_id.get(circuit.multiwire_with or ""), {"hot", "hot2", "neutral"}
        theirs = partner.runs if partner else ()
        shared = [run for run in theirs if both <= {wire.role for wire in run.conductors}]
        made = circuit.model_copy(update={"worst": self._worst(circuit, [*shared, *circuit.runs])})
        if circuit.id != self.was.id:
            return made
        return made.model_copy(update={"voltage_drop_percent": self._drop_percent(made)})

    def _worst(self, circuit: CircuitPlan, runs: Iterable[Run]) -> Worst | None:
        """The state that loads a circuit most, continuous loads at 125 %."""
        panel = next(p for p in self.shop.supply.panels if p.id == circuit.panel)
        ampacity = min(run_ampacity(run, circuit.conductor.awg, panel) for run in runs)
        return worst_of(self.points, self.loads, circuit, ampacity)

    def _lights(self, circuit: CircuitPlan) -> dict[str, float]:
        """Luminaires of a circuit. [A]"""
        lit = self.loads.lights_amps
        return {name: lit[name] for name in circuit.outlets if name in lit}

    def _drop_percent(self, circuit: CircuitPlan) -> float:
        """The largest drop; on two hots and a neutral as if the neutral carried everything."""
        mine = [outlet for outlet in self.outlets if outlet.circuit == circuit.id]
        volts = min(outlet.volts for outlet in mine)
        boxes = {outlet.id: outlet.box for outlet in mine}
        drawn = {
            one.id: (boxes.get(one.outlet or "", one.hard_wired_at or ""), self.points.amps[one.id])
            for one in self.machines
            if one.circuit == circuit.id
        }
        runs = [(run.start, run.end, run.length_ft) for run in circuit.runs]
        low = volts == LOW_VOLTS
        plugged = {one.box for one in mine if low and one.kind == "receptacle"}
        ohm, lit = ohm_per_kft(circuit.conductor.awg), self._lights(circuit)
        lost_v = Losses(runs, drawn, lit, plugged, ohm).most_v(self.loads)
        return round(drop_percent(lost_v, volts), 2)

    # -- panels

    def _panel(self, panel: PanelPlan) -> PanelPlan:
        """A panel with the breaker in its spaces."""
        if panel.id != self.was.panel:
            return panel
        spaces = self.changed.breaker.spaces
        found = []
        for entry in panel.spaces:
            mine: dict[str, Any] = {"pole": None, "circuit": None, "reserved_for": None}
            if entry.space in spaces:
                pole = spaces.index(entry.space) + 1
                mine = {"pole": pole, "circuit": self.was.id, "reserved_for": None}
            elif entry.circuit != self.was.id:
                mine = {}
            found.append(entry.model_copy(update=mine))
        return panel.model_copy(update={"spaces": tuple(found)})

    def _legs(self, panel: Panel) -> Iterator[LegDemand]:
        return leg_rows(self.loads, panel.id, {leg: self._on_leg(panel, leg) for leg in ("A", "B")})

    def _on_leg(self, panel: Panel, leg: str) -> tuple[dict[str, float], float]:
        """Machines on a leg with their current, and its lights. [A]"""
        behind = panels_behind(self.shop, panel)
        machines: dict[str, float] = {}
        lights = 0.0
        for circuit in self.circuits:
            if circuit.panel in behind:
                low = _legs_at(circuit, LOW_VOLTS)
                lights += sum(self._lights(circuit).values()) if leg in low else 0.0
                for name in circuit.machines:
                    if leg in _legs_at(circuit, self.points.machines[name].volts):
                        machines[name] = self.points.amps[name]
        return machines, lights

    def _feeder(self, panel: Panel) -> FeederPlan:
        lines = load_lines(self.shop, panel, self.machines, self.circuits)
        return feeder_plan(panel, self._legs(panel), lines)

    # -- boxes, raceways, passages

    @cached_property
    def boxes(self) -> tuple[BoxPlan, ...]:
        """Every box with its make-up; its size stays."""
        sizes = {box.id: box.box for box in self.old.boxes if box.box != "existing"}
        return boxes_of(self.shop, self.circuits, sizes, self.old.later_machines or ())

    @cached_property
    def _runs(self) -> dict[str, tuple[CircuitPlan, Run]]:
        return {run.id: (circuit, run) for circuit in self.circuits for run in circuit.runs}

    @cached_property
    def raceways(self) -> tuple[RacewayPlan, ...]:
        """Every raceway with its contents in their new roles."""
        found = []
        for raceway in self.old.raceways:
            inside = self._again(raceway.ledgers[0].contents)
            kept = kept_in(raceway.id, self.old.later_machines or ())
            then = raceway.ledgers[-1].current_carrying  # with all that is prepared, this one too
            size = raceway.trade_size
            made = ledgers(raceway.kind, size, inside, kept, then, self.mixed)
            found.append(raceway.model_copy(update={"ledgers": made}))
        return tuple(found)

    @cached_property
    def passages(self) -> tuple[PassagePlan, ...] | None:
        """Every passage likewise."""
        if self.old.passages is None:
            return None
        takes = {passage.id: passage.takes for passage in self.shop.routes.passages}
        found = []
        for passage in self.old.passages:
            through = self._again(passage.ledgers[0].contents)
            made = passage_ledger(takes[passage.id], through, self.mixed)
            found.append(passage.model_copy(update={"ledgers": (made,)}))
        return tuple(found)

    def _again(self, contents: Iterable[Content]) -> tuple[Content, ...]:
        return tuple(self._content(*self._runs[content.run]) for content in contents)

    # -- what is later still, and what all costs

    @cached_property
    def changeovers(self) -> tuple[ChangeoverPlan, ...] | None:
        """The changeovers that are left."""
        others = (one for one in self.old.changeovers or () if one.machine != self.machine.id)
        return tuple(map(self._left, others)) or None

    def _left(self, draft: ChangeoverPlan) -> ChangeoverPlan:
        """Another changeover; on the same circuit some of it is done by this one."""
        if draft.circuit != self.was.id or not draft.prepared:
            return draft
        now, bought = self.changed.breaker, self._in_place(draft)
        spared = {r.id for r in self.changed.runs if any(w.role == "spare" for w in r.conductors)}
        gfci = bool(draft.breaker_gfci) or now.gfci
        lines = [line for line in draft.takeoff or () if line.key not in bought]
        later = round(sum(line.cost_usd for line in lines), 2)
        share = draft.share
        alternatives = tuple(
            one.model_copy(
                update={
                    "cost_later_usd": later,
                    "expected_usd": round(one.cost_now_usd + share * later, 2),
                }
            )
            if one.says == draft.chosen
            else one
            for one in draft.alternatives
        )
        box = next(o.box for o in self.outlets if o.id == self._seat(draft.machine))
        runs = tuple(name for name in draft.spare_runs if name in spared)
        words = breaker_words(now.amps, TWO_POLES, gfci, now.spaces)
        breaker = None if breaker_key(now.amps, TWO_POLES, gfci) in bought else words
        return draft.model_copy(
            update={
                "spare_runs": runs,
                "panel_spaces": (),
                "breaker_gfci": gfci,
                "takeoff": tuple(lines),
                "parts": tuple(f"{x.quantity:g} {x.unit}: {x.item}" for x in lines),
                "alternatives": alternatives,
                "steps": day_steps(self.changed, box, runs, breaker, draft.configuration),
            }
        )

    def _seat(self, machine: str) -> str:
        """The outlet of a machine that is on the changed circuit."""
        one = next(m for m in self.machines if m.id == machine)
        wired = (o.id for o in self.outlets if o.box == one.hard_wired_at)
        return one.outlet or next(wired)

    def _in_place(self, draft: ChangeoverPlan) -> set[str]:
        """Parts of another day of this circuit that are there by now: its breaker, if it is so."""
        now, gfci = self.changed.breaker, bool(draft.breaker_gfci)
        if now.poles != TWO_POLES or (gfci and not now.gfci):
            return set()
        return {breaker_key(now.amps, TWO_POLES, gfci), breaker_key(now.amps, TWO_POLES, now.gfci)}

    @cached_property
    def takeoff(self) -> tuple[TakeoffLine, ...]:
        """All parts of the plan as it then is, at the prices of this plan."""
        days = [line for one in self.old.changeovers or () for line in one.takeoff or ()]
        known = {line.key: line for line in (*days, *self.old.takeoff)}
        panels = map(self._panel, self.old.panels)
        parts = count_parts(
            self.circuits, self.boxes, self.raceways, panels, self.old.later_machines or ()
        )
        return tuple(
            known[key].model_copy(
                update={
                    "quantity": count,
                    "cost_usd": round(count * known[key].unit_price_usd, 4),
                }
            )
            for key, count in parts.items()
        )

    def _objective(self) -> Objective:
        """What the plan then comes to; nothing is known any more of how far it is from the best."""
        goal, totals = (
            self.old.objective,
            totals_of(self.circuits, self.takeoff, self.old.later_machines or ()),
        )
        later: float | None = None
        coming = [one for one in self.old.later_machines or () if one.alternatives]
        if self.changeovers is not None or coming:
            later = goal.expected_later
            if goal.minimize == "cost":
                days = sum(one.counted_usd for one in self.changeovers or ())
                later = round(days + sum(one.counted_usd for one in coming), 2)
        value = totals.copper_lb if goal.minimize == "copper" else totals.material_cost_usd
        return goal.model_copy(
            update={
                "value": round(value + (later or 0.0), 2),
                "lower_bound": None,
                "gap": None,
                "proved": "none",
                "expected_later": later,
            }
        )


def _legs_at(circuit: CircuitPlan, volts: int) -> frozenset[str]:
    """The legs that an outlet of a voltage takes on a circuit."""
    return frozenset(map(leg_of, circuit.fed_at(volts)))
