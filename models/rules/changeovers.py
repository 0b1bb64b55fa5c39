"""Changeovers as the plan prepares for them: what was pulled and kept free, and what it all costs.

USD, pounds of copper. Which conductors a day needs is worked out again from the runs on the way
to the machine: in a cable a white may become a hot, in a raceway it may not (200.7(C)).
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from models.changeovers import SPARE_MARK, changeover_of, counted_share, planned_changeovers
from models.formulas.conductors import copper_lb_per_kft
from models.part_keys import breaker_key, device_key
from models.plan import ChangeoverPlan, CircuitPlan, Finding, OutletPlan, Run, YokePlan
from models.price_book import PriceBook
from models.rules.panel_spaces import COLUMN_STEP
from models.rules.reading import Reading
from models.rules.rule import SAME_USD, RuleText, registry
from models.rules.run_makeup import LARGEST_WITH_EQUAL_GROUND, NEUTRAL_COLOURS
from models.shop import Changeover

LISTED = RuleText(
    "changeovers",
    "Changeovers of the shop",
    "Every machine of a new circuit that may change its voltage is listed with the circuit that"
    " serves it, as the shop file says it; what is chosen is one of the alternatives.",
    "plan file against the shop",
    "plan",
)
SPARE = RuleText(
    "changeover-spares",
    "Spare conductors",
    "Where a changeover needs a conductor more, every run on the way has one, as large as the"
    " others, marked, and of a colour that its role then may have; no spare is there for nothing.",
    "plan file; NEC 200.7(C)",
    "plan",
)
SPACE = RuleText(
    "changeover-spaces",
    "Spaces kept for changeovers",
    "Beside each breaker that will get a second pole the space above or below it is kept empty.",
    "plan file",
    "plan",
)
COST = RuleText(
    "changeover-costs",
    "What changeovers are counted as",
    "A day's parts cost their prices, each alternative its cost now and its later cost at the"
    " shop's likelihood and discount, and the objective holds those that were chosen.",
    "plan file",
    "plan",
)
RULES = registry(LISTED, SPARE, SPACE, COST)
SAME_LB: Final = 0.011


class Served(NamedTuple):
    """A changeover with where its machine is: its outlet and circuit, and the runs on the way."""

    draft: ChangeoverPlan
    change: Changeover
    outlet: OutletPlan
    circuit: CircuitPlan
    way: Sequence[Run]

    @property
    def widens(self) -> bool:
        """Whether its machine goes from one hot and a neutral to two hots."""
        return (self.change.volts or 0) > self.outlet.volts

    @property
    def adds_pole(self) -> bool:
        """Whether its breaker gets a second pole."""
        return self.widens and self.circuit.breaker.poles == 1


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each thing that a changeover asks for and the plan lacks."""
    edition = reading.edition
    for name in sorted(_unlisted(reading)):
        says = f"the changeover of {name} is in the shop file and not prepared for"
        yield LISTED.finding(name, says, edition=edition, severity="not-checked")
    for name, says in _done_faults(reading):
        yield LISTED.finding(name, says, edition=edition, detail=says, fix="plan the shop again")
    for draft in reading.plan.changeovers or ():
        for says in _listing_faults(reading, draft):
            fix = "plan the shop again"
            yield LISTED.finding(draft.machine, says, edition=edition, detail=says, fix=fix)
    found = list(served(reading))
    for one in found:
        for says in _spare_faults(reading, one):
            fix = "pull the spare, or prepare nothing"
            yield SPARE.finding(one.draft.machine, says, edition=edition, detail=says, fix=fix)
    for where, says in _idle_spares(reading):
        fix = "pull no spare, or say which changeover puts it to use"
        yield SPARE.finding(where, says, edition=edition, detail=says, fix=fix)
    for where, says in _space_faults(reading, found):
        fix = "keep the space beside the breaker, or prepare nothing"
        yield SPACE.finding(where, says, edition=edition, detail=says, fix=fix)
    for where, says in (*_cost_faults(reading, found), *_sum_faults(reading)):
        yield COST.finding(where, says, edition=edition, detail=says, fix="plan the shop again")


def served(reading: Reading) -> Iterator[Served]:
    """The changeovers whose machine the plan feeds from a new circuit."""
    changes = planned_changeovers(reading.shop)
    for draft in reading.plan.changeovers or ():
        machine, change = reading.machines.get(draft.machine), changes.get(draft.machine)
        outlet = reading.outlet_of(machine) if machine else None
        circuit = reading.circuits.get(outlet.circuit) if outlet else None
        if change and outlet and circuit:
            way = reading.trees[circuit.id].way(outlet.box)
            yield Served(draft, change, outlet, circuit, way)


def is_alone(reading: Reading, one: Served) -> bool:
    """Whether the machine's yoke is all that its circuit feeds."""
    on = reading.outlets_on(one.circuit)
    return len({(outlet.box, outlet.yoke) for outlet in on}) == 1


def _unlisted(reading: Reading) -> set[str]:
    """Machines on new circuits that may change, and of which the plan says nothing."""
    listed = {draft.machine for draft in reading.plan.changeovers or ()}
    new = {m.id for circuit in reading.new_circuits for m in reading.machines_on(circuit)}
    return (planned_changeovers(reading.shop).keys() & new) - listed


def _done_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """Changeovers called done that the shop does not show, or runs said to be capped that are not.

    Of a machine that changed twice each time begins where the one before ended.
    """
    volts: dict[str, int] = {}
    for done in reading.plan.made_by.changed or ():
        name, says = done.machine, f"called changed from {done.volts_before} to {done.volts} V"
        if volts.get(name, done.volts_before) != done.volts_before:
            yield name, f"{name} is {says}, at {volts[name]} V before"
        volts[name] = done.volts
        on = next((c for c in reading.plan.circuits if name in c.machines), None)
        spared = {
            run.id
            for run in (on.runs if on else ())
            if any(wire.role == "spare" for wire in run.conductors)
        }
        for number, run in enumerate(done.capped_runs):
            if run not in spared or run in done.capped_runs[:number]:
                yield run, f"run {run} is said to have a conductor that {name} left capped"
    for done in reading.plan.made_by.changed or ():
        machine = reading.machines_of_shop.get(done.machine)
        can = None if machine is None else (machine.reconnects_to_volts, machine.volts)
        if (
            can is None
            or {*can} != {done.volts_before, done.volts}
            or can[1] != volts[done.machine]
        ):
            yield done.machine, f"{done.machine} is called changed, by the shop it is not"


def _listing_faults(reading: Reading, draft: ChangeoverPlan) -> Iterator[str]:
    """What a changeover says that the shop or the plan do not."""
    name = draft.machine
    change = planned_changeovers(reading.shop).get(name)
    if change is None:
        yield f"no changeover of {name} to another voltage is in the shop file"
        return
    if [d.machine for d in reading.plan.changeovers or ()].count(name) > 1:
        yield f"the changeover of {name} is listed twice"
    if (draft.volts, draft.likelihood) != (change.volts, change.likelihood):
        yield f"the changeover of {name} is to {change.volts} V at {change.likelihood:.0%}"
    later = reading.shop.later
    if draft.counted != (counted_share(later, change) if later.discount else None):
        yield f"how much of {name}'s day counts today is not by the shop's discount"
    machine = reading.machines.get(name)
    outlet = reading.outlet_of(machine) if machine else None
    if outlet is None or draft.circuit != outlet.circuit:
        yield f"{name} is on {outlet and outlet.circuit}, its changeover says {draft.circuit}"
    says = [other.says for other in draft.alternatives]
    if says.count(draft.chosen) != 1 or len(set(says)) != len(says):
        yield f"what is chosen for {name} is not one of its alternatives"
    if "nothing now" not in says:
        yield f"what nothing now would cost for {name} is not told"
    if draft.breaker_gfci is None:
        yield f"whether the breaker of {name} is then a GFCI is not told"
    if draft.prepared is None or draft.prepared == (draft.chosen == "nothing now"):
        yield f"{name} is prepared for, or nothing is done now: the plan says both or neither"
    if bool(draft.steps) != bool(draft.prepared):
        yield f"the steps of {name}'s day go with what is prepared"
    wish = reading.shop.later.prepare
    could = any(other.says != "nothing now" for other in draft.alternatives)
    if (wish == "nothing" and draft.prepared) or (
        wish == "everything" and could and not draft.prepared
    ):
        yield f"the shop file says to prepare {wish}, and for {name} it is otherwise"


def needed(reading: Reading, one: Served) -> list[Run]:
    """The runs that need a conductor more that day: none where a second hot is there already."""
    if not one.draft.prepared:
        return []
    if is_alone(reading, one):
        return [run for run in one.way if run.method == "raceway"]
    return [run for run in one.way if all(wire.role != "hot2" for wire in run.conductors)]


def _spare_faults(reading: Reading, one: Served) -> Iterator[str]:
    """Runs without the spare that they need, or with one that will not do."""
    asked, name = needed(reading, one), one.draft.machine
    if [run.id for run in asked] != list(one.draft.spare_runs):
        listed = ", ".join(run.id for run in asked) or "no run"
        yield f"the changeover of {name} needs spares in {listed}"
    for run in asked:
        spares = [wire for wire in run.conductors if wire.role == "spare"]
        if not spares:
            yield f"run {run.id} has no spare for {name}"
        for wire in spares:
            if wire.awg != one.circuit.conductor.awg or not wire.insulated:
                yield f"the spare of {run.id} is not {one.circuit.conductor.awg} AWG, insulated"
            white = wire.colour in NEUTRAL_COLOURS
            if run.method == "raceway" and white == one.widens:
                yield f"the spare of {run.id} is {wire.colour}, which its role then may not be"


def _idle_spares(reading: Reading) -> Iterator[tuple[str, str]]:
    """Spares that no changeover puts to use, and those that nobody would know for one."""
    used = {run for draft in reading.plan.changeovers or () for run in draft.spare_runs}
    used |= {run for done in reading.plan.made_by.changed or () for run in done.capped_runs}
    for circuit in reading.plan.circuits:
        for run in circuit.runs:
            spares = [wire for wire in run.conductors if wire.role == "spare"]
            if len(spares) > (run.id in used):
                yield run.id, f"run {run.id} has a spare that nothing puts to use"
            if any(wire.marked != SPARE_MARK for wire in spares):
                yield run.id, f"the spare of {run.id} is not marked as one"


def _space_faults(reading: Reading, found: Sequence[Served]) -> Iterator[tuple[str, str]]:
    """Spaces that are not kept beside a breaker, or kept for nothing."""
    claimed: set[tuple[str, int]] = set()
    for one in found:
        name, spaces, mine = one.draft.machine, one.draft.panel_spaces, one.circuit.breaker.spaces
        if not (one.draft.prepared and one.adds_pole):
            if spaces:
                yield name, f"the changeover of {name} takes no second space"
            continue
        kept = sorted(set(spaces) - set(mine))
        beside = len(kept) == 1 and len(mine) == 1 and abs(kept[0] - mine[0]) == COLUMN_STEP
        if not beside or tuple(sorted((*mine, *kept))) != spaces:
            yield name, f"spaces {list(spaces)} are not those of {one.circuit.id} and one beside it"
            continue
        claimed.add((one.circuit.panel, kept[0]))
        others = {changeover_of(o.draft.machine) for o in found if o.circuit.id == one.circuit.id}
        entries = [
            entry
            for panel in reading.plan.panels
            if panel.id == one.circuit.panel
            for entry in panel.spaces
            if entry.space == kept[0]
        ]
        if not any(e.circuit is None and e.reserved_for in others for e in entries):
            yield name, f"space {kept[0]} beside {one.circuit.id} is not kept for {name}"
    for panel in reading.plan.panels:
        for entry in panel.spaces:
            is_kept = (entry.reserved_for or "").startswith(changeover_of(""))
            if is_kept and (panel.id, entry.space) not in claimed:
                yield panel.id, f"space {entry.space} of {panel.id} is kept for no changeover"


def _cost_faults(reading: Reading, found: Sequence[Served]) -> Iterator[tuple[str, str]]:
    """Parts that are not those of the day, and costs that are not their sum."""
    book = PriceBook.read()
    own = reading.plan.made_by.price_book.sha256 == book.sha256
    for one in found:
        draft, name = one.draft, one.draft.machine
        lines = draft.takeoff or ()
        for line in lines:
            if abs(line.cost_usd - line.quantity * line.unit_price_usd) > SAME_USD / 100:
                yield name, f"{line.key} for {name}: cost is not quantity times price"
            price = book.prices.get(line.key)
            if own and (
                price is None
                or (price.item, price.unit, price.cents / 100)
                != (
                    line.item,
                    line.unit,
                    line.unit_price_usd,
                )
            ):
                yield name, f"{line.key} for {name} is not as the price book has it"
        if draft.parts != tuple(f"{x.quantity:g} {x.unit}: {x.item}" for x in lines):
            yield name, f"the parts for {name} are not those of its takeoff"
        wanted = _parts(reading, one)
        listed = {line.key: line.quantity for line in lines}
        whole = listed.items() >= wanted.items() and len(listed) == len(lines)
        if not whole or (draft.prepared and listed != wanted):
            yield name, f"the day of {name} asks for {', '.join(sorted(wanted))}"
        if not draft.prepared and listed.keys() == wanted.keys():
            yield name, f"nothing is prepared for {name}, and no run of its own is counted"
        total = sum(line.cost_usd for line in lines)
        for other in draft.alternatives:
            if other.says == draft.chosen and abs(other.cost_later_usd - total) > SAME_USD:
                yield name, f"the day of {name} costs {total:.2f} USD"
            expected = other.cost_now_usd + one.draft.share * other.cost_later_usd
            if other.expected_usd is None or abs(other.expected_usd - expected) > SAME_USD:
                yield name, f"{other.says} for {name} is {expected:.2f} USD as expected"
            if (
                other.says == "nothing now"
                and abs(other.cost_now_usd) > SAME_USD
                and (draft.chosen != other.says)
            ):
                yield name, f"nothing now for {name} costs nothing now"


def _parts(reading: Reading, one: Served) -> dict[str, float]:
    """Breaker and receptacles of a day; a breaker that is there already is not bought."""
    draft, there = one.draft, one.circuit.breaker
    poles, gfci = (one.change.volts or 0) // 120, bool(draft.breaker_gfci)
    asked = draft.breaker_amps, poles, gfci
    found: Counter[str] = Counter()
    if not draft.prepared or asked != (there.amps, there.poles, there.gfci):
        found[breaker_key(draft.breaker_amps or 0, poles, gfci)] += 1
    if draft.configuration is not None:
        found[device_key("single", draft.configuration)] += 1
    for yoke in guards_before(reading, one) if draft.prepared else ():
        found[device_key(yoke.device, yoke.configuration)] += 1
    return {key: float(count) for key, count in found.items()}


def guards_before(reading: Reading, one: Served) -> list[YokePlan]:
    """GFCI devices beside a machine that would carry one of its two hots: they are exchanged."""
    passed = {run.end for run in one.way}
    return [
        yoke
        for box in reading.plan.boxes
        for yoke in box.yokes
        if yoke.gfci and yoke.circuit == one.circuit.id and box.id in passed
        if yoke.id != one.outlet.yoke
    ]


def _sum_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """An objective that does not hold the days that were chosen."""
    changes = planned_changeovers(reading.shop)
    claim, copper = reading.plan.objective.expected_later, reading.shop.prices.minimize == "copper"
    drafts = reading.plan.changeovers or ()
    total = 0.0
    for draft in drafts:
        lines = draft.takeoff or ()
        counts = [copper_of(x.key, x.quantity) if copper else x.cost_usd for x in lines]
        change = changes.get(draft.machine)
        total += sum(counts) * (counted_share(reading.shop.later, change) if change else 0.0)
    coming = [one for one in reading.plan.later_machines or () if one.chosen is not None]
    for one in coming:
        counts = [copper_of(x.key, x.quantity) if copper else x.cost_usd for x in one.takeoff]
        total += sum(counts) * one.share
    if (claim is None) != (not drafts and not coming) or abs(
        (claim or 0.0) - total
    ) > SAME_LB + SAME_USD:
        yield (
            "objective",
            f"changeovers and machines to come are {total:.2f} as expected, not {claim}",
        )


def copper_of(key: str, feet: float) -> float:
    """Copper of conductors of a key; 0 for other parts. [lb]

    >>> round(copper_of("NM-B 12-2", 1000), 1), copper_of("cable connector", 2)
    (59.3, 0.0)
    """
    kind, _, size = key.partition(" ")
    if kind in ("THHN", "THWN-2"):
        return feet * copper_lb_per_kft(size) / 1000
    if kind != "NM-B":
        return 0.0
    awg, _, wires = size.partition("-")
    small = int(awg) >= int(LARGEST_WITH_EQUAL_GROUND)
    ground = copper_lb_per_kft(awg if small else LARGEST_WITH_EQUAL_GROUND)
    return feet * (int(wires) * copper_lb_per_kft(awg) + ground) / 1000
