"""Rule checks: everything a plan claims, computed again from the finished plan and its shop.

Nothing here knows how a plan was made. Each module holds one check: it reads a plan and yields
findings; it changes nothing. `check_plan` runs them all.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from pydantic import ValidationError

from models.formulas.editions import require_edition
from models.plan import Finding, Plan
from models.rules import (
    after_changeovers,
    beside_existing,
    box_fill,
    bundled_cables,
    burial_depth,
    cable_way,
    changeovers,
    claims,
    coverage,
    detached,
    existing_circuits,
    feeder_conductors,
    feeder_load,
    gfci,
    hazards,
    later_machines,
    legs,
    lights,
    load_calculation,
    machine_habits,
    motor_dip,
    motors,
    nameplates,
    not_checked,
    panel_habits,
    panel_place,
    panel_spaces,
    passage_ledger,
    portable_tools,
    promises,
    pull_boxes,
    purchase,
    raceway_bends,
    raceway_fill,
    receptacle_kinds,
    references,
    required_outlets,
    run_makeup,
    source,
    splices,
    tree,
    voltage_drop,
    wiring_habits,
    wishes,
    working_space,
)
from models.rules.circuit_checks import CIRCUIT_CHECKS
from models.rules.reading import Reading
from models.rules.rule import RuleText
from models.shop import Shop
from models.shop_checks import check_shop
from models.tables import NotInTableError

FIRST: Final = (source, references)
CHECKS: Final = (
    coverage,
    tree,
    run_makeup,
    cable_way,
    panel_spaces,
    *CIRCUIT_CHECKS,
    box_fill,
    splices,
    raceway_fill,
    raceway_bends,
    burial_depth,
    pull_boxes,
    bundled_cables,
    passage_ledger,
    voltage_drop,
    motor_dip,
    motors,
    nameplates,
    gfci,
    required_outlets,
    receptacle_kinds,
    lights,
    legs,
    load_calculation,
    feeder_load,
    feeder_conductors,
    detached,
    portable_tools,
    promises,
    existing_circuits,
    beside_existing,
    wishes,
    working_space,
    panel_place,
    machine_habits,
    wiring_habits,
    panel_habits,
    hazards,
    changeovers,
    after_changeovers,
    later_machines,
    claims,
    purchase,
    not_checked,
)
TABLE_VALUES: Final = RuleText(
    "table-values",
    "Sizes and ratings that the tables have",
    "Every size, rating and configuration that the plan names is in the published tables. Where one"
    " is not, the check that asked for it could not go on.",
    "plan file",
    "plan",
)
RULES: Final[Mapping[str, RuleText]] = MappingProxyType(
    {name: text for module in (*FIRST, *CHECKS) for name, text in module.RULES.items()}
    | {TABLE_VALUES.id: TABLE_VALUES}
)
RANK: Final = {"violation": 0, "warning": 1, "note": 2, "not-checked": 3}


def check_plan(plan: Plan, edition: int | None = None) -> tuple[Finding, ...]:
    """All findings of a plan, violations first; recomputed, whatever the plan says of itself.

    With `edition` the code is read in another edition of NFPA 70 than the one the shop names.
    """
    if edition is not None:
        require_edition(edition)
    try:
        shop = Shop.model_validate(plan.source.shop)
    except ValidationError as error:
        return (source.unreadable(plan, str(error.errors()[0]["msg"])),)
    reading = Reading(plan, shop)
    found: list[Finding] = []
    for module in FIRST:
        found += module.check(reading)
        if any(finding.severity == "violation" for finding in found):
            return _sorted(found)
    if edition is not None:
        code = shop.code.model_copy(update={"edition": edition})
        reading = Reading(plan, shop.model_copy(update={"code": code}))
    for check in CHECKS:
        try:
            found += check.check(reading)
        except NotInTableError as error:
            found.append(_not_in_table(check.__name__, error, reading.edition))
    return _sorted(found)


def unusable(plan: Plan) -> Finding | None:
    """Why nothing can be made of a plan: its shop is none, or a name in it leads nowhere.

    Whether the shop is still the one that was planned is for `check_plan` alone.
    """
    try:
        shop = Shop.model_validate(plan.source.shop)
    except ValidationError as error:
        return source.unreadable(plan, str(error.errors()[0]["msg"]))
    if problems := check_shop(shop):
        return source.unreadable(plan, problems[0].says)
    return next(references.check(Reading(plan, shop)), None)


def _not_in_table(check: str, error: NotInTableError, edition: int) -> Finding:
    """The finding for a value that no table has."""
    name = check.rpartition(".")[2].replace("_", "-")
    fix = "mend the value in the plan file, or plan the shop again"
    return TABLE_VALUES.finding(name, f"{name}: {error}", edition=edition, fix=fix)


def _sorted(findings: list[Finding]) -> tuple[Finding, ...]:
    """Violations first; what was found twice by the same name, once."""
    single = {finding.key: finding for finding in findings}.values()
    return tuple(sorted(single, key=lambda f: (RANK[f.severity], f.rule, f.where, f.key)))
