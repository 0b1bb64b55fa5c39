"""Whether days, followers and groups that never run together name machines that are there."""

from collections.abc import Mapping

from models.shop import Shop, Use
from models.shop_problem import Path, Problems, ShopProblem, unknown


def check_use(shop: Shop) -> Problems:
    """Who runs what at the same time."""
    machines = {machine.id for machine in shop.machines}
    yield from _check_days(shop.use)
    for index, follower in enumerate(shop.use.followers):
        path: Path = ("use", "followers", index)
        yield from unknown((*path, "machine"), "machine", follower.machine, machines)
        for place, leader in enumerate(follower.follows):
            yield from unknown((*path, "follows", place), "machine", leader, machines)
    yield from _check_circles(shop.use)
    for index, group in enumerate(shop.use.never_together):
        path = ("use", "never_together", index)
        for place, machine in enumerate(group.machines):
            yield from unknown((*path, "machines", place), "machine", machine, machines)
            if machine in group.machines[:place]:
                says = f"{machine!r} is in this group twice: name it once"
                yield ShopProblem((*path, "machines", place), says)
        if group.at_most >= len(group.machines):
            says = f"at most {group.at_most} of {len(group.machines)} machines says nothing:"
            says += " write a smaller number, or take the group out"
            says_path = "at_most" if group.at_most > 1 else "machines"
            yield ShopProblem((*path, says_path), says)


def _check_days(use: Use) -> Problems:
    """At least one day binds the plan, and somebody works in the shop."""
    if not any(day.binds for day in use.days):
        says = "no day binds the plan: set `binds: yes` for one of them"
        yield ShopProblem(("use", "days"), says)
    elif not any(day.people for day in use.days if day.binds):
        says = "nobody works on any day that binds the plan: give one of them `people: 1` or more"
        yield ShopProblem(("use", "days"), says)


def _check_circles(use: Use) -> Problems:
    """No machine follows itself, directly or through others."""
    leaders: dict[str, set[str]] = {}
    for follower in use.followers:
        leaders.setdefault(follower.machine, set()).update(follower.follows)
    for index, follower in enumerate(use.followers):
        if follower.machine in _all_leaders(leaders, follower.follows):
            says = f"{follower.machine!r} follows itself, by way of {', '.join(follower.follows)}:"
            says += " take one machine out of the circle"
            yield ShopProblem(("use", "followers", index), says)


def _all_leaders(leaders: Mapping[str, set[str]], start: tuple[str, ...]) -> set[str]:
    """The machines followed, through followers that lead in turn."""
    found: set[str] = set()
    todo = list(start)
    while todo:
        machine = todo.pop()
        if machine not in found:
            found.add(machine)
            todo.extend(leaders.get(machine, ()))
    return found
