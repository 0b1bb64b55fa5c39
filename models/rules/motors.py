"""Motors: the breaker of their circuit, the disconnect, the starter and how they start. Amperes.

By table current (430.6(A)); a listed machine marked in amperes is no bare motor and is not meant.
"""

from collections.abc import Iterator

from models.formulas.breakers import magnetic_pickup_amps, start_likely_to_trip
from models.formulas.motors import (
    locked_rotor_amps,
    motor_breaker_ceiling_amps,
    small_motors_may_share,
)
from models.plan import CircuitPlan, Finding
from models.rules.reading import Reading, amps_text, is_worked, machine_amps
from models.rules.rule import RuleText, registry
from models.shop import Machine

BREAKER = RuleText(
    "motor-breaker",
    "Breaker of a motor",
    "The breaker of a motor is at most 250 % of its table current, the next standard size up; on a"
    " circuit with other loads that of the smallest motor, unless all motors are small (at most"
    " 1 hp and 6 A behind 20 A at 120 V or 15 A above).",
    "NEC 430.52, 430.53",
    "code",
    {2023: "NEC 430.52(C)(1), 430.53"},
)
DISCONNECT = RuleText(
    "motor-disconnect",
    "Disconnect of a motor",
    "A hard-wired motor has a disconnect in sight of it, no more than 50 ft away, or one built in.",
    "NEC 430.102(B), 430.109",
    "code",
)
OVERLOAD = RuleText(
    "motor-overload",
    "Overload protection of motors",
    "A motor above 1 hp, and a smaller one that starts by itself or is hard-wired, has a"
    " running-overload device of 115 or 125 % of its nameplate current: built in, or in its"
    " starter.",
    "NEC 430.32(A), (B)",
    "code",
)
START = RuleText(
    "motor-start",
    "Starting current on the breaker",
    "The locked-rotor current of a motor, six times its table current, stays below the current at"
    " which small breakers of its rating may trip at once: the start is then unlikely to trip it.",
    "common practice, no source",
    "habit",
    rests_on_memory=True,
)
RULES = registry(BREAKER, DISCONNECT, OVERLOAD, START)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each motor whose circuit does not suit it."""
    unknown = []
    for circuit in reading.plan.circuits:
        motors = [m for m in reading.machines_on(circuit) if m.motor_hp is not None]
        if is_worked(circuit):
            yield from _breaker(reading, circuit, motors)
        for motor in motors:
            yield from _disconnect(reading, motor)
            yield from _start(reading, circuit, motor)
            if _needs_overload(motor) and motor.starter is None:
                unknown.append(reading.called[motor.id])
    if unknown:
        yield OVERLOAD.finding(
            "motors",
            f"whether they have an overload device is not stated: {', '.join(unknown)}",
            edition=reading.edition,
            severity="note",
            fix="read the nameplates; say `starter: built in`, `manual` or `magnetic`",
        )


def _breaker(reading: Reading, circuit: CircuitPlan, motors: list[Machine]) -> Iterator[Finding]:
    """A breaker above what the smallest motor of a circuit may have."""
    if not motors:
        return
    amps = {motor.id: machine_amps(motor) for motor in motors}
    smallest = min(motors, key=lambda motor: (amps[motor.id], motor.id))
    most = motor_breaker_ceiling_amps(amps[smallest.id], reading.edition)
    if circuit.breaker.amps <= most:
        return
    pairs = [(motor.motor_hp, amps[motor.id]) for motor in motors if motor.motor_hp is not None]
    alone = reading.is_individual(circuit)
    if not alone and small_motors_may_share(pairs, circuit.breaker.amps, circuit.volts):
        return
    wired, who = smallest.hard_wired_at is not None, reading.called[smallest.id]
    listed_machine = "" if wired else ", or give the amperes marked on it as a listed machine"
    yield BREAKER.finding(
        circuit.id,
        f"{who} ({amps_text(amps[smallest.id])} by table) may be behind a breaker of"
        f" {amps_text(most)}, {circuit.id} has {amps_text(circuit.breaker.amps)}",
        edition=reading.edition,
        severity="violation" if wired else "warning",
        found=circuit.breaker.amps,
        limit=float(most),
        unit="A",
        fix=f"put {who} on a circuit with a smaller breaker{listed_machine}",
    )


def _disconnect(reading: Reading, motor: Machine) -> Iterator[Finding]:
    """A hard-wired motor of which nothing says how it is disconnected."""
    if motor.hard_wired_at is not None and motor.disconnect in (None, "plug"):
        who = reading.called[motor.id]
        yield DISCONNECT.finding(
            motor.id,
            f"{who} is hard-wired and its disconnect is not stated",
            edition=reading.edition,
            severity="warning",
            fix=f"say `disconnect: in sight` or `built in` for {who}, and build it",
        )


def _needs_overload(motor: Machine) -> bool:
    """Whether a motor is above 1 hp (430.32(A)), starts by itself (B), or stays there (D)(1)."""
    large = motor.motor_hp is not None and motor.motor_hp > 1
    return large or motor.starts_by_itself or motor.hard_wired_at is not None


def _start(reading: Reading, circuit: CircuitPlan, motor: Machine) -> Iterator[Finding]:
    """A motor that may trip its breaker as it starts."""
    amps = locked_rotor_amps(machine_amps(motor))
    if circuit.breaker.amps <= 100 and start_likely_to_trip(amps, circuit.breaker.amps):
        least = magnetic_pickup_amps(circuit.breaker.amps)[0]
        other = ", or 240 V where the motor can be reconnected" if motor.volts == 120 else ""
        yield START.finding(
            motor.id,
            f"{reading.called[motor.id]} draws about {amps_text(amps)} as it starts; a breaker of"
            f" {amps_text(circuit.breaker.amps)} may trip at once from {amps_text(least)} on",
            edition=reading.edition,
            severity="note",
            found=amps,
            limit=least,
            unit="A",
            fix=f"if it does: a breaker of the same rating for high starting current{other}",
        )
