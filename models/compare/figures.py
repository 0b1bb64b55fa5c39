"""Figures of one plan, side by side with those of others. Pounds, feet, USD."""

from collections import Counter
from typing import Literal

from pydantic import Field

from models.compare.margins import Margin, margins
from models.plan import ChangeoverPlan, LaterMachinePlan, Plan
from models.plan.part import Part
from models.rules.reading import Reading
from models.shop import Shop


class DayToCome(Part):
    """What a plan does now for a changeover or a machine to come, and what that then costs. USD."""

    machine: str
    chosen: str
    likelihood: float
    share: float = Field(description="Of the later cost, what counts: likelihood, discounted")
    now_usd: float = Field(description="More than where nothing is done for it")
    later_usd: float = Field(description="On the day")


class Findings(Part):
    """How many findings the plan carries."""

    violations: int
    first_violation: str | None
    warnings: int
    notes: int
    not_checked: int


class Figures(Part):
    """What a plan comes to."""

    mark: str = Field(description="A, B, C…: what it is called here")
    name: str
    file: str | None = Field(description="Plan file or folder; null: planned for this comparison")
    edition: int
    status: Literal["complete", "stopped"]
    material_usd: float
    labour_usd: float | None = Field(description="null: not counted")
    expected_later: float | None = Field(description="What days to come add, at their likelihood")
    days_to_come: tuple[DayToCome, ...]
    days_to_come_usd: float = Field(description="What they cost, each by its share")
    lower_bound: float | None = Field(description="No plan of its shop is lower, in its own unit")
    minimized: Literal["cost", "copper"]
    copper_lb: float
    cable_ft: float
    conductor_ft: float
    circuits: int
    new_circuits: int
    spaces_used: int
    spaces: int
    margins: tuple[Margin, ...]
    findings: Findings


def figures(mark: str, name: str, file: str | None, plan: Plan) -> Figures:
    """The figures of a plan."""
    totals, goal = plan.totals, plan.objective
    count = Counter(finding.severity for finding in plan.findings)
    coming = (one for one in plan.later_machines or () if one.chosen is not None)
    days = [*map(_day_to_come, plan.changeovers or ()), *map(_day_to_come, coming)]
    return Figures(
        mark=mark,
        name=name,
        file=file,
        edition=plan.made_by.edition,
        status=plan.made_by.status,
        material_usd=totals.material_cost_usd,
        labour_usd=totals.labour_cost_usd,
        expected_later=goal.expected_later,
        days_to_come=tuple(days),
        days_to_come_usd=round(sum(day.share * day.later_usd for day in days), 2),
        lower_bound=goal.lower_bound,
        minimized=goal.minimize,
        copper_lb=totals.copper_lb,
        cable_ft=totals.cable_ft,
        conductor_ft=totals.conductor_ft,
        circuits=totals.circuits,
        new_circuits=sum(circuit.life == "new" for circuit in plan.circuits),
        spaces_used=totals.spaces_used,
        spaces=sum(len({one.space for one in panel.spaces}) for panel in plan.panels),
        margins=margins(Reading(plan, Shop.model_validate(plan.source.shop))),
        findings=Findings(
            violations=count["violation"],
            first_violation=next(
                (f.says for f in plan.findings if f.severity == "violation"), None
            ),
            warnings=count["warning"],
            notes=count["note"],
            not_checked=count["not-checked"],
        ),
    )


def _day_to_come(draft: ChangeoverPlan | LaterMachinePlan) -> DayToCome:
    chosen = next((one for one in draft.alternatives if one.says == draft.chosen), None)
    return DayToCome(
        machine=draft.machine,
        chosen=draft.chosen or "",
        likelihood=draft.likelihood or 0.0,
        share=draft.share,
        now_usd=chosen.cost_now_usd if chosen else 0.0,
        later_usd=chosen.cost_later_usd if chosen else 0.0,
    )
