"""Why a plan does not allow a changeover, and what would."""

from dataclasses import dataclass

from models.plan import ChangeoverPlan, Plan
from models.shop import Changeover, Shop
from solver.changed_circuit import is_alone


@dataclass(frozen=True)
class Refused:
    """Why a plan does not allow a changeover, and what would."""

    says: str
    would: str


def not_planned_for(plan: Plan, shop: Shop, machine: str) -> Refused:
    """A machine of which the shop says nothing, or something that no run can prepare for."""
    done = next((one for one in plan.made_by.changed or () if one.machine == machine), None)
    if done is not None:
        says = f"{machine} takes {done.volts} V already: its changeover is done in this plan"
        return Refused(says, "the plan as it is")
    changes = [one for one in shop.later.changeovers if one.machine == machine]
    if not changes:
        says = f"the shop of this plan names no changeover of {machine}"
        would = "name it under `later.changeovers`, with `volts` and `likelihood`, and plan again"
        return Refused(says, would)
    says = f"the changeover of {machine} is no change of voltage alone, at one place"
    would = (
        f"write {machine} into the shop file as it will be (volts, plug, place), and plan again"
        " from this plan: `branchwright plan SHOP --from PLAN`"
    )
    return Refused(says, would)


def not_prepared(
    plan: Plan, shop: Shop, change: Changeover, draft: ChangeoverPlan | None
) -> Refused:
    """Nothing was pulled or kept for it: the day is a run of its own."""
    why = (draft.why if draft else None) or (
        "the shop file says `later.prepare: nothing`"
        if shop.later.prepare == "nothing"
        else "doing nothing now was the cheaper choice"
    )
    on = f" on {draft.circuit}" if draft and draft.circuit else ""
    says = f"nothing is prepared for {change.machine}{on}: {why}"
    parts = f" ({', '.join(draft.parts)})" if draft and draft.parts else ""
    would = (
        f"a run of its own from the panel{parts}: write {change.machine} into the shop file at"
        f" {change.volts} V, and plan again from this plan, `branchwright plan SHOP --from PLAN`"
    )
    circuit = next((c for c in plan.circuits if draft and c.id == draft.circuit), None)
    if circuit is None or circuit.life != "new" or shop.code.multiwire:
        return Refused(says, would)
    if not is_alone(outlet for outlet in plan.outlets if outlet.circuit == circuit.id):
        would += (
            "; or a spare conductor pulled when the circuit is built, where the authority takes"
            " two hots and a neutral for both voltages: `code.multiwire: yes`, and plan again"
        )
    return Refused(says, would)
