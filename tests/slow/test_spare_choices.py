"""What is pulled and kept for later against every choice there is, counted out by slow code.

The shops are the tiny ones, each with one or two machines that may take their other voltage; the
objective then is cost now and likelihood times cost later (`tests/slow/every_changeover.py`), which
in every third shop is discounted to today.
"""

import math
import random
from collections import Counter
from itertools import permutations

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from models.shop_checks import check_shop
from models.shop_edit import changed
from solver.changeover_refused import Refused
from solver.changing_over import changed_over
from solver.plan import plan_shop
from solver.solve import Control
from tests.slow import every_changeover
from tests.slow.counting_out import counted_out
from tests.slow.tiny_shops import tiny_shop
from tests.violations import violated

CENT = 0.006
EFFORT = 5


def changing_shop(seed):
    """A tiny shop in which one or two machines with a place of their own may change."""
    rng = random.Random(seed)
    for again in range(seed, seed + 10**6, 10**4):
        data = tiny_shop(again, multiwire=rng.random() < 0.5, most_boxes=3)
        able = data["machines"]
        if not able or any(machine.get("plugs_into") == "choose" for machine in able):
            continue  # what else may choose then is another question
        chosen = rng.sample(able, min(len(able), rng.choice([1, 1, 2])))
        for machine in chosen:
            other = "120 V" if machine["volts"] == "240 V" else "240 V"
            machine["reconnects_to"] = other
            plug = {} if "hard_wired_at" in machine else {
                "plug": "6-15P" if other == "240 V" else rng.choice(["5-15P", "5-20P"])
            }  # fmt: skip
            data["later"].setdefault("changeovers", []).append(
                {"machine": machine["id"], "volts": other, "within": "3 years",
                 "likelihood": f"{rng.choice([10, 30, 60, 90])} %", **plug}
            )  # fmt: skip
        if seed % 3 == 1:
            data["later"]["discount"] = f"{rng.choice([3, 8, 20])} %"
        shop = Shop.model_validate(data)
        if not check_shop(shop):
            return shop
    raise AssertionError(f"no shop from seed {seed}")


def compare(shop):
    """What became of a shop, and what was chosen; fails at a claim that is not so."""
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=EFFORT), explain=False)
    least = counted_out(shop, every_changeover.builds_of)
    if outcome.plan is None:
        assert outcome.causes
        assert math.isinf(least), f"{shop.name}: no plan, and there is one of {least} USD"
        return "none", ()
    goal = outcome.plan.objective
    chosen = tuple(draft.chosen for draft in outcome.plan.changeovers or ())
    wrong = [f.says for f in outcome.plan.findings
             if f.severity == "violation" and "changeover" in f.rule]  # fmt: skip
    assert wrong == [], shop.name
    if math.isinf(least):
        says = f"{shop.name}: a plan of {goal.value} USD, and there is none"
        assert violated(outcome.plan.findings), says
        return "none", ()
    assert goal.value >= least - CENT, f"{shop.name}: {goal.value} USD, and least is {least}"
    if goal.lower_bound is not None:
        assert goal.lower_bound <= least + CENT, f"{shop.name}: bound {goal.lower_bound}, {least}"
    same = goal.value == pytest.approx(least, abs=CENT)
    if goal.proved == "global":
        assert same, f"{shop.name}: {goal.value} USD proved, and least is {least}"
    return "met" if same else "missed", chosen


def all_of(seeds, met, wish="least cost"):
    """Compare shops; at least this share of the plans is the least, and choices differ."""
    wished = ("later.prepare", wish)
    found = {seed: compare(changed(changing_shop(seed), [wished])) for seed in seeds}
    kinds = Counter(kind for kind, _ in found.values())
    assert kinds["met"] >= met * (kinds["met"] + kinds["missed"]), found
    return Counter(one for _, chosen in found.values() for one in chosen)


def test_no_choice_of_spares_is_better():
    chosen = all_of(range(20), met=0.9)
    assert len(chosen) >= 2, "some are prepared for, some are not"


@pytest.mark.parametrize("wish", ["nothing", "everything"])
def test_no_plan_that_keeps_to_a_wish_is_better(wish):
    chosen = all_of([*range(12), 54], met=0.9, wish=wish)  # 54: one too many for its raceway
    prepared = sum(count for says, count in chosen.items() if says != "nothing now")
    assert bool(prepared) == (wish == "everything")


@pytest.mark.long
@pytest.mark.parametrize("wish", ["nothing", "everything"])
def test_no_plan_of_many_shops_that_keeps_to_a_wish_is_better(wish):
    all_of(range(12, 120), met=0.95, wish=wish)


@pytest.mark.long
@pytest.mark.parametrize("first", range(20, 220, 25))
def test_no_choice_of_spares_is_better_in_many_shops(first):
    all_of(range(first, first + 25), met=0.95)


def every_order(seeds):
    """Days of tiny shops in every order, each leaving a clean plan; how many there were."""
    days = 0
    for seed in seeds:
        shop = changing_shop(seed)
        plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
        if plan is None or any(f.severity == "violation" for f in plan.findings):
            continue
        ready = [draft.machine for draft in plan.changeovers or () if draft.prepared]
        for order in permutations(ready):
            now = plan
            for machine in order:
                then = changed_over(now, machine)
                assert not isinstance(then, Refused), f"{shop.name}: {machine}: {then}"
                now, days = then, days + 1
    return days


def test_every_day_that_is_prepared_for_can_be_done():
    """Shop 110 has a machine wired to a circuit beside another that changes."""
    assert every_order([*range(12), 110]) >= 8


@pytest.mark.long
def test_every_day_of_many_shops_can_be_done():
    assert every_order(range(12, 160)) >= 60
