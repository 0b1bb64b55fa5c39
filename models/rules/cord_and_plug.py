"""Cord and plug: fit, horsepower, share of the circuit, and reach; hard-wired machines beside.

Amperes, hp, feet.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from models.formulas.receptacles import largest_cord_load_amps, plug_fits, receptacle
from models.plan import CircuitPlan, Finding, OutletPlan
from models.quantities import horsepower_text
from models.reach import reach_ft, within_cord
from models.rules.reading import Reading, amps_text, machine_amps
from models.rules.rule import SAME_AMPS, RuleText, registry
from models.shop import Machine
from models.tables import NotInTableError

NO_RATING_NEEDED_HP: Final = Fraction(1, 3)  # 430.109(B), (F): portable motors up to 1/3 hp
LARGEST_SHARED_AMPS = 20  # 210.23: half is asked of 15 and 20 A circuits
FASTENED_SHARE: Final = 0.5

FIT = RuleText(
    "plug-fit",
    "Plug and receptacle",
    "The plug goes into the receptacle, and both are of the machine's voltage.",
    "NEMA WD 6",
    "maker",
)
HORSEPOWER = RuleText(
    "plug-horsepower",
    "Horsepower of a receptacle",
    "A motor above 1/3 hp has a receptacle of at least its horsepower, which is its disconnect.",
    "NEC 430.109(F); UL 498",
    "code",
)
CORD_LOAD = RuleText(
    "cord-load",
    "One machine on a shared circuit",
    "On a circuit of two or more receptacles one plugged machine takes at most 80 %; alone on a "
    "single receptacle it may take the whole rating. A duplex is two receptacles.",
    "NEC 210.21(B)(2), 210.23(A)(1)",
    "code",
    {2023: "NEC 210.21(B)(2), 210.23(B)(1)"},
)
FASTENED = RuleText(
    "fastened-load",
    "Hard-wired machines on a shared circuit",
    "Machines fastened in place take together at most half of a 15 or 20 A circuit that also has "
    "lights or receptacles.",
    "NEC 210.23(A)(2)",
    "code",
    {2023: "NEC 210.23(B)(2)"},
)
REACH = RuleText(
    "cord-reach",
    "Reach of a cord",
    "The cord is as long as the straight line to its receptacle.",
    "plan file against the shop",
    "plan",
)
RULES = registry(FIT, HORSEPOWER, CORD_LOAD, FASTENED, REACH)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each machine whose receptacle or circuit does not suit it."""
    for placed in reading.plan.machines:
        machine, outlet = reading.machines_of_shop[placed.id], reading.outlet_of(placed)
        if outlet is None:
            continue
        circuit = reading.circuits[outlet.circuit]
        if machine.plug is not None and outlet.configuration is not None:
            yield from _fit(reading, machine, outlet, outlet.configuration)
            yield from _cord_load(reading, machine, outlet, circuit)
            yield from _reach(reading, machine, outlet)
    for circuit in reading.plan.circuits:
        yield from _fastened(reading, circuit)


def fits(machine: Machine, configuration: str) -> bool:
    """Whether a machine's plug, voltage and motor suit a receptacle."""
    found = receptacle(configuration)
    strong = machine.motor_hp is None or machine.motor_hp <= max(
        NO_RATING_NEEDED_HP, found.horsepower
    )
    return _goes_in(machine, configuration) and strong


def cord_limit_amps(reading: Reading, circuit: CircuitPlan, configuration: str) -> float:
    """Most that one plugged machine may take at a receptacle of a circuit. [A]"""
    return largest_cord_load_amps(
        int(circuit.breaker.amps),
        receptacle(configuration).amps,
        individual=reading.is_individual(circuit),
    )


def _goes_in(machine: Machine, configuration: str) -> bool:
    """Whether plug and voltage suit; a plug that the table does not list fits nothing."""
    try:
        listed = plug_fits(machine.plug or "", configuration)
    except NotInTableError:
        return False
    return listed and receptacle(configuration).volts == machine.volts


def _fit(
    reading: Reading, machine: Machine, outlet: OutletPlan, configuration: str
) -> Iterator[Finding]:
    """A plug that does not go in, or a receptacle without the horsepower."""
    found, who = receptacle(configuration), reading.called[machine.id]
    if not _goes_in(machine, configuration):
        yield FIT.finding(
            machine.id,
            f"plug {machine.plug} of {who} ({machine.volts} V) does not go into {outlet.id}"
            f", a {configuration} of {found.volts} V",
            edition=reading.edition,
            found=machine.plug,
            limit=configuration,
            rests_on_memory=found.basis == "from memory",
            fix=f"another receptacle for {who}",
        )
    elif not fits(machine, configuration):
        assert machine.motor_hp is not None
        yield HORSEPOWER.finding(
            machine.id,
            f"{who} has {horsepower_text(machine.motor_hp)} hp, {outlet.id} is a "
            f"{configuration} of {horsepower_text(found.horsepower)} hp",
            edition=reading.edition,
            found=float(machine.motor_hp),
            limit=float(found.horsepower),
            unit="hp",
            rests_on_memory=found.horsepower_basis == "from memory",
            fix=f"wire {who} with a disconnect in sight, or ask its maker for the rating of "
            "the whole appliance",
        )


def _cord_load(
    reading: Reading, machine: Machine, outlet: OutletPlan, circuit: CircuitPlan
) -> Iterator[Finding]:
    """A machine that takes more than one receptacle of this circuit may give."""
    amps, who = machine_amps(machine), reading.called[machine.id]
    limit = cord_limit_amps(reading, circuit, outlet.configuration or "")
    if amps > limit + SAME_AMPS:
        count = len(reading.receptacles_on(circuit))
        yield CORD_LOAD.finding(
            machine.id,
            f"{who} takes {amps_text(amps)} at {outlet.id}; one machine may take "
            f"{amps_text(limit)} there ({count} receptacles on {circuit.id})",
            edition=reading.edition,
            found=amps,
            limit=limit,
            unit="A",
            fix=f"a single receptacle on a circuit of its own for {who}",
        )


def _fastened(reading: Reading, circuit: CircuitPlan) -> Iterator[Finding]:
    """Hard-wired machines that take together more than half of a shared circuit."""
    wired = [machine for machine in reading.machines_on(circuit) if machine.plug is None]
    amps, limit = sum(map(machine_amps, wired)), FASTENED_SHARE * circuit.breaker.amps
    shared = any(outlet.kind != "hard-wired" for outlet in reading.outlets_on(circuit))
    if shared and circuit.breaker.amps <= LARGEST_SHARED_AMPS and amps > limit + SAME_AMPS:
        told = reading.names(machine.id for machine in wired)
        yield FASTENED.finding(
            wired[0].id if len(wired) == 1 else circuit.id,
            f"hard-wired on shared circuit {circuit.id}: {told} = {amps_text(amps)}; half of it is "
            f"{amps_text(limit)}",
            edition=reading.edition,
            found=amps,
            limit=limit,
            unit="A",
            fix=f"a circuit of its own for {'it' if len(wired) == 1 else 'them'}",
        )


def _reach(reading: Reading, machine: Machine, outlet: OutletPlan) -> Iterator[Finding]:
    """A cord that is shorter than the way to its receptacle."""
    distance = reach_ft(reading.shop, machine, reading.box_of_shop(outlet))
    if not within_cord(machine, distance):
        who = reading.called[machine.id]
        yield REACH.finding(
            machine.id,
            f"the cord of {who} has {machine.cord_ft:g} ft, {outlet.id} is {distance:.1f} ft away",
            edition=reading.edition,
            found=distance,
            limit=machine.cord_ft,
            unit="ft",
            fix=f"a nearer receptacle, or another place for {who}; no extension cord",
        )
