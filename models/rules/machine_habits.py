"""Habits of the trade about machines: which have a circuit of their own, which run beside others.

None of them is law: warnings, and one note for the whole plan where many machines are meant.
Amperes.
"""

from collections.abc import Iterator
from typing import Final

from models.naming import natural
from models.plan import CircuitPlan, Finding, OutletPlan
from models.rules.reading import Reading, amps_text, machine_amps
from models.rules.rule import RuleText, registry
from models.shop import Machine

LARGE_AMPS: Final = 10.0  # half of a 20 A circuit; common practice, no source
SOURCE: Final = "common practice, no source"

COMPRESSOR = RuleText(
    "compressor-alone",
    "A compressor alone on its circuit",
    "A compressor starts when it likes, with several times its running current: nothing else is on"
    " its circuit.",
    SOURCE,
    "habit",
)
CRITICAL = RuleText(
    "critical-machine",
    "Critical machines behind a GFCI of their own",
    "What must not go dead unnoticed, a freezer or a door opener, is not behind a GFCI that"
    " something plugged in elsewhere can trip.",
    SOURCE,
    "habit",
)
LARGE = RuleText(
    "large-machine",
    "A circuit for each large machine",
    "A machine that stays in its place and takes more than 10 A, half of a 20 A circuit, has a"
    " circuit of its own.",
    SOURCE,
    "habit",
)
BESIDE = RuleText(
    "runs-beside",
    "What runs beside the machine somebody works at",
    "Collectors, air filters, compressors, heaters and coolers run beside one cutting machine: they"
    " follow it, start by themselves, or are set and left. Otherwise one person alone never runs"
    " them together, and no load is counted for it.",
    SOURCE,
    "habit",
)
RULES = registry(COMPRESSOR, CRITICAL, LARGE, BESIDE)
BESIDE_KINDS: Final = frozenset({"space heat", "cooling", "compressor"})
BESIDE_WORDS: Final = ("collector", "extractor", "air filter", "air cleaner")


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each habit that the plan does not keep."""
    edition = reading.edition
    large: list[str] = []
    for machine, outlet, circuit in _placed(reading):
        who = reading.called[machine.id]
        others = _others(reading, machine, outlet, circuit)
        if machine.kind == "compressor" and others:
            yield COMPRESSOR.finding(
                machine.id,
                f"{who} shares {circuit.id} with {', '.join(others)}",
                edition=edition,
                severity="warning",
                fix=f"a circuit of its own for {who}",
            )
        elif machine_amps(machine) > LARGE_AMPS and others:
            large.append(f"{who} ({amps_text(machine_amps(machine))}, {circuit.id})")
        if machine.critical and (trips := _tripped_from(reading, outlet, circuit)):
            yield CRITICAL.finding(
                machine.id,
                f"{who} goes dead when anything at {', '.join(trips)} trips its GFCI",
                edition=edition,
                severity="warning",
                fix=f"a circuit and a GFCI of its own for {who}, or an alarm that tells when"
                " its power fails",
            )
    if large:
        yield LARGE.finding(
            "machines",
            f"large machines that share a circuit: {', '.join(large)}",
            edition=edition,
            severity="note",
            fix="where others are to run beside one, keep them apart with `not_with`",
        )
    yield from _beside(reading)


def _placed(reading: Reading) -> Iterator[tuple[Machine, OutletPlan, CircuitPlan]]:
    """Machines that stay in their place, with their outlet and circuit."""
    for placed in reading.plan.machines:
        outlet = reading.outlet_of(placed)
        if outlet is not None:
            machine = reading.machines_of_shop[placed.id]
            yield machine, outlet, reading.circuits[outlet.circuit]


def _elsewhere(reading: Reading, outlet: OutletPlan, circuit: CircuitPlan) -> list[OutletPlan]:
    """Outlets of a circuit that are on other yokes."""
    return [
        other
        for other in reading.outlets_on(circuit)
        if other.id != outlet.id and (other.yoke is None or other.yoke != outlet.yoke)
    ]


def _others(
    reading: Reading, machine: Machine, outlet: OutletPlan, circuit: CircuitPlan
) -> list[str]:
    """Machines that share a circuit with one, or else the boxes on it."""
    on = reading.machines_on(circuit)
    machines = [reading.called[other.id] for other in on if other.id != machine.id]
    boxes = {other.box for other in _elsewhere(reading, outlet, circuit)}
    return machines or sorted(boxes, key=natural)


def _tripped_from(reading: Reading, outlet: OutletPlan, circuit: CircuitPlan) -> list[str]:
    """Boxes where something else can trip the GFCI before an outlet."""
    if outlet.protected_by is None:
        return []
    behind = {
        other.box
        for other in _elsewhere(reading, outlet, circuit)
        if other.kind != "luminaire" and other.protected_by == outlet.protected_by
    }
    return sorted(behind, key=natural)


def _beside(reading: Reading) -> Iterator[Finding]:
    """Machines that count as attended, though they run beside the one somebody works at."""
    for machine in reading.shop.machines:
        words = f"{machine.id} {machine.name}".lower().replace("-", " ")
        meant = machine.kind in BESIDE_KINDS or any(word in words for word in BESIDE_WORDS)
        if meant and machine.id in reading.rules.attended:
            yield BESIDE.finding(
                machine.id,
                f"{reading.called[machine.id]} counts as a machine that somebody stands at: no load"
                " is counted for it while the same person cuts",
                edition=reading.edition,
                severity="warning",
                fix="say in the shop file what it follows, or `starts_by_itself` or"
                " `set_and_leave`",
            )
