"""What binds a circuit and what would break it, on plans made on paper; sums made by hand.

Four boxes: circuit C2 (20 A) has the only 120 V receptacles, two of them, with a charger of 3 A
that is always on and a drill press of 8 A: two plugs at most make a group.
"""

import json
import random
from itertools import combinations
from typing import Any

import pytest

from models.answers.binding import Bindings, weighted_amps
from models.plan import Plan
from models.rules.reading import Reading
from models.shop import Shop
from tests.models.rules.four_box import tool
from tests.plan_files import plan_data, plan_on_file

PLAN = plan_data("four_box")


def reading(*tools, people=1, **use):
    """The plan made on paper with tools more in its shop."""
    data = json.loads(json.dumps(PLAN))
    shop = data["source"]["shop"]
    shop["machines"] += tools
    shop["use"] = {"days": [{"id": "usual", "people": people}], **use}
    return Reading(Plan.model_validate(data), Shop.model_validate(shop))


def breaks(read, name="C2"):
    return Bindings(read).breaks(read.circuits[name])


def test_one_person_cannot_overload_it_where_two_can():
    """One person: charger 3 + sander 13 = 16 A. Two: 8 + 13 = 21 A of 20 A."""
    assert breaks(reading(tool("sander", 13), people=1)) is None
    found = breaks(reading(tool("sander", 13), people=2))
    assert found.machines == ("drill-press", "sander")
    assert found.added == ("sander",)
    assert (found.amps, found.limit_amps, found.day) == (21.0, 20.0, "usual")


def test_the_smallest_group_is_named():
    """A heater of 18 A: with the charger 21 A, a pair; the drill press is not needed for it."""
    found = breaks(reading(tool("heater", 18), people=2))
    assert found.machines == ("charger", "heater")
    assert found.amps == 21.0


def test_a_promise_keeps_them_apart():
    """Drill press and sander never together: 3 + 13 and 3 + 8 stay below 20 A."""
    apart = [{"machines": ["drill-press", "sander"]}]
    assert breaks(reading(tool("sander", 13), people=2, never_together=apart)) is None


def test_a_continuous_tool_counts_a_quarter_more():
    """14 A for hours is 17.5 A; with the charger 20.5 A."""
    found = breaks(reading(tool("heater", 14, continuous="yes", set_and_leave="yes")))
    assert found.machines == ("charger", "heater")
    assert found.amps == pytest.approx(20.5)


def test_the_garage_is_bound_as_its_papers_say():
    """The stored plan of the garage, by its shop file: table saw 2 hp on 240 V is 12 A
    (Table 430.248) of 20 A, more of its limit than any other, its drop being 0.49 of 3 %; hand tool
    10 A and compressor 12 A make 22 A; what cannot be plugged in cannot overload.
    """
    plan = plan_on_file("one_bay_garage")
    read = Reading(plan, Shop.model_validate(plan.source.shop))
    bindings = Bindings(read)
    saw = next(c for c in plan.circuits if "table-saw" in c.machines)
    nearest = bindings.of(saw).nearest
    assert nearest is not None
    assert (nearest.kind, nearest.found, nearest.limit) == ("load", 12.0, 20.0)
    assert nearest.machines == ("table-saw",)
    assert bindings.of(saw).breaks is None
    air = next(c for c in plan.circuits if "compressor" in c.machines)
    found = bindings.breaks(air)
    assert found is not None
    assert (found.machines, found.amps) == (("compressor", "hand-tool"), 22.0)


@pytest.mark.parametrize("seed", range(40))
def test_the_group_named_breaks_it_and_no_smaller_one_does(seed):
    """Against every subset of the machines, allowed or not as asked rule by rule."""
    rng = random.Random(seed)
    flags: list[dict[str, str]] = [{}, {"set_and_leave": "yes"}, {"starts_by_itself": "yes"}]
    tools = [tool(f"t{n}", rng.randint(3, 17), **rng.choice(flags)) for n in range(4)]
    pairs = rng.sample(range(4), 2)
    use: dict[str, Any] = (
        {"never_together": [{"machines": [f"t{n}" for n in pairs]}]} if seed % 3 else {}
    )
    if seed % 2:
        use["followers"] = [{"machine": "t3", "follows": ["drill-press"]}]
    read = reading(*tools, people=rng.randint(1, 2), **use)
    circuit = read.circuits["C2"]
    own = {m.id for m in read.machines_on(circuit)}
    usable = sorted(own | {f"t{n}" for n in range(4)})
    loads = {name: weighted_amps(read.machines_of_shop[name]) for name in usable}
    plugs = len(read.receptacles_on(circuit))
    every = sorted(read.machines_of_shop)
    states = [
        frozenset(state)
        for size in range(len(every) + 1)
        for state in combinations(every, size)
        if read.allows(state, "usual")
    ]
    over = {
        frozenset(group)
        for state in states
        for size in range(1, plugs + 1)
        for group in combinations(sorted(state & set(usable)), size)
        if sum(loads[name] for name in group) > 20
    }
    found = breaks(read)
    if found is None:
        assert not over
    else:
        assert frozenset(found.machines) in over
        assert len(found.machines) == min(map(len, over))
        assert found.amps == pytest.approx(sum(loads[name] for name in found.machines))
