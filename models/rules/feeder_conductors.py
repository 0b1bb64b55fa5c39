"""Conductors of a feeder: ampacity, protection, neutral and ground. Amperes, °C.

Read in the room of the panel, where they end, with no others around them (their own neutral does
not count, 310.15(E)). In a raceway the terminals of the panel decide the column; a feeder without
one is cable of an unknown kind: read like NM cable at 60 °C (334.80) it may be a warning, read by
the terminals a violation.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from models.formulas.ampacity import ampacity_amps
from models.formulas.conductors import circular_mils
from models.formulas.feeders import SIZES_OF, whole_dwelling_size
from models.formulas.grounds import enlarged_ground_awg, equipment_ground_awg
from models.formulas.load_calculation import unbalanced_amps
from models.formulas.overcurrent import largest_breaker_amps
from models.plan import Finding, Severity
from models.rules.load_calculation import calculated_amps, leg_amps
from models.rules.reading import Reading, amps_text
from models.rules.rule import RuleText, registry
from models.shop import Panel
from models.tables import NotInTableError

CONDUCTOR = RuleText(
    "feeder-conductor",
    "Feeder conductors",
    "The hots of a feeder carry its calculated load, continuous loads and the largest motor at"
    " 125 %.",
    "NEC 215.2(A)(1)",
    "code",
)
PROTECTION = RuleText(
    "feeder-protection",
    "Protection of the feeder",
    "The feeder's breaker is no larger than its hots allow, the next standard size up included.",
    "NEC 240.4(B)",
    "code",
)
WHOLE_DWELLING = RuleText(
    "feeder-83-percent",
    "83 % for whole dwellings only",
    "A feeder that does not carry all of a dwelling is not sized by the 83 % rule.",
    "NEC 310.12",
    "code",
    {2017: "NEC 310.15(B)(7)"},
)
NEUTRAL = RuleText(
    "feeder-neutral",
    "Neutral of the feeder",
    "A neutral smaller than the hots carries the greatest load that one leg has to neutral; none is"
    " smaller than the ground that the breaker asks for.",
    "NEC 220.61, 215.2(A)(2)",
    "code",
    {2023: "NEC 220.61, 215.2(B)"},
)
GROUND = RuleText(
    "feeder-ground",
    "Ground of the feeder",
    "The equipment grounding conductor is as large as the feeder's breaker asks for, in proportion"
    " larger where the hots are larger than they need be.",
    "NEC 215.6, 250.122(A), 250.122(B)",
    "code",
)
RULES = registry(CONDUCTOR, PROTECTION, WHOLE_DWELLING, NEUTRAL, GROUND)
NM_COLUMN_C: Final = 60
AS_CABLE: Final = "read as cable at 60 °C"
SAY: Final = "say in the shop file what `raceway` the feeder lies in, or take larger conductors"


class Reach(NamedTuple):
    """A way to read a feeder: terminal column, and how grave it is when that is not enough."""

    column_c: int
    severity: Severity
    how: str


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each conductor of a feeder that is too small."""
    for panel in reading.shop.supply.panels:
        ways = _ways(panel)
        yield from _first(_conductor(reading, panel, way) for way in ways)
        yield from _first(_protection(reading, panel, way) for way in ways)
        yield from _first(_neutral(reading, panel, way) for way in ways)
        yield from _neutral_size(reading, panel)
        yield from _ground(reading, panel)


def _first(found: Iterator[Finding | None]) -> list[Finding]:
    """The gravest of the readings that fail."""
    return [finding for finding in found if finding is not None][:1]


def _ways(panel: Panel) -> list[Reach]:
    """How a feeder may be read, the most favourable first."""
    column_c = 75 if panel.terminals == "75 C" else NM_COLUMN_C
    by_terminals = Reach(column_c, "violation", f"at {column_c} °C terminals")
    if panel.feeder.raceway is not None or column_c == NM_COLUMN_C:
        return [by_terminals]
    return [by_terminals, Reach(NM_COLUMN_C, "warning", AS_CABLE)]


def _ampacity(reading: Reading, panel: Panel, awg: str, column_c: int) -> float:
    """Ampacity of a feeder's conductor in the room of its panel. [A]"""
    shop = reading.shop
    return ampacity_amps(
        awg,
        terminal_c=column_c,
        ambient_c=shop.building.climate_at(*shop.stands_in(panel)).room_c,
        material=panel.feeder.conductors.material,
    )


def _conductor(reading: Reading, panel: Panel, way: Reach) -> Finding | None:
    """Hots that do not carry the calculated load."""
    hot, material = panel.feeder.conductors.hot, panel.feeder.conductors.material
    carried = _ampacity(reading, panel, hot, way.column_c)
    amps = calculated_amps(reading, panel.id)
    if amps <= carried:
        return None
    return CONDUCTOR.finding(
        panel.id,
        f"the feeder of {panel.id} has {amps_text(amps)} by the load calculation; {hot} AWG"
        f" {material} carries {amps_text(carried)} {way.how}",
        edition=reading.edition,
        severity=way.severity,
        found=float(amps),
        limit=carried,
        unit="A",
        fix=SAY if way.how == AS_CABLE else "larger conductors in the feeder, or less load on it",
    )


def _protection(reading: Reading, panel: Panel, way: Reach) -> Finding | None:
    """A breaker above what the hots allow; as the 83 % rule would have it, said so."""
    given = panel.feeder.conductors
    carried = _ampacity(reading, panel, given.hot, way.column_c)
    largest = _largest_breaker(reading, panel, given.hot, way.column_c)
    breaker = panel.feeder.breaker_amps
    if breaker <= largest:
        return None
    as_dwelling = way.severity == "violation" and _as_whole_dwelling(panel)
    rule = WHOLE_DWELLING if as_dwelling else PROTECTION
    why = ": the 83 % rule is for what carries all of a dwelling" if as_dwelling else ""
    return rule.finding(
        panel.id,
        f"{given.hot} AWG {given.material} in the feeder of {panel.id} carries"
        f" {amps_text(carried)} {way.how}, its breaker is {amps_text(breaker)}{why}",
        edition=reading.edition,
        severity=way.severity,
        found=breaker,
        limit=float(largest),
        unit="A",
        fix=SAY
        if way.how == AS_CABLE
        else "larger conductors, or a smaller breaker if the calculated load allows it",
    )


def _largest_breaker(reading: Reading, panel: Panel, awg: str, column_c: int) -> int:
    """Largest breaker for a feeder's hots of a size. [A]"""
    largest = largest_breaker_amps(
        awg,
        _ampacity(reading, panel, awg, column_c),
        several_receptacles=False,
        edition=reading.edition,
        material=panel.feeder.conductors.material,
    )
    return largest or 0


def _as_whole_dwelling(panel: Panel) -> bool:
    """Whether Table 310.12 would give these hots for the breaker of a whole dwelling."""
    given = panel.feeder.conductors
    try:
        size = whole_dwelling_size(
            panel.feeder.breaker_amps, given.material, carries_whole_dwelling=True
        )
    except NotInTableError:
        return False
    return size in SIZES_OF[given.material] and circular_mils(given.hot) >= circular_mils(size)


def _neutral(reading: Reading, panel: Panel, way: Reach) -> Finding | None:
    """A neutral that does not carry what one leg has to neutral.

    One as large as the hots cannot carry more than their breaker lets through.
    """
    hot, neutral = panel.feeder.conductors.hot, panel.feeder.conductors.neutral
    a_amps, b_amps = (leg_amps(reading, panel.id, leg, to_neutral=True) for leg in "AB")
    amps = unbalanced_amps([(a_amps, b_amps)])
    carried = _ampacity(reading, panel, neutral, way.column_c)
    if amps <= carried or circular_mils(neutral) >= circular_mils(hot):
        return None
    return NEUTRAL.finding(
        panel.id,
        f"the neutral of the feeder of {panel.id} has {amps_text(amps)} by the load calculation;"
        f" {neutral} AWG carries {amps_text(carried)} {way.how}",
        edition=reading.edition,
        severity=way.severity,
        found=float(amps),
        limit=carried,
        unit="A",
        fix=SAY
        if way.how == AS_CABLE
        else "a larger neutral, or 120 V circuits moved to the other leg",
    )


def _neutral_size(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A neutral smaller than the ground that the breaker asks for."""
    given = panel.feeder.conductors
    least = equipment_ground_awg(panel.feeder.breaker_amps, given.material)
    if circular_mils(given.neutral) < circular_mils(least):
        yield NEUTRAL.finding(
            panel.id,
            f"the neutral of the feeder of {panel.id} is {given.neutral} AWG, behind"
            f" {amps_text(panel.feeder.breaker_amps)} {least} AWG is the least",
            edition=reading.edition,
            detail="size",
            found=given.neutral,
            limit=least,
            unit="AWG",
            fix=f"a neutral of {least} AWG {given.material} at least",
        )


def _ground(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A ground that is too small for the breaker, or for hots larger than they need be."""
    given, breaker = panel.feeder.conductors, panel.feeder.breaker_amps
    column_c = _ways(panel)[-1].column_c
    least_hot = next(
        (
            awg
            for awg in SIZES_OF[given.material]
            if _largest_breaker(reading, panel, awg, column_c) >= breaker
        ),
        given.hot,
    )
    least_hot = min(least_hot, given.hot, key=circular_mils)
    least = enlarged_ground_awg(
        equipment_ground_awg(breaker, given.material, circuit_awg=least_hot),
        minimum_cmil=circular_mils(least_hot),
        installed_cmil=circular_mils(given.hot),
    )
    if circular_mils(given.ground) < circular_mils(least):
        enlarged = f" and hots of {given.hot} AWG" if least_hot != given.hot else ""
        yield GROUND.finding(
            panel.id,
            f"the ground of the feeder of {panel.id} is {given.ground} AWG, behind"
            f" {amps_text(breaker)}{enlarged} {least} AWG is the least",
            edition=reading.edition,
            found=given.ground,
            limit=least,
            unit="AWG",
            fix=f"a ground of {least} AWG {given.material} at least",
        )
