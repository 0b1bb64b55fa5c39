"""Ground-fault protection: who must have it by edition, and whether the device named gives it."""

from collections.abc import Iterator

from models.gfci import (
    READILY_REACHED_FT,
    hard_wired_needs_gfci,
    place_in_scope,
    receptacle_needs_gfci,
    vehicle_receptacle_needs_gfci,
)
from models.plan import BoxPlan, CircuitPlan, Finding, OutletPlan, Severity, YokePlan
from models.rules.reading import Reading, is_worked
from models.rules.rule import RuleText, registry

SCOPE = RuleText(
    "gfci-scope",
    "Outlets that need ground-fault protection",
    "Every receptacle of a kind and in a place that the edition lists, and from 2020 on some"
    " hard-wired outlets of a dwelling, is protected. An existing circuit is noted: protection"
    " comes with the next replacement.",
    "NEC 210.8(A), 210.8(B)",
    "code",
    {2020: "NEC 210.8(A), (B), (F)", 2023: "NEC 210.8(A), (B), (F)"},
)
VEHICLES = RuleText(
    "ev-receptacle-gfci",
    "Receptacles for charging vehicles",
    "A receptacle that a vehicle charger is plugged into is protected wherever it is: in 2017 up to"
    " 50 A and 150 V to ground, since 2020 every one.",
    "NEC 625.54",
    "code",
)
DEVICE = RuleText(
    "gfci-device",
    "Where the protection sits",
    "The device that an outlet names is a GFCI breaker of its circuit, or a 120 V duplex GFCI on "
    "its way from the panel that can be reached from the floor; on a multiwire circuit its own.",
    "NEC 210.8 (readily accessible)",
    "code",
)
WISH = RuleText(
    "gfci-wish",
    "GFCI at breaker or device",
    "Ground-fault protection sits where the shop asks for it.",
    "wish of the owner",
    "plan",
)
RULES = registry(SCOPE, VEHICLES, DEVICE, WISH)
HEATING_AND_COOLING = frozenset({"space heat", "cooling"})


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each unprotected outlet and each device that does not protect."""
    for outlet in reading.plan.outlets:
        circuit = reading.circuits[outlet.circuit]
        if outlet.protected_by is None and circuit.breaker.gfci:
            yield DEVICE.finding(
                outlet.id,
                f"{outlet.id} is behind the GFCI breaker of {circuit.id}, the plan does not say so",
                edition=reading.edition,
                fix="name the breaker as its protection",
            )
        elif outlet.protected_by is None:
            yield from _unprotected(reading, outlet, circuit)
        elif says := _device_fault(reading, outlet, circuit):
            fix = "a GFCI breaker, or a GFCI duplex in the first box of the circuit"
            yield DEVICE.finding(outlet.id, says, edition=reading.edition, fix=fix)
    for circuit in reading.plan.circuits:
        if says := _place_fault(reading, circuit):
            fix = "name the places of GFCI devices again"
            yield DEVICE.finding(circuit.id, says, edition=reading.edition, fix=fix)
    yield from _wish(reading)


def _unprotected(reading: Reading, outlet: OutletPlan, circuit: CircuitPlan) -> Iterator[Finding]:
    """An outlet without protection, where something asks for it."""
    building, edition = reading.shop.building, reading.edition
    if outlet.configuration is not None:
        place = place_in_scope(reading.shop, reading.box_of_shop(outlet), edition)
        if place and receptacle_needs_gfci(building, edition, outlet.configuration):
            memory = place.text("basis") == "from memory"
            yield _finding(reading, SCOPE, outlet, circuit, rests_on_memory=memory)
        elif _charges_vehicle(reading, outlet):
            yield _finding(reading, VEHICLES, outlet, circuit)
    elif outlet.kind == "hard-wired" and hard_wired_needs_gfci(
        building,
        edition,
        outdoors=reading.box_of_shop(outlet).outdoors,
        breaker_amps=circuit.breaker.amps,
    ):
        if edition >= 2023 and _only_heats_or_cools(reading, outlet):
            yield SCOPE.finding(
                outlet.id,
                f"{outlet.id} on {circuit.id} has no ground-fault protection, which listed heating"
                " and cooling equipment need not have until September 2026",
                edition=edition,
                severity="note",
                found="none",
                fix="ask the inspector whether this exception is taken",
            )
        else:
            yield _finding(reading, SCOPE, outlet, circuit)


def _charges_vehicle(reading: Reading, outlet: OutletPlan) -> bool:
    """Whether a vehicle charger is plugged in here, at a receptacle that 625.54 means."""
    configuration = outlet.configuration or ""
    return vehicle_receptacle_needs_gfci(reading.edition, configuration) and any(
        reading.machines_of_shop[placed.id].kind == "vehicle charger"
        for placed in reading.plan.machines
        if placed.outlet == outlet.id
    )


def _only_heats_or_cools(reading: Reading, outlet: OutletPlan) -> bool:
    """Whether everything hard-wired at an outlet is heating or cooling equipment."""
    there = [
        reading.machines_of_shop[placed.id].kind
        for placed in reading.plan.machines
        if reading.outlet_of(placed) == outlet
    ]
    return bool(there) and HEATING_AND_COOLING.issuperset(there)


def _finding(
    reading: Reading,
    rule: RuleText,
    outlet: OutletPlan,
    circuit: CircuitPlan,
    *,
    rests_on_memory: bool = False,
) -> Finding:
    """An outlet that ought to be protected and names no protection."""
    existing = outlet.life == "existing"
    replaced = "receptacle" if outlet.kind == "receptacle" else "equipment"
    return rule.finding(
        outlet.id,
        f"{outlet.id} on {circuit.id} has no ground-fault protection",
        edition=reading.edition,
        severity="note" if existing else "violation",
        found="none",
        rests_on_memory=rests_on_memory,
        fix=f"protect it when the {replaced} is next replaced"
        if existing
        else f"a GFCI breaker for {circuit.id}, or a GFCI duplex in its first box",
    )


def _yoke(reading: Reading, name: str) -> tuple[BoxPlan, YokePlan]:
    """A yoke and the box it is in."""
    return next((b, y) for b in reading.plan.boxes for y in b.yokes if y.id == name)


def _device_fault(reading: Reading, outlet: OutletPlan, circuit: CircuitPlan) -> str | None:
    """Why the device that an outlet names does not protect it; None when it does."""
    name = outlet.protected_by
    if name is None or name not in circuit.gfci_at:
        return f"{outlet.id} names {name}, which is no GFCI place of {circuit.id}"
    if name == "breaker":
        return None
    box, _ = _yoke(reading, name)
    if circuit.multiwire_with is not None and outlet.yoke != name:
        return f"GFCI {name} on {circuit.id} protects itself alone, where the neutral is shared"
    on_the_way = reading.trees[circuit.id].passed(outlet.box)
    if is_worked(circuit) and box.id not in on_the_way:
        return f"GFCI {name} is not on the way from the panel to {outlet.id}"
    return None


def _place_fault(reading: Reading, circuit: CircuitPlan) -> str | None:
    """Why a GFCI place of a circuit is none; None when all are."""
    if ("breaker" in circuit.gfci_at) != circuit.breaker.gfci:
        return f"{circuit.id}: its breaker and its list of GFCI places do not agree"
    marked = {
        y.id for b in reading.plan.boxes for y in b.yokes if y.gfci and y.circuit == circuit.id
    }
    if marked != set(circuit.gfci_at) - {"breaker"}:
        return (
            f"{circuit.id} lists GFCI at {list(circuit.gfci_at)}, its boxes have {sorted(marked)}"
        )
    for name in sorted(marked):
        box, yoke = _yoke(reading, name)
        place = reading.boxes_of_shop[box.id]
        height_ft = reading.shop.position(place)[2]
        if yoke.device != "duplex" or circuit.volts != 120:
            return f"GFCI {name} is no 120 V duplex"
        if place.ceiling is not None or height_ft > READILY_REACHED_FT:
            return f"GFCI {name} at {height_ft:g} ft cannot be reached from the floor"
        if circuit.multiwire_with is None and (says := _bridge_fault(circuit, box, name)):
            return says
    return None


def _bridge_fault(circuit: CircuitPlan, box: BoxPlan, name: str) -> str | None:
    """Whether a splice takes hot or neutral past a GFCI device, from its line to its load side."""
    live = ("hot", "neutral")
    arriving = {f"{run.id}.{role}" for run in circuit.runs if run.end == box.id for role in live}
    leaving = {f"{run.id}.{role}" for run in circuit.runs if run.start == box.id for role in live}
    others = {yoke.id for yoke in box.yokes if yoke.circuit == circuit.id and yoke.id != name}
    for splice in box.splices:
        joined = set(splice.joins)
        if joined & arriving and (joined & leaving or others & set(splice.pigtails)):
            return f"a splice in {box.id} goes past GFCI {name}: what lies behind is unprotected"
    return None


def _wish(reading: Reading) -> Iterator[Finding]:
    """Protection that does not sit where the shop asks for it."""
    wish = reading.shop.code.gfci_at
    for circuit in reading.new_circuits:
        devices = [place for place in circuit.gfci_at if place != "breaker"]
        at_breaker = wish == "device" and circuit.breaker.gfci and circuit.volts == 120
        if (wish == "breaker" and devices) or at_breaker:
            says = (
                f"{circuit.id} has GFCI at {', '.join(circuit.gfci_at)}, the shop asks for {wish}"
            )
            # A breaker serves where no box of the circuit can hold a device within reach.
            severity: Severity = "note" if at_breaker else "violation"
            fix = "move the protection, or change gfci_at in the shop file"
            yield WISH.finding(
                circuit.id, says, edition=reading.edition, severity=severity, fix=fix
            )
