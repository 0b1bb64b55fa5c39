"""Circuits of machines whose nameplate names the circuit: MCA and MOCP, welders, chargers. Amperes.

240.4(G) sends motors, welders and air conditioners to articles of their own: the breaker may be
above the conductor there, but only on a circuit with nothing else.
"""

from collections.abc import Iterator

from models.formulas.compressors import compressor_breaker_amps, compressor_conductor_amps
from models.formulas.load_calculation import welder_group_amps
from models.formulas.welders import welder_breaker_ceiling_amps
from models.plan import CircuitPlan, Finding
from models.rules.reading import Reading, amps_text
from models.rules.rule import SAME_AMPS, RuleText, registry
from models.shop import Machine

MCA = RuleText(
    "nameplate-ampacity",
    "Minimum circuit ampacity",
    "Conductors carry at least the MCA on the nameplate; its 125 % is in it already.",
    "NEC 440.4(B), 440.35",
    "code",
)
MOCP = RuleText(
    "nameplate-breaker",
    "Largest breaker on the nameplate",
    "The breaker is not above the MOCP on the nameplate.",
    "NEC 440.4(B), 440.22(C), 110.3(B)",
    "code",
)
WELDER = RuleText(
    "welder-ampacity",
    "Conductors of welders",
    "Conductors carry the effective current of a welder; of several the two largest in full, the"
    " third at 85 %, the fourth at 70 %, the rest at 60 %.",
    "NEC 630.11",
    "code",
)
WELDER_BREAKER = RuleText(
    "welder-breaker",
    "Breaker of a welder",
    "The breaker is at most 200 % of a welder's rated primary current and of the ampacity of its"
    " conductors, the next standard size up.",
    "NEC 630.12",
    "code",
)
WELDER_DISCONNECT = RuleText(
    "welder-disconnect",
    "Disconnect of a welder",
    "Each arc welder has a disconnect: its plug, one built in, or one beside it.",
    "NEC 630.13",
    "code",
)
COOLING = RuleText(
    "cooling-unit",
    "Cooling unit without MCA",
    "A hard-wired cooling unit marked in amperes has conductors of 125 % of them and a breaker of"
    " at most 175 %, up to 225 % where it does not start on less.",
    "NEC 440.32, 440.22(A)",
    "code",
    rests_on_memory=True,
)
CHARGER = RuleText(
    "vehicle-charger-alone",
    "Vehicle charger on its own circuit",
    "The outlet for a vehicle charger has a circuit to itself; since 2023 only above 16 A or"
    " 120 V.",
    "NEC 625.40",
    "code",
)
RULES = registry(MCA, MOCP, COOLING, WELDER, WELDER_BREAKER, WELDER_DISCONNECT, CHARGER)
SMALL_CHARGER_AMPS, SMALL_CHARGER_VOLTS = 16, 120  # 625.40 (2023)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each machine whose circuit is not what its nameplate asks for."""
    for circuit in reading.plan.circuits:
        machines = reading.machines_on(circuit)
        yield from _welders(reading, circuit, [m for m in machines if m.i1eff_amps is not None])
        for machine in machines:
            if machine.mca_amps is not None and machine.mocp_amps is not None:
                yield from _mca(reading, circuit, machine)
            if machine.kind == "cooling" and machine.marked_amps and machine.hard_wired_at:
                yield from _cooling(reading, circuit, machine, machine.marked_amps)
            if machine.kind == "vehicle charger":
                yield from _charger(reading, circuit, machine)


def _mca(reading: Reading, circuit: CircuitPlan, machine: Machine) -> Iterator[Finding]:
    """Conductors below MCA, a breaker above MOCP."""
    mca, mocp = machine.mca_amps or 0.0, machine.mocp_amps or 0.0
    ampacity, who = reading.circuit_ampacity(circuit), reading.called[machine.id]
    if ampacity < mca - SAME_AMPS:
        yield MCA.finding(
            circuit.id,
            f"{who} asks for conductors of {amps_text(mca)}, those of {circuit.id} carry"
            f" {amps_text(ampacity)}",
            edition=reading.edition,
            detail=machine.id,
            found=ampacity,
            limit=mca,
            unit="A",
            fix=f"larger conductors for {circuit.id}, or a cooler way",
        )
    if circuit.breaker.amps > mocp:
        yield MOCP.finding(
            circuit.id,
            f"{who} allows a breaker of {amps_text(mocp)}, {circuit.id} has"
            f" {amps_text(circuit.breaker.amps)}",
            edition=reading.edition,
            detail=machine.id,
            found=circuit.breaker.amps,
            limit=mocp,
            unit="A",
            fix=f"a breaker of at most {amps_text(mocp)} for {who}",
        )


def _cooling(
    reading: Reading, circuit: CircuitPlan, machine: Machine, marked_amps: float
) -> Iterator[Finding]:
    """Conductors below 125 % of a compressor's current, a breaker above 175 or 225 %."""
    needed, ampacity = compressor_conductor_amps(marked_amps), reading.circuit_ampacity(circuit)
    who = reading.called[machine.id]
    if ampacity < needed - SAME_AMPS:
        yield COOLING.finding(
            circuit.id,
            f"{who} asks for conductors of {amps_text(needed)}, those of {circuit.id} carry"
            f" {amps_text(ampacity)}",
            edition=reading.edition,
            detail="conductor",
            found=ampacity,
            limit=needed,
            unit="A",
            fix=f"larger conductors for {circuit.id}, or a cooler way",
        )
    usual = compressor_breaker_amps(marked_amps, reading.edition)
    most = compressor_breaker_amps(marked_amps, reading.edition, will_not_start=True)
    if circuit.breaker.amps > usual:
        over = circuit.breaker.amps > most
        yield COOLING.finding(
            circuit.id,
            f"{who} may be behind a breaker of {amps_text(usual)}, of {amps_text(most)}"
            f" where it does not start otherwise; {circuit.id} has"
            f" {amps_text(circuit.breaker.amps)}",
            edition=reading.edition,
            severity="violation" if over else "note",
            detail="breaker",
            found=circuit.breaker.amps,
            limit=float(most if over else usual),
            unit="A",
            fix=f"a breaker of {amps_text(usual)}, or read MCA and MOCP on the nameplate",
        )


def _welders(reading: Reading, circuit: CircuitPlan, welders: list[Machine]) -> Iterator[Finding]:
    """Conductors below the effective currents, a breaker above 200 %, a missing disconnect."""
    if not welders:
        return
    needed = welder_group_amps([welder.i1eff_amps or 0.0 for welder in welders])
    ampacity = reading.circuit_ampacity(circuit)
    if ampacity < needed - SAME_AMPS:
        who = reading.names(welder.id for welder in welders)
        yield WELDER.finding(
            circuit.id,
            f"{who} ask for conductors of {amps_text(needed)}, those of {circuit.id} carry"
            f" {amps_text(ampacity)}",
            edition=reading.edition,
            found=ampacity,
            limit=needed,
            unit="A",
            fix=f"larger conductors for {circuit.id}",
        )
    limits = [(welder.i1max_amps or 0.0, reading.called[welder.id]) for welder in welders]
    for amps, what in (min(limits), (ampacity, "its conductors")):
        most = welder_breaker_ceiling_amps(amps, reading.edition)
        if circuit.breaker.amps > most:
            yield WELDER_BREAKER.finding(
                circuit.id,
                f"200 % of {what} ({amps_text(amps)}) allows a breaker of {amps_text(most)},"
                f" {circuit.id} has {amps_text(circuit.breaker.amps)}",
                edition=reading.edition,
                detail=what,
                found=circuit.breaker.amps,
                limit=float(most),
                unit="A",
                fix=f"a smaller breaker for {circuit.id}, or larger conductors where they limit it",
            )
    for welder in welders:
        if welder.hard_wired_at is not None and welder.disconnect in (None, "plug"):
            yield WELDER_DISCONNECT.finding(
                welder.id,
                f"{reading.called[welder.id]} is hard-wired and its disconnect is not stated",
                edition=reading.edition,
                severity="warning",
                fix="say `disconnect: in sight` or `built in` for it, and build it",
            )


def _charger(reading: Reading, circuit: CircuitPlan, machine: Machine) -> Iterator[Finding]:
    """A charger that shares its circuit."""
    amps = (machine.marked_amps or 0.0) or (machine.power_watts or 0) / machine.volts
    small = amps <= SMALL_CHARGER_AMPS and machine.volts <= SMALL_CHARGER_VOLTS
    if reading.is_individual(circuit) or (reading.edition >= 2023 and small):
        return
    yield CHARGER.finding(
        circuit.id,
        f"{reading.called[machine.id]} charges a vehicle and shares {circuit.id} with other"
        " outlets",
        edition=reading.edition,
        detail=machine.id,
        fix="a circuit of its own for it: a single receptacle, or hard-wired",
    )
