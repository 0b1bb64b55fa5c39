"""Rule checks: everything a plan claims, computed again from the finished plan and its shop.

Nothing here knows how a plan was made. Each module holds one check: it reads a plan and yields
findings; it changes nothing. `check_plan` runs them all.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from pydantic import ValidationError

from models.plan import Finding, Plan
from models.rules import (
    box_fill,
    breaker_load,
    cable_way,
    claims,
    conductors,
    cord_and_plug,
    coverage,
    existing_circuits,
    gfci,
    hazards,
    legs,
    lights,
    not_checked,
    panel_spaces,
    portable_tools,
    raceway_fill,
    receptacle_ratings,
    references,
    run_makeup,
    source,
    tree,
    voltage_drop,
    wishes,
    working_space,
)
from models.rules.reading import Reading
from models.rules.rule import RuleText
from models.shop import Shop

FIRST: Final = (source, references)
CHECKS: Final = (
    coverage,
    tree,
    run_makeup,
    cable_way,
    panel_spaces,
    breaker_load,
    conductors,
    cord_and_plug,
    receptacle_ratings,
    box_fill,
    raceway_fill,
    voltage_drop,
    gfci,
    lights,
    legs,
    portable_tools,
    existing_circuits,
    wishes,
    working_space,
    hazards,
    claims,
    not_checked,
)
RULES: Final[Mapping[str, RuleText]] = MappingProxyType(
    {name: text for module in (*FIRST, *CHECKS) for name, text in module.RULES.items()}
)
RANK: Final = {"violation": 0, "warning": 1, "note": 2, "not-checked": 3}


def check_plan(plan: Plan) -> tuple[Finding, ...]:
    """All findings of a plan, violations first; recomputed, whatever the plan says of itself."""
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
    for check in CHECKS:
        found += check.check(reading)
    return _sorted(found)


def _sorted(findings: list[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda f: (RANK[f.severity], f.rule, f.where, f.key)))
