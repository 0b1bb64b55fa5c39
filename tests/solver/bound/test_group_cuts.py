"""Cuts by groups of machines: they raise the bound, no plan costs less, and they are rechecked."""

import json

import pytest

from models.price_book import PriceBook
from models.shop_edit import changed
from solver.bound.certificate import Certificate
from solver.bound.cuts import Cuts
from solver.bound.group_cuts import GroupCuts
from solver.bound.recheck import CertificateError, recheck
from solver.bound.runs import Runs
from solver.candidate import MONEY
from solver.plan import plan_shop
from solver.solve import Control
from tests.solver.conftest import circuits_of

NAME = "groups enter"


@pytest.mark.parametrize("drop_percent", [1.0, 3])
def test_they_raise_the_bound_and_are_rechecked(make_shop, tmp_path, drop_percent):
    """Rechecked from their names alone; no plan that is found costs less."""
    shop = changed(make_shop(0, boxes=16), [("code.voltage_drop_percent", drop_percent)])
    runs = Runs(circuits_of(shop))
    cuts, groups = Cuts(runs), GroupCuts(runs)
    for _ in range(4):
        assert runs.program.solve()
        cuts.add()
    assert runs.program.solve()
    before = runs.program.bound()
    assert groups.add()
    assert runs.program.solve()
    assert runs.program.bound() > before
    found = Certificate(runs.constant + runs.program.bound(), runs.program.priced())
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    assert found.bound / MONEY <= plan.objective.value

    claimed = plan.objective.model_copy(update={"lower_bound": round(found.bound / MONEY, 2)})
    plan = plan.model_copy(update={"objective": claimed})
    document = found.document(plan)
    file = tmp_path / "bound.json"
    file.write_text(json.dumps(document), "utf-8")
    assert recheck(plan, file, PriceBook.read()).shown
    numbers = [n for n, (name, _) in enumerate(document["prices"]) if name[0] == NAME]
    assert numbers
    document["prices"][numbers[0]][0][1] = len(runs.parts)
    file.write_text(json.dumps(document), "utf-8")
    with pytest.raises(CertificateError, match="no row"):
        recheck(plan, file, PriceBook.read())
