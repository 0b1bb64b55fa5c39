"""The first answer for a shop that cannot be met: a full set of changes, and a plan with them."""

import pytest

from models.price_book import PriceBook
from models.shop_checks import check_shop
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.plan import plan_shop
from solver.solve import Control
from tests.violations import violations

EFFORT = 5  # so that the long tests end


@pytest.fixture(scope="module")
def heron(request):
    return read_shop(request.config.rootpath / "scenarios" / "heron_slip.yaml")


@pytest.fixture(scope="module")
def answer(heron):
    return plan_shop(heron, PriceBook.read(), Control(effort=EFFORT))


@pytest.mark.long
def test_what_cannot_be_met_is_told(answer):
    """As it is: the kiln and the feeder; then what heron_slip.md lists, met one by one."""
    assert answer.plan is None
    found = [(cause.reason, cause.where) for cause in answer.causes if not cause.later]
    assert found == [("conductor", "KILN1"), ("feeder-load", "P")]
    later = {(cause.reason, cause.where) for cause in answer.causes if cause.later}
    assert later >= {("service-room", "service"), ("building-disconnect", "P"), ("spaces", "P")}
    assert all(cause.remedies[0].works for cause in answer.causes)


@pytest.mark.long
def test_each_change_is_one_thing_and_needed(answer):
    least = answer.least
    assert least is not None
    assert least.each_needed
    assert len(least.parts) >= 5
    assert len(set(least.says)) == len(least.parts)
    assert not least.priced  # no book has a feeder, a panel or a service
    assert all(part.adds_usd is not None for part in least.parts)


@pytest.mark.long
def test_the_changed_shop_is_planned_without_a_violation(answer, heron):
    mended = changed(heron, answer.least.changes)
    assert check_shop(mended) == []
    outcome = plan_shop(mended, PriceBook.read(), Control(effort=EFFORT), explain=False)
    assert outcome.plan is not None, outcome.causes
    assert violations(outcome.plan.findings) == []
