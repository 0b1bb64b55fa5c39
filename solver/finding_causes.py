"""Causes from the findings of a plan: violations that no other choice of circuits avoids."""

import re
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, Final

from models.naming import called, on_day
from models.plan import Finding
from models.reach import receptacles_in_reach
from models.shop import Box, Machine, Shop
from models.shop_checks import check_shop
from models.shop_edit import changed
from solver.causes import Cause, Remedy
from solver.feeder_remedies import feeder_remedies
from solver.garage_cause import GARAGE_RULE, garage_cause
from solver.points import machine_amps
from solver.supply_causes import (
    DISCONNECT,
    FEEDER_LOAD,
    SERVICE_ROOM,
    disconnect_cause,
    service_cause,
)

PORTABLE: Final = "portable-tools"
CUT_RULES: Final = frozenset({"legs", PORTABLE})  # another choice of circuits may avoid these
MOST_BESIDE: Final = 3  # receptacles that another one is thought of beside
ASIDE_FT: Final = 1.0


def finding_causes(shop: Shop, findings: Iterable[Finding]) -> list[Cause]:
    """Why a plan has these violations; a feeder that is too small comes before its legs."""
    bad = [finding for finding in findings if finding.severity == "violation"]
    small = [finding for finding in bad if finding.rule == FEEDER_LOAD]
    worst: dict[str, Finding] = {}
    for finding in small or [finding for finding in bad if finding.rule in CUT_RULES]:
        old = worst.get(finding.rule)
        if old is None or _found(finding) > _found(old):
            worst[finding.rule] = finding
    causes = [garage_cause(shop) for f in bad if f.rule == GARAGE_RULE][:1]
    causes += [
        Cause(finding.rule, finding.where, finding.says, tuple(_helps(shop, finding)))
        for finding in worst.values()
    ]
    for finding in bad:
        causes += _of_supply(shop, finding)
    return causes


def _of_supply(shop: Shop, finding: Finding) -> Iterator[Cause]:
    """The service, and what disconnects the building."""
    if finding.rule == SERVICE_ROOM:
        without = 0.0 if shop.supply.service is None else shop.supply.service.calculated_load_amps
        amps = _found(finding) - without
        yield from service_cause(shop, amps, amps)
    elif finding.rule == DISCONNECT and finding.unit == "handles":
        panel = next(p for p in shop.supply.panels if p.id == finding.where)
        yield disconnect_cause(shop, panel)


def _helps(shop: Shop, finding: Finding) -> Iterator[Remedy]:
    """What may help: a larger feeder, a receptacle more, or less at once."""
    if finding.rule == FEEDER_LOAD:
        panel = next(p for p in shop.supply.panels if p.id == finding.where)
        yield from feeder_remedies(shop, panel, _found(finding))
        return
    if finding.rule == PORTABLE:
        yield from _another_receptacle(shop, finding)
    yield from _fewer_at_once(shop, finding)


def _found(finding: Finding) -> float:
    return finding.found if isinstance(finding.found, float) else 0.0


def _told(shop: Shop, finding: Finding) -> list[Machine]:
    """The machines of a shop that a finding names, in their order."""
    names = called(shop.machines)
    longest_first = sorted(map(re.escape, names.values()), key=lambda name: (-len(name), name))
    told = set(re.findall(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)", finding.says))
    return [machine for machine in shop.machines if names[machine.id] in told]


def _fewer_at_once(shop: Shop, finding: Finding) -> Iterator[Remedy]:
    """Ways to have less running at once: fewer people, or a promise between two machines."""
    for day in shop.use.days:
        if on_day(day.id) in finding.says and isinstance(day.people, int) and day.people > 1:
            fewer = (f"use.days[{day.id}].people", day.people - 1)
            yield Remedy(f"one person less {on_day(day.id)}", (fewer,), gives_up=True)
    names = called(shop.machines)
    running = [m for m in _told(shop, finding) if not m.always_on and not m.portable]
    heaviest = sorted(running, key=lambda m: (-machine_amps(m), m.id))[:2]
    if len(heaviest) == 2:
        ids = [machine.id for machine in heaviest]
        both = " and ".join(names[name] for name in ids)
        yield Remedy(
            f"never run {both} together (a promise among the people)",
            (("use.never_together[+]", {"machines": ids}),),
            gives_up=True,
        )


def _another_receptacle(shop: Shop, finding: Finding) -> Iterator[Remedy]:
    """A receptacle more for a portable tool, off the circuits of those in its reach."""
    tools = [machine for machine in _told(shop, finding) if machine.portable]
    if not tools:
        return
    tool = max(tools, key=lambda m: (machine_amps(m), m.id))
    reached = receptacles_in_reach(shop, tool)
    others = sorted({fitting.box.id for fitting in reached})
    fixed = (fitting for fitting in reached if _takes_one_beside(shop, fitting.box))
    problems = len(check_shop(shop))
    for fitting in islice(fixed, MOST_BESIDE):
        new = {**_beside(fitting.box), "yokes": [f"duplex {fitting.configuration}"]}
        change = (f"boxes[T-{tool.id}]", {**new, "not_with": others, "note": tool.name or tool.id})
        if len(check_shop(changed(shop, [change]))) <= problems:
            beside = (
                f"a receptacle more for {called(shop.machines)[tool.id]} beside {fitting.box.id}"
            )
            yield Remedy(f"{beside}, on no circuit of those in its reach", (change,))
            return


def _takes_one_beside(shop: Shop, box: Box) -> bool:
    """Whether a cable comes beside a box as it does to the box itself."""
    masonry = box.wall is not None and shop.building.wall(box.wall).construction == "masonry"
    return not (masonry or box.outdoors or box.reel_ft or box.drop_ft)


def _beside(box: Box) -> dict[str, Any]:
    """A place beside a box."""
    if box.ceiling is not None:
        x, y = box.ceiling
        return {"ceiling": [f"{x + ASIDE_FT:g} ft", f"{y:g} ft"]}
    along, at_ft = ("x", box.x_ft) if box.x_ft is not None else ("y", box.y_ft)
    place: dict[str, Any] = {"wall": box.wall, along: f"{(at_ft or 0.0) + ASIDE_FT:g} ft"}
    if box.height_ft is not None:
        place["height"] = f"{box.height_ft:g} ft"
    return {**place, "faces": box.faces} if box.faces else place
