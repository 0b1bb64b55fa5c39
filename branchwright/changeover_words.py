"""Changeovers in sentences: what is done now for a machine that may change, and what else could."""

from collections.abc import Iterator

from branchwright.words import clean, dollars, joined, machine_words, named_spaces_text, percent
from models.plan import Alternative, ChangeoverPlan, LaterMachinePlan, Plan

Draft = ChangeoverPlan | LaterMachinePlan


def changeover_sentences(plan: Plan) -> Iterator[str]:
    """A sentence for each changeover, and one for what else there was."""
    names = machine_words(plan)
    for draft in plan.changeovers or ():
        chosen = chosen_of(draft)
        says = f"{names.get(draft.machine, clean(draft.machine))}{changes(draft)}:"
        says += f" {clean(draft.chosen)}{where(draft)}"
        if chosen is not None:
            says += f", {costs(chosen, draft)}"
        says += f"; nothing can be prepared: {clean(draft.why)}" if draft.why else ""
        yield f"{says}.{instead(draft)}"


def changes(draft: ChangeoverPlan) -> str:
    """What may change, and how likely."""
    volts = "" if draft.volts is None else f" to {draft.volts} V"
    likely = "" if draft.likelihood is None else f" ({percent(draft.likelihood)} likely)"
    on = "" if draft.circuit is None else f" on {clean(draft.circuit)}"
    return f"{on} may change{volts}{likely}"


def where(draft: ChangeoverPlan) -> str:
    """Runs with a spare, and the spaces of the breaker then."""
    parts = [f"spare in {joined(map(clean, draft.spare_runs))}"] if draft.spare_runs else []
    parts += [named_spaces_text(draft.panel_spaces)] if draft.panel_spaces else []
    return f" ({'; '.join(parts)})" if parts else ""


def costs(one: Alternative, draft: Draft) -> str:
    """What an alternative costs now and on the day; where that is discounted, what both count."""
    says = f"{dollars(one.cost_now_usd)} now, {dollars(one.cost_later_usd)} on the day"
    counted = draft.counted is not None and one.expected_usd is not None
    return says + (f", counted {dollars(one.expected_usd)}" if counted else "")


def chosen_of(draft: Draft) -> Alternative | None:
    """The alternative that was chosen, if the plan tells it."""
    return next((one for one in draft.alternatives if one.says == draft.chosen), None)


def others_words(draft: Draft) -> list[str]:
    """The alternatives that were not chosen, each with its costs."""
    others = (one for one in draft.alternatives if one.says != draft.chosen)
    return [f"{clean(one.says)}, {costs(one, draft)}" for one in others]


def instead(draft: Draft) -> str:
    """What else there was, as a sentence that follows another; empty where nothing was."""
    others = joined(others_words(draft), by="; ")
    return f" Instead: {others}." if others else ""


def discount_words(plan: Plan) -> str:
    """At what rate later costs are discounted; empty where they are not."""
    rate = plan.source.shop.get("later", {}).get("discount")
    return f"What is paid later is discounted at {clean(str(rate))} a year." if rate else ""
