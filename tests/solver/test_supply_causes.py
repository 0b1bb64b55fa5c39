"""What the supply shows before a plan is made, against sums done by hand and against plans."""

import pytest

from models.formulas.conductors import circular_mils
from models.formulas.feeders import building_disconnect_amps
from models.price_book import PriceBook
from models.shop_edit import Change, changed
from models.shop_file import read_shop
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.feeder_remedies import feeder_remedies
from solver.load_calculation import calculated_va, least_va, likely_seats
from solver.plan import plan_shop
from solver.points import Points
from solver.routes import Ways
from solver.solve import Control
from solver.supply_causes import supply_causes
from solver.trials import least_handles

PANEL = "supply.panels[P]"
ATTENDED = ("code.noncoincident", "attended")
LARGER = [
    (f"{PANEL}.feeder.breaker", "225 A"),
    (f"{PANEL}.feeder.conductors", {"hot": "4/0", "neutral": "4/0", "ground": "4"}),
    (f"{PANEL}.bus", "225 A"),
]


@pytest.fixture(scope="module")
def folder(request):
    return request.config.rootpath / "scenarios"


@pytest.fixture(scope="module")
def heron(folder):
    return read_shop(folder / "heron_slip.yaml")


@pytest.fixture(scope="module")
def attended(heron):
    return changed(heron, [ATTENDED])


def reasons(shop, handles=9):
    return [(cause.reason, cause.where) for cause in supply_causes(shop, handles)]


def test_the_feeder_comes_first_then_service_and_disconnect(heron, attended):
    """324 A, then 224 A (by hand in test_heron_slip_built.py) of 90 A; 96 + 224 = 320 of 200 A."""
    (load,) = supply_causes(heron, 9)
    assert (load.reason, load.where) == ("feeder-load", "P")
    assert "324 A of 90 A (feeder breaker)" in load.says
    (less,) = supply_causes(attended, 9)
    assert "224 A of 90 A" in less.says
    service, disconnect = supply_causes(changed(attended, LARGER), 9)
    assert "96 A without the shop and 224 A for it = 320 A of 200 A" in service.says
    assert service.remedies[0].changes == (("supply.service.rating", "400 A"),)
    assert (disconnect.reason, disconnect.where) == ("building-disconnect", "P")


def test_up_to_six_handles_disconnect_a_building(attended):
    """225.33(A): six. With a main, a switch or a main that a plan adds nothing is missing."""
    larger = changed(attended, [*LARGER, ("supply.service.rating", "400 A")])
    assert reasons(larger, 7) == [("building-disconnect", "P")]
    assert reasons(larger, 6) == []
    for change in (
        (f"{PANEL}.main", "225 A"),
        (f"{PANEL}.disconnect", "separate switch"),
        ("building.attached", "yes"),
    ):
        assert reasons(changed(larger, [change]), 7) == []
    assert building_disconnect_amps(7) <= 225  # what the main must have at least, 225.39(D)


def test_no_breaker_is_fed_backwards_behind_150_a(attended):
    """A new panel gets a back-fed main up to 125 A (`models.building_main`)."""
    base = [(f"{PANEL}.disconnect", None), (f"{PANEL}.bus", "200 A"), ("supply.service", None)]
    few: list[Change] = [
        ("machines[kiln-1]", None),
        ("use.never_together", []),
        ("use.followers", []),
    ]
    for breaker, told in ((100, True), (150, False)):
        shop = changed(attended, [*base, *few, (f"{PANEL}.feeder.breaker", f"{breaker} A")])
        cause = list(supply_causes(shop, 9))[-1]
        assert cause.reason == "building-disconnect"
        says = [remedy.says for remedy in cause.remedies]
        assert any("back-fed" in text for text in says) == told
        assert any(f"main breaker of {breaker} A" in text for text in says)


def test_copper_where_no_aluminum_is_large_enough(attended):
    """Table 310.16 at 75 °C, 4/0: aluminum 180 A, copper 230 A. Table 250.122: 4 AWG up to 300 A.

    Three of 0.3237 in² and one of 0.0824 in² are 1.054 in², PVC-40 1-1/2 in holds 40 % of 1.986.
    """
    copper, lock, several = feeder_remedies(attended, attended.panel(), 224)
    changes = dict(copper.changes)
    assert changes[f"{PANEL}.feeder.breaker"] == "225 A"
    assert changes[f"{PANEL}.feeder.conductors"] == {
        "hot": "4/0", "neutral": "4/0", "ground": "4", "material": "copper",
    }  # fmt: skip
    assert changes[f"{PANEL}.feeder.raceway"] == "PVC-40 2"
    assert copper.unpriced == ("the feeder of P", "panel P")
    assert lock.changes[0][1]["machines"] == ["kiln-1", "compressor"]
    assert several.changes[0] == lock.changes[0]


def test_the_ground_grows_with_the_hots(attended):
    """170 A asks for 4/0 aluminum, its breaker of 175 A for 3/0 only (155 A, next size up).

    250.122(B): 41 740 cmil of 4 AWG times 211 600 / 167 800 is more than 3 AWG has: 2 AWG.
    """
    feeder = feeder_remedies(attended, attended.panel(), 170)[0]
    conductors = dict(feeder.changes)[f"{PANEL}.feeder.conductors"]
    assert (conductors["hot"], conductors["ground"]) == ("4/0", "2")
    assert circular_mils("3") < 41740 * 211600 / 167800 < circular_mils("2")


def test_the_least_load_is_not_above_that_of_a_plan(folder):
    for name in ("one_bay_garage", "four_box"):
        path = folder / f"{name}.yaml"
        if not path.exists():
            path = folder.parent / "tests" / "shops" / f"{name}.yaml"
        shop = read_shop(path)
        plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
        assert plan is not None
        va = sum(line.va for line in plan.feeders[0].load_calculation or ())
        assert 0 < least_va(shop) <= va
        assert calculated_va(shop, likely_seats(shop)) == pytest.approx(va, rel=0.05)


def test_no_plan_has_fewer_handles(folder):
    """Handles of a plan: breakers, tied ones once. The least is told of new circuits only."""
    shop = read_shop(folder / "one_bay_garage.yaml")
    catalogue = Catalogue(shop, PriceBook.read())
    least = least_handles(Circuits(shop, Points(shop), Ways(shop), catalogue))
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    new = [circuit for circuit in plan.circuits if circuit.life == "new"]
    handles = {frozenset({c.id, c.multiwire_with or c.id}) for c in new}
    assert 0 < least <= len(handles)
