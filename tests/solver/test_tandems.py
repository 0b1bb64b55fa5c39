"""New tandem breakers where a panel takes them: spaces saved, and what they are in the way of.

A tandem holds two single poles on one leg: no two-pole breaker, no shared neutral, no GFCI. The
shop in `tests/shops` is invented, so is the price of 21 USD (two plain breakers: 18 USD).
"""

from importlib.resources import files
from pathlib import Path

import pytest

from models.plan_file import canonical_json, sha256_text
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.plan import plan_shop
from solver.solve import Control
from tests.violations import violated, violations

SHOP = Path(__file__).resolve().parents[1] / "shops" / "odd_spaces.yaml"
LINE = 'tandem breaker 20/20 A,"tandem breaker, 20 A and 20 A",each,21.00\n'
ONE_SPACE = (("existing[X2].spaces", [3]), ("later.spare_spaces", 1))  # 2 and 4 are free
ALLOWED = ("code.tandems", True)
SAW = (
    ("boxes[W1]", {"wall": "south", "x": "6 ft", "height": "4 ft", "yokes": ["single 6-20R"]}),
    ("supply.panels[P].spaces", 6),
)


def places(*spaces):
    return ("supply.panels[P].tandem_spaces", list(spaces))


@pytest.fixture(scope="module")
def outcome_of():
    """What comes of the shop without multiwire circuits, with changes, at prices with a tandem."""
    text = files("models").joinpath("prices", "invented.csv").read_text(encoding="utf-8")
    books = {True: PriceBook.parse(text + LINE, "with.csv"), False: PriceBook.read()}

    def planned(*changes, priced=True):
        plain = (("code.multiwire", None), ("code.ties", None), ("code.voltage_drop_percent", 5))
        shop = changed(read_shop(SHOP), [*plain, *changes])
        outcome = plan_shop(shop, books[priced], Control(effort=5), explain=False)
        if outcome.plan is not None:
            wrong = violations(outcome.plan.findings)
            assert wrong == []
        return outcome

    return planned


def tandems(plan):
    return {
        entry.space: {e.circuit for e in panel.spaces if e.space == entry.space}
        for panel in plan.panels
        for entry in panel.spaces
        if entry.tandem is not None
    }


def test_two_circuits_in_one_space(outcome_of):
    plan = outcome_of(*ONE_SPACE, places(4), ALLOWED).plan
    assert tandems(plan) == {4: {"C1", "C2"}}
    bought = {line.key: line.quantity for line in plan.takeoff if "breaker" in line.key}
    assert bought == {"tandem breaker 20/20 A": 1.0}
    assert plan.objective.value == plan.totals.material_cost_usd


@pytest.mark.parametrize(
    "changes",
    [
        (places(4),),  # nobody said that they are allowed
        (places(), ALLOWED),  # the panel takes none
        (places(1), ALLOWED),  # only where a breaker is already
        (places(4), ALLOWED, ("building.kind", "garage"), ("code.edition", 2023),
         ("code.gfci_at", "breaker")),  # a GFCI breaker is no half
    ],
)  # fmt: skip
def test_without_a_tandem_there_is_no_plan(outcome_of, changes):
    outcome = outcome_of(*ONE_SPACE, *changes)
    assert outcome.plan is None
    assert outcome.causes


def test_without_a_price_there_is_none(outcome_of):
    assert outcome_of(*ONE_SPACE, places(4), ALLOWED, priced=False).plan is None


def test_breakers_apart_where_there_is_room(outcome_of):
    """The tandem costs 3 USD more than two breakers."""
    plan = outcome_of(("existing[X2].spaces", [3]), places(2, 4), ALLOWED).plan
    assert tandems(plan) == {}


@pytest.mark.parametrize(("at", "planned"), [(2, True), (5, True), (6, True), (4, False)])
def test_tandem_fragmentation(outcome_of, at, planned):
    """Free are 2, 4, 6 and 5, one of them to spare; a tandem in 4 leaves no two neighbours."""
    plan = outcome_of(*ONE_SPACE, *SAW, places(at), ALLOWED).plan
    assert (plan is not None) is planned
    if plan is not None:
        assert tandems(plan).keys() == {at}
        assert [len(c.breaker.spaces) for c in plan.circuits if c.volts == 240] == [2]


def test_first_fit_is_not_the_last_word(outcome_of):
    """In 4 the tandem would part 2 from 6: of 4 and 5 it takes 5."""
    plan = outcome_of(*ONE_SPACE, *SAW, places(4, 5), ALLOWED).plan
    assert tandems(plan).keys() == {5}


def test_half_a_tandem_is_found_out(outcome_of):
    """A tandem where the panel takes none, and one that nobody bought."""
    plan = outcome_of(*ONE_SPACE, places(4), ALLOWED).plan
    shop = {**plan.source.shop, "supply": {**plan.source.shop["supply"]}}
    (panel,) = shop["supply"]["panels"]
    shop["supply"]["panels"] = [{key: v for key, v in panel.items() if key != "tandem_spaces"}]
    source = plan.source.model_copy(
        update={"shop": shop, "sha256": sha256_text(canonical_json(shop))}
    )
    assert "tandem" in violated(check_plan(plan.model_copy(update={"source": source})))
    lines = tuple(line for line in plan.takeoff if "tandem" not in line.key)
    assert "takeoff" in violated(check_plan(plan.model_copy(update={"takeoff": lines})))
