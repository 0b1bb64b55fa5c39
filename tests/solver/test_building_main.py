"""A separate building without a disconnect: the plan adds a back-fed main and counts its spaces."""

import pytest

from models.price_book import PriceBook
from models.rules import check_plan
from models.shop_edit import changed
from solver.plan import plan_shop
from solver.solve import Control
from tests.violations import violations

DETACHED = [
    ("building.kind", "accessory building"),
    ("building.attached", "no"),
    ("supply.panels[P].spaces", 12),
]


def plan_of(shop):
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    return plan


@pytest.fixture
def detached(make_shop):
    return changed(make_shop(4), [*DETACHED, ("supply.panels[P].disconnect", "none")])


@pytest.mark.parametrize("named", ["none", "back-fed breaker"])
def test_a_main_is_added(detached, named):
    """225.31; 408.36(D): a two-pole breaker held down, 60 A like the feeder's, in two spaces."""
    plan = plan_of(changed(detached, [("supply.panels[P].disconnect", named)]))
    assert violations(check_plan(plan)) == []
    (panel,) = plan.panels
    assert (panel.main.kind, panel.main.amps) == ("back-fed", 60)
    assert [s.space for s in panel.spaces if s.reserved_for == "main"] == [1, 3]
    parts = {line.key: line.quantity for line in plan.takeoff}
    assert parts["breaker retainer"] == 1
    assert parts["breaker 60 A 2-pole"] == 1
    assert round(sum(line.cost_usd for line in plan.takeoff), 2) == plan.objective.value


@pytest.mark.parametrize(
    "change",
    [
        ("supply.panels[P].main", "60 A"),
        ("supply.panels[P].disconnect", "separate switch"),
        ("building.attached", "yes"),
    ],
)
def test_no_main_where_none_is_asked_for(detached, change):
    plan = plan_of(changed(detached, [change]))
    assert plan.panels[0].main.kind != "back-fed"
    assert not any(space.reserved_for == "main" for space in plan.panels[0].spaces)
    assert not any(line.key == "breaker retainer" for line in plan.takeoff)


def test_its_spaces_are_missing_elsewhere(detached):
    """All spaces but its two are wished free: there is no room for a circuit."""
    full = changed(detached, [("later.spare_spaces", 10)])
    assert plan_shop(full, PriceBook.read(), Control(effort=1), explain=False).plan is None


def test_a_plan_that_keeps_no_spaces_for_its_main_is_found(detached):
    plan = plan_of(detached)
    panel = plan.panels[0]
    spaces = tuple(s.model_copy(update={"reserved_for": None}) for s in panel.spaces)
    broken = plan.model_copy(update={"panels": (panel.model_copy(update={"spaces": spaces}),)})
    assert any("back-fed main has spaces []" in says for says in violations(check_plan(broken)))


def test_a_main_of_another_rating_is_found(detached):
    plan = plan_of(detached)
    panel = plan.panels[0]
    main = panel.main.model_copy(update={"amps": 100.0})
    broken = plan.model_copy(update={"panels": (panel.model_copy(update={"main": main}),)})
    assert any("main of panel P is 100" in says for says in violations(check_plan(broken)))
