"""Changeovers of the demo shops: each that a plan prepares for leaves a plan without violations.

In every order of them; what is not prepared for is refused with what would allow it.
"""

import json
from itertools import permutations

import pytest
from click.testing import CliRunner

from branchwright.cli import cli
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop import Shop
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.changeover_refused import Refused
from solver.changing_over import changed_over
from solver.plan import plan_shop
from solver.solve import Control
from tests.demo_shops import DEMO_SHOPS, SCENARIOS
from tests.plan_files import plan_on_file
from tests.violations import violations

QUICK = ("half_wired_metal_shop", "one_bay_garage", "two_person_instrument_shop")
NO_PLAN = ("heron_slip",)  # as described there is none: the first answer its owner needs


def all_orders(shop):
    """The changeovers prepared for, and those refused; fails at a plan with a violation."""
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    return orders_of(plan, shop)


def orders_of(plan, shop):
    """The same of a plan that is there."""
    ready = [draft.machine for draft in plan.changeovers or () if draft.prepared]
    for order in permutations(ready):
        now = plan
        for machine in order:
            then = changed_over(now, machine)
            assert not isinstance(then, Refused), then
            now = then
            assert violations(check_plan(now)) == []
    refused = {}
    for change in shop.later.changeovers:
        if change.machine not in ready:
            found = changed_over(plan, change.machine)
            assert isinstance(found, Refused)
            refused[change.machine] = found
    return ready, refused


def test_every_demo_shop_is_asked():
    long = {"heron_slip_built", "ninety_box_makerspace"}
    assert {*QUICK, *NO_PLAN, *long} == set(DEMO_SHOPS)


@pytest.mark.parametrize(
    ("name", "ready", "refused"),
    [
        ("half_wired_metal_shop", [], ["cold-saw"]),
        ("one_bay_garage", [], []),
        ("two_person_instrument_shop", ["band-saw"], []),
    ],
)
def test_changeovers_of_a_demo_shop(name, ready, refused):
    found = all_orders(read_shop(SCENARIOS / f"{name}.yaml"))
    assert (found[0], list(found[1])) == (ready, refused)


def test_two_changeovers_in_both_orders():
    plan = plan_on_file("two_changeovers")
    ready, refused = orders_of(plan, Shop.model_validate(plan.source.shop))
    assert (sorted(ready), refused) == (["M1", "M2"], {})


@pytest.mark.long
def test_heron_slip_is_no_dearer_than_deciding_later_or_preparing_for_everything():
    """As expected, now and later; each of the three without a violation."""
    shop = SCENARIOS / "heron_slip_built.yaml"
    wishes = ["--with", "later.prepare=nothing", "--with", "later.prepare=everything"]
    done = CliRunner().invoke(cli, ["compare", str(shop), *wishes, "--json"])
    assert done.exit_code == 0, done.output
    plans = json.loads(done.stdout)["plans"]
    assert len(plans) == 3
    chosen, *others = (one["material_usd"] + one["days_to_come_usd"] for one in plans)
    assert chosen <= min(others)
    done_for = [[day["chosen"] != "nothing now" for day in one["days_to_come"]] for one in plans]
    assert done_for[1:] == [[False, False], [True, True]]


@pytest.mark.long
def test_changeovers_of_heron_slip():
    """Jointer by a space kept; the pug mill only where the authority takes multiwire circuits."""
    shop = read_shop(SCENARIOS / "heron_slip_built.yaml")
    ready, refused = all_orders(shop)
    assert ready == ["jointer"]
    assert "code.multiwire: yes" in refused["pug-mill"].would
    ready, refused = all_orders(changed(shop, [("code.multiwire", True)]))
    assert (ready, refused) == (["jointer", "pug-mill"], {})


@pytest.mark.long
def test_changeovers_of_the_makerspace():
    """One shares a circuit, the other moves: no plan made before can hold either."""
    ready, refused = all_orders(read_shop(SCENARIOS / "ninety_box_makerspace.yaml"))
    assert ready == []
    assert "no change of voltage alone" in refused["spindle-sander"].says
    assert set(refused) == {"spindle-sander", "wood-lathe"}
