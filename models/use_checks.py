"""Whether days, followers, groups and later wishes name machines and places that are there."""

from collections.abc import Mapping

from models.reach import known_plugs
from models.shop import NeverTogether, Shop, Use
from models.shop_problem import Path, Problems, ShopProblem, unknown


def check_use(shop: Shop) -> Problems:
    """Who runs what at the same time."""
    machines = {machine.id for machine in (*shop.machines, *shop.later.machines)}
    yield from _check_days(shop.use)
    places = {place.id for place in (*shop.building.areas, *shop.building.zones)}
    for index, day in enumerate(shop.use.days):
        for name in day.people if isinstance(day.people, dict) else ():
            yield from unknown(("use", "days", index, "people", name), "area or zone", name, places)
    for index, tool in enumerate(shop.machines):
        for place, name in enumerate(tool.over):
            where: Path = ("machines", index, "over", place)
            yield from unknown(where, "area or zone", name, places)
    for index, follower in enumerate(shop.use.followers):
        path: Path = ("use", "followers", index)
        yield from unknown((*path, "machine"), "machine", follower.machine, machines)
        for place, leader in enumerate(follower.follows):
            yield from unknown((*path, "follows", place), "machine", leader, machines)
    yield from _check_circles(shop.use)
    for index, group in enumerate(shop.use.never_together):
        yield from _check_group(shop, ("use", "never_together", index), group)


def _check_group(shop: Shop, path: Path, group: NeverTogether) -> Problems:
    """A group that never runs together: machines that are there, a limit that says something."""
    machines = {machine.id for machine in (*shop.machines, *shop.later.machines)}
    for place, machine in enumerate(group.machines):
        yield from unknown((*path, "machines", place), "machine", machine, machines)
        if machine in group.machines[:place]:
            says = f"{machine!r} is in this group twice: name it once"
            yield ShopProblem((*path, "machines", place), says)
    if group.by == "interlock" and not group.device:
        says = "an interlock is a device: say which, like `device: interlock relay`, or write"
        yield ShopProblem((*path, "by"), f"{says} `by: promise`")
    for follower in shop.use.followers:
        leaders = set(follower.follows) & set(group.machines)
        if group.at_most == 1 and follower.machine in group.machines and leaders:
            says = f"{follower.machine!r} follows {min(leaders)!r} and is never to run with it:"
            yield ShopProblem((*path, "machines"), f"{says} take one of the two out")
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
    elif not any(day.people_count for day in use.days if day.binds):
        says = "nobody works on any day that binds the plan: give one of them `people: 1` or more"
        yield ShopProblem(("use", "days"), says)


def check_later(shop: Shop) -> Problems:
    """Changeovers of machines that are there; new machines under ids of their own."""
    machines = {machine.id: machine for machine in shop.machines}
    boxes = {box.id for box in shop.boxes}
    for index, change in enumerate(shop.later.changeovers):
        path: Path = ("later", "changeovers", index)
        yield from unknown((*path, "machine"), "machine", change.machine, machines)
        wanted = (change.volts, change.plug, change.hard_wired_at, change.at)
        if wanted == (None, None, None, None):
            says = f"nothing of {change.machine!r} changes: say `volts`, `plug`, `hard_wired_at` or"
            yield ShopProblem((*path, "machine"), f"{says} `at`")
        machine = machines.get(change.machine)
        can = () if machine is None else (machine.volts, machine.reconnects_to_volts)
        if machine is not None and change.volts is not None and change.volts not in can:
            says = (
                f"{machine.id!r} is for {machine.volts} V: write `reconnects_to: {change.volts} V`"
            )
            yield ShopProblem((*path, "volts"), f"{says} there when its nameplate says so")
        for key, name, kind in (("hard_wired_at", change.hard_wired_at, "box"),):
            if name is not None:
                yield from unknown((*path, key), kind, name, boxes)
        if change.plug is not None and change.plug not in known_plugs():
            yield from unknown((*path, "plug"), "plug", change.plug, known_plugs())
    for index, future in enumerate(shop.later.machines):
        path = ("later", "machines", index)
        if future.hard_wired_at is not None:
            yield from unknown((*path, "hard_wired_at"), "box", future.hard_wired_at, boxes)


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
