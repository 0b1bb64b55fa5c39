"""Why a plan does not allow a changeover, and what would: ways to go, with parts and their cost."""

from collections.abc import Iterator
from dataclasses import dataclass

from models.naming import called
from models.plan import ChangeoverPlan, CircuitPlan, Plan, TakeoffLine
from models.shop import Changeover, Shop
from solver.changed_circuit import is_alone
from solver.changeover_drafts import WORDS


@dataclass(frozen=True)
class Way:
    """Something that would allow it; `usd` on the day and `now_usd` before, where known."""

    says: str
    parts: tuple[TakeoffLine, ...] = ()
    now_usd: float | None = None
    usd: float | None = None


@dataclass(frozen=True)
class Refused:
    """Why a plan does not allow a changeover, and what would."""

    says: str
    ways: tuple[Way, ...]

    @classmethod
    def for_reason(cls, says: str, would: str) -> "Refused":
        """A reason, and the one way out of it."""
        return cls(says, (Way(would),))

    @property
    def would(self) -> str:
        """All ways in one sentence."""
        return "; or ".join(way.says for way in self.ways)


def not_planned_for(plan: Plan, shop: Shop, machine: str) -> Refused:
    """A machine of which the shop says nothing, or something that no run can prepare for."""
    done = next((one for one in plan.made_by.changed or () if one.machine == machine), None)
    if done is not None:
        says = f"{machine} takes {done.volts} V already: its changeover is done in this plan"
        return Refused.for_reason(says, "the plan as it is")
    changes = [one for one in shop.later.changeovers if one.machine == machine]
    if not changes:
        says = f"the shop of this plan names no changeover of {machine}"
        would = "name it under `later.changeovers`, with `volts` and `likelihood`, and plan again"
        return Refused.for_reason(says, would)
    says = f"the changeover of {machine} is no change of voltage alone, at one place"
    would = (
        f"write {machine} into the shop file as it will be (volts, plug, place), and plan again"
        " from this plan: `branchwright plan SHOP --from PLAN`"
    )
    return Refused.for_reason(says, would)


def not_prepared(
    plan: Plan, shop: Shop, change: Changeover, draft: ChangeoverPlan | None
) -> Refused:
    """Nothing was pulled or kept for it: the day is a run of its own, or the plan another one."""
    why = (draft.why if draft else None) or (
        "the shop file says `later.prepare: nothing`"
        if shop.later.prepare == "nothing"
        else "doing nothing now was the cheaper choice"
    )
    on = f" on {draft.circuit}" if draft and draft.circuit else ""
    says = f"nothing is prepared for {called(shop.machines)[change.machine]}{on}: {why}"
    circuit = next((c for c in plan.circuits if draft and c.id == draft.circuit), None)
    ways = [_run_of_its_own(change, draft), *_before_it_is_built(plan, shop, circuit, draft)]
    return Refused(says, tuple(ways))


def _run_of_its_own(change: Changeover, draft: ChangeoverPlan | None) -> Way:
    """On the day, with what is built: what the plan has counted as doing nothing now."""
    parts = (draft.takeoff if draft else None) or ()
    says = (
        f"a run of its own from the panel: write {change.machine} into the shop file at"
        f" {change.volts} V, and plan again from this plan, `branchwright plan SHOP --from PLAN`"
    )
    return Way(says, parts, usd=round(sum(part.cost_usd for part in parts), 2) if parts else None)


def _before_it_is_built(
    plan: Plan, shop: Shop, circuit: CircuitPlan | None, draft: ChangeoverPlan | None
) -> Iterator[Way]:
    """While its circuit is not built yet: other choices, and a circuit of its own."""
    if circuit is None or circuit.life != "new" or draft is None:
        return
    others = [one for one in draft.alternatives if one.says != WORDS["nothing"]]
    for other in others:
        says = f"{other.says}, before {circuit.id} is built: `later.prepare: everything`"
        yield Way(says, now_usd=other.cost_now_usd, usd=other.cost_later_usd)
    outlets = (outlet for outlet in plan.outlets if outlet.circuit == circuit.id)
    if others or is_alone(outlets):
        return
    if not shop.code.multiwire:
        yield Way(
            "a spare conductor pulled when the circuit is built, where the authority takes two hots"
            " and a neutral for both voltages: `code.multiwire: yes`, and plan again"
        )
    yield Way(
        f"a circuit of its own with a space kept, before {circuit.id} is built:"
        " `branchwright compare PLAN --with later.prepare=everything` says what that costs"
    )
