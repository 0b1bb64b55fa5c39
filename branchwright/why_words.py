"""Why a plan is as it is, in an owner's words: what binds a circuit, and why not one less."""

from collections.abc import Iterator, Mapping
from typing import Final

from branchwright.words import amps, clean, joined, machine_words, plain, state_words
from models.answers.binding import Binding, Break, Limit
from models.answers.fewer import Least, Neighbour
from models.answers.sharing import Clash
from models.naming import on_day
from models.plan import Plan

NOTHING: Final = "no machine of the shop whose plug goes in there could overload it"
Names = Mapping[str, str]


def binding_words(limit: Limit | None, names: Names) -> str:
    """What binds a circuit, with amounts.

    >>> limit = Limit("load", "C1", 18.0, 20.0, "A", ("saw",), "helper", "breaker")
    >>> binding_words(limit, {"saw": "chop saw"})
    'its breaker: chop saw = 18 A of 20 A on day helper'
    """
    if limit is None:
        return "no limit is near"
    of = f"{plain(limit.found, 1)} of {plain(limit.limit, 1)} {limit.unit}"
    where = clean(limit.where)
    match limit.kind:
        case "load":
            what = "breaker" if limit.held_by == "breaker" else "conductors"
            on = state_words(limit.machines, dict(names), "lights only")
            return f"its {what}: {on} = {_of(limit.found, limit.limit)}{_day(limit.day)}"
        case "one machine":
            on = state_words(limit.machines, dict(names))
            one = f"that one machine may draw at {where}"
            return f"{on}: {amps(limit.found)} of the {amps(limit.limit)} {one}"
        case "drop":
            return f"voltage drop: {of}, the share wished"
        case "receptacles":
            return f"receptacles: {plain(limit.found, 0)} of {plain(limit.limit, 0)} yokes allowed"
        case "raceway":
            return f"raceway {where} ({limit.held_by}): filled to {of}"
        case "box":
            return f"box {where}: {of} of a {limit.held_by} box"


def breaks_words(found: Break | None, names: Names) -> str:
    """The smallest group that would overload a circuit, or that there is none.

    >>> found = Break(("saw", "vac"), ("saw",), "helper", 26.0, 20.0, True)
    >>> breaks_words(found, {"saw": "chop saw", "vac": "vacuum"})
    'one more, chop saw, would make chop saw + vacuum = 26 A of 20 A on day helper'
    """
    if found is None:
        return NOTHING
    group = state_words(found.machines, dict(names))
    total = f"{group} = {_of(found.amps, found.limit_amps)}{_day(found.day)}"
    if not found.added:
        return f"too much already: {total}"
    added = state_words(found.added, dict(names))
    more = "one more" if len(found.added) == 1 else f"{len(found.added)} more"
    far = "" if found.in_reach else "; where it stands its own cord does not reach"
    return f"{more}, {added}, would make {total}{far}"


def clash_words(clash: Clash, names: Names) -> str:
    """Why things cannot share a circuit.

    >>> clash_words(Clash("wish", ("W2.left", "W2.right")), {})
    'W2.left and W2.right: the shop file wants them apart'
    """
    who = joined((names.get(name, name) for name in clash.members), " and ")
    on = state_words(clash.machines, dict(names))
    amount = _of(clash.amps, clash.limit_amps)
    match clash.why:
        case "wish":
            return f"{who}: the shop file wants them apart"
        case "voltage":
            return f"{who}: 120 V and 240 V"
        case "lights":
            return "lights keep circuits of their own (`lights_apart`)"
        case "receptacles":
            count = f"{plain(clash.amps, 0)} receptacle yokes"
            return f"{count}, {plain(clash.limit_amps, 0)} are allowed on one circuit"
        case "load":
            return f"{on} = {amount}{_day(clash.day)}"
        case "one machine":
            return f"{on} draws {amount} that one machine may draw on a shared circuit"
        case "hard-wired":
            return f"{on}, hard-wired, draws {amount} allowed beside receptacles or lights"


def least_words(least: Least, plan: Plan, names: Names) -> str:
    """How many circuits of a kind there must be, why, and what that says of the plan."""
    who = joined(names.get(name, name) for name in least.members)
    kind = f"{least.volts} V" + (" for lights" if least.lights else "")
    circuits = f"{least.needed} new circuit{'s' * (least.needed != 1)} of {kind}"
    match least.reason:
        case "one":
            why = f"{who} wants one"
        case "apart":
            why = f"no two of these {len(least.members)} can share one: {who}"
        case "at once":
            on = state_words(least.members, dict(names), "nothing")
            largest = f"the largest breaker there is {amps(least.limit_amps)}"
            why = f"{on} run at once{_day(least.day)}, {amps(least.amps)}; {largest}"
        case "all tried":
            why = f"dealt out in every way, these never fit fewer: {who}"
        case "receptacles":
            why = f"{len(least.members)} receptacle yokes, {plain(least.limit_amps, 0)} a circuit"
        case "wished":
            why = "so many lighting circuits are wished for"
    return f"At least {circuits}: {why}. {_verdict(least, plan)}"


def _verdict(least: Least, plan: Plan) -> str:
    """What the bound says of this plan, and no more."""
    if least.planned <= least.needed:
        return f"The plan has {least.planned}: as the shop file stands, no plan has fewer."
    has = f"The plan has {least.planned}"
    if plan.objective.proved == "global":
        what = "copper" if plan.objective.minimize == "copper" else "cost"
        return f"{has}: it is proved least {what} for this model, so fewer would not take less."
    return f"{has}: whether fewer would do is not settled."


def neighbour_words(neighbour: Neighbour, names: Names) -> str:
    """Why a circuit does not join the one beside it."""
    beside = f"not joined with {clean(neighbour.circuit)}, the nearest of its kind"
    if neighbour.clash is None:
        return f"{beside}: no load or wish keeps them apart; ways, boxes and cost decide"
    return f"{beside}: {clash_words(neighbour.clash, names)}"


def pair_lines(least: Least, names: Names) -> Iterator[str]:
    """Why no two of a group share, pair by pair."""
    yield from (clash_words(clash, names) for clash in least.clashes)


def thing_names(plan: Plan) -> dict[str, str]:
    """Machines by name; receptacles and boxes keep the ids that their labels have."""
    return machine_words(plan)


def circuit_lines(
    binding: Binding, neighbour: Neighbour | None, names: Names
) -> Iterator[tuple[str, str]]:
    """All that is told of one circuit, piece by piece."""
    yield "bound by", binding_words(binding.nearest, names)
    yield "would break it", breaks_words(binding.breaks, names)
    if neighbour is not None:
        yield "stands alone", neighbour_words(neighbour, names)


def _of(found: float, limit: float) -> str:
    return f"{amps(found)} of {amps(limit)}"


def _day(day: str) -> str:
    return f" {on_day(clean(day))}" if day else ""
