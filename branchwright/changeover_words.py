"""Changeovers in sentences: what is done now for a machine that may change, and what else could."""

from collections.abc import Iterator

from branchwright.words import clean, dollars, joined, machine_words, percent, spaces_text
from models.plan import Alternative, ChangeoverPlan, LaterMachinePlan, Plan


def changeover_sentences(plan: Plan) -> Iterator[str]:
    """A sentence for each changeover, and one for what else there was."""
    names = machine_words(plan)
    for draft in plan.changeovers or ():
        chosen = next((a for a in draft.alternatives if a.says == draft.chosen), None)
        says = f"{names.get(draft.machine, clean(draft.machine))}{changes(draft)}:"
        says += f" {clean(draft.chosen)}{where(draft)}"
        if chosen is not None:
            says += f", {costs(chosen, draft)}"
        others = joined((other_words(a, draft) for a in others_of(draft)), by="; ")
        says += f"; nothing can be prepared: {clean(draft.why)}" if draft.why else ""
        yield f"{says}." + (f" Instead: {others}." if others else "")


def changes(draft: ChangeoverPlan) -> str:
    """What may change, and how likely."""
    volts = "" if draft.volts is None else f" to {draft.volts} V"
    likely = "" if draft.likelihood is None else f" ({percent(draft.likelihood)} likely)"
    on = "" if draft.circuit is None else f" on {clean(draft.circuit)}"
    return f"{on} may change{volts}{likely}"


def where(draft: ChangeoverPlan) -> str:
    """Runs with a spare, and the spaces of the breaker then."""
    parts = [f"spare in {joined(map(clean, draft.spare_runs))}"] if draft.spare_runs else []
    space = "space" if len(draft.panel_spaces) == 1 else "spaces"
    parts += [f"{space} {spaces_text(draft.panel_spaces)}"] if draft.panel_spaces else []
    return f" ({'; '.join(parts)})" if parts else ""


def costs(one: Alternative, draft: ChangeoverPlan | LaterMachinePlan) -> str:
    """What an alternative costs now and on the day; where that is discounted, what both count."""
    says = f"{dollars(one.cost_now_usd)} now, {dollars(one.cost_later_usd)} on the day"
    counted = draft.counted is not None and one.expected_usd is not None
    return says + (f", counted {dollars(one.expected_usd)}" if counted else "")


def others_of(draft: ChangeoverPlan) -> list[Alternative]:
    """The alternatives that were not chosen."""
    return [one for one in draft.alternatives if one.says != draft.chosen]


def other_words(one: Alternative, draft: ChangeoverPlan) -> str:
    """An alternative with its costs."""
    return f"{clean(one.says)}, {costs(one, draft)}"


def discount_words(plan: Plan) -> str:
    """At what rate later costs are discounted; empty where they are not."""
    rate = plan.source.shop.get("later", {}).get("discount")
    return f"What is paid later is discounted at {clean(str(rate))} a year." if rate else ""
