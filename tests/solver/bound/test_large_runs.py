"""The bound of large shops, on shops small enough to check it, with hardly any runs near."""

import json
import math
from functools import partial
from itertools import combinations
from pathlib import Path

import pytest

from benchmarks.halls import hall
from models.plan_file import canonical_json, sha256_text
from models.price_book import PriceBook
from solver.bound.afar import NO_RUN, Afar
from solver.bound.cuts import Cuts
from solver.bound.large_runs import LargeRuns, runs_of
from solver.bound.least import least
from solver.bound.recheck import CertificateError, _Relaxation, _worth, recheck
from solver.bound.ways import ways_of
from solver.candidate import MONEY
from solver.plan import plan_shop
from solver.refusal import Refusal
from solver.solve import Control
from tests.slow import every_changeover
from tests.slow.counting_out import counted_out
from tests.slow.test_least_plan import readable
from tests.slow.test_spare_choices import changing_shop
from tests.solver.bound.test_least import CENT
from tests.solver.conftest import circuits_of

PLAIN = (0, 1, 5, 19, 43)
MULTIWIRE = (1, 6, 17)
CHANGING = (0, 3, 66)


def make_large(patch):
    """Let every shop be a large one, of which one box, junction box and panel are near each box."""
    patch.setattr("solver.sparse.MOST_BOXES", 0)
    for kind in ("BOXES", "JUNCTIONS", "PANELS"):
        patch.setattr(f"solver.bound.large_runs.NEAR_{kind}", 1)


@pytest.fixture
def large(monkeypatch):
    """Make all shops large from now on."""
    return partial(make_large, monkeypatch)


def shown(shop, certificate):
    """What the prices of a certificate show, by the code that rechecks it."""
    relaxation = _Relaxation(runs_of(circuits_of(shop)), Path("bound.json"))
    return _worth(relaxation, list(certificate.prices.items()))


def shares(large, shops, *builds):
    """Bounds as shares of the least cost of all plans."""
    counted = [(shop, counted_out(shop, *builds)) for shop in shops]
    large()
    found = []
    for shop, cost in counted:
        if not math.isinf(cost):
            certificate = least(circuits_of(shop), Control())
            assert certificate is not None
            assert certificate.bound / MONEY <= cost + CENT, f"{shop.name}: a plan costs {cost}"
            assert shown(shop, certificate) == certificate.bound
            found.append(certificate.bound / MONEY / cost)
    return found


def test_no_plan_of_a_tiny_shop_costs_less(large):
    """Measured on 34 shops: 98 % on average, 85 % at worst."""
    found = shares(large, map(readable, PLAIN))
    assert len(found) >= 4
    assert min(found) > 0.8


def test_no_plan_with_multiwire_pairs_costs_less(large):
    """Measured on 33 shops: 88 % on average, 73 % at worst."""
    shops = (readable(seed, multiwire=True, most_boxes=3) for seed in MULTIWIRE)
    assert min(shares(large, shops)) > 0.7


def test_no_plan_costs_less_now_and_in_days_to_come(large):
    """Measured on 35 shops with changeovers: 94 % on average, 71 % at worst."""
    found = shares(large, map(changing_shop, CHANGING), every_changeover.builds_of)
    assert min(found) > 0.7


@pytest.fixture(scope="module")
def small_hall():
    return hall(1, 40)


def test_no_run_costs_less_than_it_does_afar(small_hall, large):
    """Against the ways there are, each priced."""
    large()
    runs = LargeRuns(circuits_of(small_hall))
    looked_at = 0
    for part in runs.parts:
        apart = runs._apart_of(part)
        priced = {awg: runs.priced(part, awg) for awg in part.sizes}
        afar = Afar(part, apart, priced, dict.fromkeys(apart.nodes, 1), ())
        for awg, costs in afar.costs.items():
            for start in apart.starts:
                home = start in runs.panels
                for at, end in enumerate(apart.nodes):
                    ways = ways_of(runs.circuits, priced[awg], start, end) if start != end else ()
                    for way in ways:
                        cost = way.cost + home * part.home_cost(end)
                        least = costs[apart.at[start], at]
                        assert least <= cost or least == NO_RUN > part.reach_ft(awg, end) > 0
                        looked_at += 1
    assert looked_at > 1000


def test_sized_items_are_never_two_on_a_small_conductor_or_three_on_any(small_hall):
    """Against the circuits that can be built."""
    circuits = circuits_of(small_hall)
    parts = [part for part in LargeRuns(circuits).parts if any(part.sized.values())]
    assert parts
    for part in parts:
        for awg, bits in part.sized.items():
            items = [item for item in part.items if bits >> item & 1]
            for pair in combinations(items, 2):
                made = circuits.candidates(frozenset(pair))
                sizes = [] if isinstance(made, Refusal) else [one.awg for one in made]
                assert all(part.is_smaller(awg, size) for size in sizes)
            for three in combinations(items[:6], 3):
                assert isinstance(circuits.candidates(frozenset(three)), Refusal)


def test_runs_afar_get_variables_where_they_lower_the_bound(small_hall, large):
    large()
    runs = LargeRuns(circuits_of(small_hall))
    cuts, before, laid = Cuts(runs), len(runs.arcs), 0
    for _ in range(3):
        assert runs.program.solve()
        prices = runs.program.priced()
        off = runs.worth_afar(prices)
        assert off <= 0
        more = runs.lay_afar(prices)
        assert (more > 0) == (off < 0)
        laid += more
        cuts.add()
    assert laid > 0
    assert len(runs.arcs) == before + laid


def make_all_runs(patch):
    """Let every shop be a large one, all parts of which are looked at by their runs."""
    make_large(patch)
    patch.setattr("solver.bound.twos.TWO", 0)


@pytest.fixture(scope="module")
def found(small_hall):
    """The bound that the hall gets as a large shop, and a plan that claims it, of another shop."""
    plan = plan_shop(readable(7), PriceBook.read(), Control(effort=1), explain=False).plan
    with pytest.MonkeyPatch.context() as patch:
        make_all_runs(patch)
        certificate = least(circuits_of(small_hall), Control(effort=1))
    assert plan is not None
    assert certificate is not None
    claims = {"lower_bound": round(certificate.bound / MONEY, 2)}
    told = json.loads(json.dumps(small_hall.canonical()))
    origin = {"shop": told, "sha256": sha256_text(canonical_json(told))}
    source = plan.source.model_copy(update=origin)
    objective = plan.objective.model_copy(update=claims)
    return certificate, plan.model_copy(update={"objective": objective, "source": source})


@pytest.fixture
def again(found, monkeypatch, tmp_path):
    """Recheck the certificate with something in it changed."""
    make_all_runs(monkeypatch)
    certificate, plan = found
    file = tmp_path / "bound.json"

    def rechecked(change=lambda _: None):
        document = json.loads(json.dumps(certificate.document(plan)))
        change(document["prices"])
        file.write_text(json.dumps(document), "utf-8")
        return recheck(plan, file, PriceBook.read())

    return rechecked


def test_its_certificate_is_rechecked(found, again):
    certificate, _ = found
    assert again().shown
    assert again().found == certificate.bound / MONEY


@pytest.mark.parametrize("kind", ["enter", "sized", "home runs", "box", "size"])
def test_a_price_that_is_raised_is_found(again, kind):
    def change(prices):
        next(row for row in prices if row[0][0] == kind)[1] *= 3

    with pytest.raises(CertificateError, match="some number in it was changed"):
        again(change)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (["sized", 0, [["P1", "12", 0]], "12"], "no row"),
        (["sized", 0, [["S1D1", "12", 0]], "14"], "no size"),
        (["onward", 0, "12", "P1", "S1D1"], "no runs"),
        (["onward", 99, "12", "S1D1", "S1D2"], "no runs"),
    ],
)
def test_rows_that_there_are_none_of_are_refused(again, name, words):
    with pytest.raises(CertificateError, match=words):
        again(lambda prices: prices[0].__setitem__(0, name))


def test_prices_too_large_to_add_up_are_refused(again):
    with pytest.raises(CertificateError, match="beyond all reason"):
        again(lambda prices: prices[0].__setitem__(1, 10**30))
