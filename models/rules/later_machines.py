"""Machines that may come: that what is done for them now will serve, and what it all costs.

Amperes, °C, feet, cubic inches, USD. The circuit of each is looked at by itself, in the heat of its
way: how several new ones heat each other is not, but in raceways where room is kept for them.
"""

from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from math import dist
from typing import Final

from models.changeovers import SPARE_MARK, counted_share, later_machine_of
from models.formulas.ampacity import ampacity_amps
from models.formulas.box_fill import allowance_in3
from models.formulas.conductors import circular_mils, ohm_per_kft
from models.formulas.grounds import equipment_ground_awg
from models.formulas.motors import motor_breaker_ceiling_amps, motor_conductor_amps
from models.formulas.overcurrent import largest_breaker_amps, standard_ratings_amps
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, raceway_area_in2
from models.formulas.voltage_drop import drop_percent, voltage_drop_v
from models.gfci import hard_wired_needs_gfci
from models.part_keys import (
    CABLE_CONNECTOR,
    PULL_STRING,
    RACEWAY_CONNECTOR,
    breaker_key,
    cable_key,
    raceway_key,
    single_key,
)
from models.plan import Finding, LaterCircuit, LaterMachinePlan, TakeoffLine
from models.price_book import PriceBook
from models.rules.later_receptacles import (
    asks_for_gfci,
    receptacle_faults,
    receptacle_parts,
)
from models.rules.later_rooms import carrying_then, faults, parts_now
from models.rules.panel_spaces import COLUMN_STEP
from models.rules.reading import CONTINUOUS, Reading, amps_text, machine_amps
from models.rules.rule import SAME_AMPS, SAME_FT, SAME_USD, RuleText, registry
from models.rules.tree import BOX_SLACK_FT, PANEL_SLACK_FT
from models.rules.voltage_drop import TEST_LOAD_AMPS
from models.shop import FutureMachine
from models.spaces import Laid, hottest_c

LISTED = RuleText(
    "later-machines",
    "Machines that may come",
    "Every machine of the shop file that may come is listed as the shop says it, what is chosen for"
    " it is one of the alternatives, and parts and costs of now and of its day add up.",
    "plan file against the shop",
    "plan",
)
SERVES = RuleText(
    "later-circuits",
    "Circuits of machines that may come",
    "What is kept, laid or pulled now will serve: spaces beside each other that nothing else takes,"
    " a breaker and conductors that carry the machine by itself in the heat of its way and within"
    " the voltage drop wished, room in its box and in an empty raceway, a cable capped and marked;"
    " where room is kept in raceways of the shop, boxes on the way and conductors among all that"
    " then lies there. A circuit that is to hold one with a plug does by every check of a circuit,"
    " today and after its changeovers, at a receptacle in reach that nothing else has, and holds"
    " one alone; a receptacle of its own"
    " suits it, and what is left has its feed and protection, each vehicle bay a receptacle, and"
    " each portable tool a place.",
    "NEC 210.8, 210.20, 210.21, 240.4, 250.122, 310.15, 314.16, 430.22, 430.52; chapter 9",
    "code",
)
RULES = registry(LISTED, SERVES)
SAME_PERCENT: Final = 0.02
LINE_VOLTS: Final = 120
LIES: Final = ("run", "raceway", "room")  # choices of what a plan tells more


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each fault of what is done for a machine that may come."""
    edition, listed = reading.edition, reading.plan.later_machines
    machines = {one.id: one for one in reading.shop.later.machines}
    if listed is None:
        for name in sorted(machines):
            says = f"{name} may come, and the plan says nothing of it"
            yield LISTED.finding(name, says, edition=edition, severity="not-checked")
        return
    if sorted(machines) != [one.machine for one in listed]:
        says = f"the machines that may come are {', '.join(sorted(machines)) or 'none'}"
        yield LISTED.finding("later", says, edition=edition, fix="plan the shop again")
    for one in listed:
        machine = machines.get(one.machine)
        if machine is None:
            continue
        for says in (*_said(reading, one, machine), *_costs(reading, one)):
            fix = "plan the shop again"
            yield LISTED.finding(one.machine, says, edition=edition, detail=says, fix=fix)
        for says in (
            *_spaces(reading, one),
            *_circuit(reading, one, machine),
            *_laid(reading, one),
            *receptacle_faults(reading, one, machine),
            *(faults(reading, one, one.circuit) if one.room and one.circuit else ()),
        ):
            fix = "do otherwise for it, or nothing"
            yield SERVES.finding(one.machine, says, edition=edition, detail=says, fix=fix)
    names = {later_machine_of(one.machine) for one in listed if one.panel_spaces}
    for panel in reading.plan.panels:
        for entry in panel.spaces:
            kept = entry.reserved_for or ""
            if kept.startswith(later_machine_of("")) and kept not in names:
                says = f"space {entry.space} of {panel.id} is kept for no machine that may come"
                yield SERVES.finding(panel.id, says, edition=edition, detail=says)


# -- what is said


def _said(reading: Reading, one: LaterMachinePlan, machine: FutureMachine) -> Iterator[str]:
    """What a plan says of a machine that the shop does not, or that is not whole."""
    name, later = one.machine, reading.shop.later
    at = one.box if machine.plug is not None and one.chosen else machine.hard_wired_at
    if (one.box, one.likelihood) != (at, machine.likelihood):
        yield f"{name} is to come to {at} with {machine.likelihood:.0%}"
    if one.counted != (counted_share(later, machine) if later.discount else None):
        yield f"how much of {name}'s day counts today is not by the shop's discount"
    says = [other.says for other in one.alternatives]
    if one.held is not None or one.choice == "held":
        yield from _said_held(one)
        return
    if one.chosen is None or one.choice is None or one.circuit is None:
        told = (one.chosen, one.choice, one.circuit, one.panel, one.run, one.raceway, one.room)
        if one.why is None or any(told) or says or one.panel_spaces or one.takeoff:
            yield f"nothing can be chosen for {name}: the plan says why, and no more"
        return
    if one.why is not None or says.count(one.chosen) != 1 or len(set(says)) != len(says):
        yield f"what is chosen for {name} is not one of its alternatives"
    if "nothing now" not in says or (one.choice == "nothing") != (one.chosen == "nothing now"):
        yield f"what nothing now would cost for {name} is not told"
    lies = (one.run, one.raceway, one.room)
    if [kind for kind, what in zip(LIES, lies, strict=True) if what] != [
        kind for kind in LIES if kind == one.choice
    ]:
        yield f"what is pulled, laid or kept for {name} goes with what is chosen"
    if one.laid and one.room is None:
        yield f"raceways are laid for {name}, and no room is kept for it"
    if later.prepare == "nothing" and one.choice != "nothing":
        yield f"the shop file says to prepare nothing, and for {name} it is otherwise"
    everything = ("run",) if machine.plug is None else ("run", "raceway", "room", "space")
    if (
        later.prepare == "everything"
        and one.choice not in everything
        and one.circuit.method == "cable"
    ):
        yield f"the shop file says to prepare everything, and for {name} it is otherwise"


def _said_held(one: LaterMachinePlan) -> Iterator[str]:
    """What a plan says of a machine that a circuit holds, and that is not whole."""
    says = [other.says for other in one.alternatives]
    told = (one.circuit, one.panel, one.run, one.raceway, one.room, one.laid, one.why)
    bought = (*one.panel_spaces, *one.takeoff, *one.takeoff_now)
    if one.held is None or one.choice != "held" or any(told) or bought:
        yield f"{one.machine} is held by the circuit of a receptacle, and nothing is done for it"
    if says.count(one.chosen or "") != 1 or len(set(says)) != len(says):
        yield f"what is chosen for {one.machine} is not one of its alternatives"


def _costs(reading: Reading, one: LaterMachinePlan) -> Iterator[str]:
    """Parts that are not those of now and of the day, and costs that are not their sums."""
    name = one.machine
    for lines, wanted in ((one.takeoff_now, _now(reading, one)), (one.takeoff, _day(reading, one))):
        found = {line.key: line.quantity for line in lines}
        if len(found) != len(lines) or found.keys() != wanted.keys():
            yield f"{name} asks for {', '.join(sorted(wanted)) or 'nothing'}"
        elif any(abs(found[key] - wanted[key]) > SAME_FT for key in wanted):
            yield f"quantities for {name} are not those of its way"
        for line in lines:
            if not _is_priced(reading, line):
                yield f"{line.key} for {name} is not as priced"
    now, day = (
        round(sum(x.cost_usd for x in lines), 2) for lines in (one.takeoff_now, one.takeoff)
    )
    for other in one.alternatives:
        counted = other.cost_now_usd + one.share * other.cost_later_usd
        if other.expected_usd is None or abs(other.expected_usd - counted) > SAME_USD:
            yield f"{other.says} for {name} counts {counted:.2f} USD"
        told = other.cost_now_usd, other.cost_later_usd
        if other.says == one.chosen and max(abs(told[0] - now), abs(told[1] - day)) > SAME_USD:
            yield f"{other.says} for {name} is {now:.2f} USD now, {day:.2f} USD on the day"
        if other.says in ("nothing now", one.held and one.chosen) and other.cost_now_usd:
            yield f"nothing now for {name} costs nothing now"


def _now(reading: Reading, one: LaterMachinePlan) -> dict[str, float]:
    """Parts of what is pulled or laid now."""
    if one.circuit is None:
        return {}
    length = one.circuit.length_ft
    if one.run is not None:
        cable = cable_key(one.circuit.awg, len(one.run.conductors) - 1)
        return {cable: length + one.circuit.allowance_ft, CABLE_CONNECTOR: 2.0}
    if one.raceway is not None:
        laid = raceway_key(one.raceway.kind, one.raceway.trade_size)
        string_ft = one.raceway.string_ft
        string = {} if string_ft is None else {PULL_STRING: string_ft}
        return {laid: length, RACEWAY_CONNECTOR: 2.0} | string
    return {} if one.room is None else parts_now(reading, one, one.room)


def _day(reading: Reading, one: LaterMachinePlan) -> dict[str, float]:
    """Parts of the day: the breaker, what is drawn into a raceway, a whole run."""
    made = one.circuit
    if made is None:
        return {}
    found = {breaker_key(made.breaker_amps, made.poles, made.breaker_gfci): 1.0}
    found |= receptacle_parts(reading, one)
    if one.run is not None:
        return found
    cut, laid = made.length_ft + made.allowance_ft, [x.key for x in one.takeoff]
    open_walls = reading.shop.later.open_walls is not False and made.method == "cable"
    if one.raceway is None and one.room is None and open_walls:
        return found | {cable_key(made.awg, 2): cut, CABLE_CONNECTOR: 2.0}
    wet = any(key.startswith("THWN-2") for key in laid) if one.room is None else one.room.wet
    for awg, count in ((made.awg, 2), (made.ground_awg, 1)):
        key = single_key(awg, wet=wet)
        found[key] = found.get(key, 0.0) + count * cut
    if one.raceway is None and one.room is None:
        size = next((key for key in laid if key.startswith("EMT ")), "EMT")
        found |= {size: made.length_ft, RACEWAY_CONNECTOR: 2.0}
    return found


@cache
def _book() -> PriceBook:
    """The price book that comes along."""
    return PriceBook.read()


def _is_priced(reading: Reading, line: TakeoffLine) -> bool:
    """Whether a line costs its quantity times its price, and is as in the book where that is it."""
    if abs(line.cost_usd - line.quantity * line.unit_price_usd) > SAME_USD / 100:
        return False
    book, price = _book(), _book().prices.get(line.key)
    if reading.plan.made_by.price_book.sha256 != book.sha256:
        return True
    told = line.item, line.unit, line.unit_price_usd
    return price is not None and told == (price.item, price.unit, price.cents / 100)


# -- whether it will serve


def _spaces(reading: Reading, one: LaterMachinePlan) -> Iterator[str]:
    """Spaces that are not kept, not beside each other, or kept for nothing."""
    if one.circuit is None or one.choice is None:
        return
    wanted = 0 if one.choice == "nothing" else one.circuit.poles
    spaces = one.panel_spaces
    beside = all(later - first == COLUMN_STEP for first, later in pairwise(spaces))
    if len(spaces) != wanted or not beside:
        yield f"{one.machine} needs {wanted} spaces, one below the other, not {list(spaces)}"
    kept = [
        entry.space
        for panel in reading.plan.panels
        if panel.id == one.panel
        for entry in panel.spaces
        if entry.reserved_for == later_machine_of(one.machine) and entry.circuit is None
    ]
    if kept != list(spaces):
        yield f"panel {one.panel} keeps {kept} for {one.machine}, not {list(spaces)}"
    if one.panel not in {panel.id for panel in reading.plan.panels}:
        yield f"the panel of {one.machine} is none of the plan"


def _circuit(reading: Reading, one: LaterMachinePlan, machine: FutureMachine) -> Iterator[str]:
    """A breaker, conductors, a ground or a drop that will not do; a way that is not one."""
    made = one.circuit
    if made is None:
        return
    name, amps, edition = one.machine, machine_amps(machine), reading.edition
    needed = machine.mca_amps or amps * (CONTINUOUS if machine.lasting else 1.0)
    if machine.motor_hp is not None:
        needed = motor_conductor_amps(amps)
    carries = _ampacity(reading, one, made)
    if needed > carries + SAME_AMPS:
        yield f"{name} asks for conductors of {amps_text(needed)}, they carry {amps_text(carries)}"
    own = machine.motor_hp is not None or machine.mca_amps or machine.i1eff_amps
    largest = largest_breaker_amps(made.awg, carries, several_receptacles=False, edition=edition)
    if not own and (made.breaker_amps > (largest or 0) or made.breaker_amps < needed - SAME_AMPS):
        yield f"a breaker of {made.breaker_amps:g} A does not suit {name} on {made.awg} AWG"
    if machine.motor_hp is not None:
        largest = motor_breaker_ceiling_amps(amps, edition)
    largest = round(machine.mocp_amps) if machine.mocp_amps else largest
    if own and made.breaker_amps > (largest or made.breaker_amps):
        yield f"{name} may be behind {largest} A at most"
    if made.breaker_amps not in standard_ratings_amps(edition):
        yield f"{made.breaker_amps:g} A is no standard rating"
    if made.poles != machine.volts // LINE_VOLTS:
        yield f"{name} at {machine.volts} V needs a breaker of {machine.volts // LINE_VOLTS} poles"
    ground = equipment_ground_awg(made.breaker_amps, "copper", circuit_awg=made.awg)
    if circular_mils(made.ground_awg) < circular_mils(ground):
        yield f"behind {made.breaker_amps:g} A the ground of {name} is {ground} AWG at least"
    if not made.breaker_gfci and _asks_for_gfci(reading, one, machine, made):
        yield f"{name} asks for a GFCI breaker"
    if one.configuration is not None and machine.volts == LINE_VOLTS:
        amps = max(amps, TEST_LOAD_AMPS)  # whatever else is plugged in there one day
    lost = voltage_drop_v(amps, made.length_ft, ohm_per_kft(made.awg))
    percent, limit = drop_percent(lost, machine.volts), reading.shop.code.voltage_drop_percent
    if abs(percent - made.drop_percent) > SAME_PERCENT or percent > limit + SAME_PERCENT:
        yield f"{name} then loses {percent:.2f} %, {limit:g} % is the most wished"
    yield from _way(reading, one, made)


def _asks_for_gfci(
    reading: Reading, one: LaterMachinePlan, machine: FutureMachine, made: LaterCircuit
) -> bool:
    """Whether its receptacle, or where it is wired, asks for ground-fault protection."""
    if one.configuration is not None:
        return asks_for_gfci(reading, one, machine)
    box, amps = reading.boxes_of_shop.get(one.box or ""), made.breaker_amps
    outdoors, building = bool(box and box.outdoors), reading.shop.building
    return hard_wired_needs_gfci(building, reading.edition, outdoors=outdoors, breaker_amps=amps)


def _ampacity(reading: Reading, one: LaterMachinePlan, made: LaterCircuit) -> float:
    """What its conductors carry where they lie: by themselves, or among all that then lies there.
    [A]
    """
    marked_75 = any(p.id == one.panel and p.terminals == "75 C" for p in reading.shop.supply.panels)
    return ampacity_amps(
        made.awg,
        terminal_c=75 if made.method == "raceway" and marked_75 else 60,
        ambient_c=made.ambient_c,
        current_carrying=2 if one.room is None else carrying_then(reading, one.room),
    )


def _way(reading: Reading, one: LaterMachinePlan, made: LaterCircuit) -> Iterator[str]:
    """A way that is not as long or as hot as told, or does not lead from panel to box."""
    places = reading.shop.enclosures
    ends = [places.get(name or "") for name in (one.panel, one.box)]
    wanted = [reading.shop.position(place) for place in ends if place is not None]
    found = [made.path[0], made.path[-1]] if made.path else []
    if len(wanted) != len(found) or any(
        dist(a, b) > SAME_FT for a, b in zip(wanted, found, strict=True)
    ):
        yield f"the way of {one.machine} does not lead from {one.panel} to {one.box}"
    steps = [dist(a, b) for a, b in pairwise(made.path)]
    length = sum(steps)
    if abs(length - made.length_ft) > SAME_FT or 0 in steps:
        yield f"the way of {one.machine} is {length:.2f} ft, the plan says {made.length_ft:g} ft"
    slack = PANEL_SLACK_FT + BOX_SLACK_FT
    if abs(made.allowance_ft - slack) > SAME_FT:
        yield f"the run of {one.machine} has {slack:g} ft of slack, not {made.allowance_ft:g} ft"
    laid: tuple[Laid, ...] = ("surface", "in wall", "attic", "buried")
    laid = ("cable",) if made.method == "cable" else laid
    heats = [hottest_c(reading.shop.building, made.path, how) for how in laid] if made.path else []
    if not any(abs(heat - made.ambient_c) < 0.05 for heat in heats):
        yield f"the way of {one.machine} is not {made.ambient_c:g} °C hot"


def _laid(reading: Reading, one: LaterMachinePlan) -> Iterator[str]:
    """A run pulled now or an empty raceway that is not as its circuit asks."""
    made, run, name = one.circuit, one.run, one.machine
    if made is None or (run is None and one.raceway is None):
        return
    if run is not None:
        as_told = (
            (run.start, run.end, run.path, run.length_ft, run.allowance_ft, run.method)
            == (one.panel, one.box, made.path, made.length_ft, made.allowance_ft, made.method)
            and made.method == "cable"
            and (run.ambient_c, run.current_carrying, run.via, run.raceways, run.wet)
            == (made.ambient_c, 2, (), (), False)
            and (run.life, run.known, run.stage, run.id) == ("new", "verified", "now", f"{name}.1")
        )
        wires = [(w.role, w.awg, w.insulated, w.marked) for w in run.conductors]
        capped = [("spare", made.awg, True, SPARE_MARK)] * 2
        if not as_told or wires != [*capped, ("ground", made.ground_awg, False, None)]:
            yield f"the run of {name} is not that of its circuit, capped and marked at both ends"
        if run.make != cable_key(made.awg, 2) or [w.colour for w in run.conductors] != COLOURS:
            yield f"the run of {name} is {cable_key(made.awg, 2)}: black, white and bare"
    if one.raceway is not None:
        area = 2 * conductor_area_in2(made.awg, "THHN") + conductor_area_in2(
            made.ground_awg, "THHN"
        )
        room = fill_limit(3) * raceway_area_in2(one.raceway.kind, one.raceway.trade_size)
        if area > room or abs(one.raceway.length_ft - made.length_ft) > SAME_FT:
            yield f"the raceway of {name} does not hold its conductors, or is not as long"
        string_ft, cut = one.raceway.string_ft, made.length_ft + made.allowance_ft
        if string_ft is not None and abs(string_ft - cut) > SAME_FT:
            yield f"the pull string of {name} is {cut:g} ft, not {string_ft:g} ft"
    if one.configuration is not None:
        return  # `receptacle_faults` looks at the box of a receptacle
    box = reading.boxes.get(one.box or "")
    fill = 2 * allowance_in3(made.awg) + allowance_in3(made.ground_awg)
    if box is None or box.volume_in3 is None or fill > box.volume_in3:
        yield f"{one.box} has no {fill:g} in³ for the conductors of {name}"


COLOURS: Final = ["black", "white", "bare"]
