"""Lines of the load calculation that the solver writes, against sums by hand."""

import pytest

from models.price_book import PriceBook
from models.rules import check_plan
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.as_built import as_built_plan
from solver.load_calculation import load_assumptions


@pytest.fixture
def shed(request):
    """Wired already, no dwelling, 2020: 12 × 10 ft, 60 W of lights, all yokes with a machine."""
    return read_shop(request.config.rootpath / "tests" / "shops" / "as_built.yaml")


def lines_of(shop):
    plan = as_built_plan(shop, PriceBook.read())
    wrong = [f.says for f in plan.findings if f.rule == "load-calculation"]
    assert wrong == []
    return [(line.va, line.source) for line in plan.feeders[0].load_calculation or ()]


def test_a_shed_by_hand(shed):
    """120 ft² at 1.7 VA; grinder 8 A; heater 3000 W; press 9 A, the largest motor, 25 % of it."""
    assert lines_of(shed) == [
        (204, "NEC 220.12"),
        (960, "NEC 220.14(A)"),
        (3000, "NEC 220.14(A)"),
        (1080, "NEC 220.14(A)"),
        (270, "NEC 430.24"),
    ]


def test_in_2017_the_same_shed_counts_its_luminaires(shed):
    """No workshop in Table 220.12: 60 W, and 25 % of it."""
    found = lines_of(changed(shed, [("code.edition", 2017)]))
    assert found[0] == (60, "NEC 220.14(D)")
    assert found[-1] == (15, "NEC 215.2(A)(1), 215.3")


def test_fixed_heat_and_a_yoke_without_a_machine(shed):
    """220.51; N1 without its grinder counts 180 VA."""
    found = lines_of(
        changed(shed, [("machines[heater].kind", "space heat"), ("machines[grinder]", None)])
    )
    assert (3000, "NEC 220.51") in found
    assert (180, "NEC 220.14(I)") in found


def test_an_interlock_and_a_promise(shed):
    """Heater or press: 3000 VA stay; without the press the grinder is the largest, 240 VA."""
    group = {"machines": ["heater", "press"], "device": "relay"}
    locked = lines_of(changed(shed, [("use.never_together", [{**group, "by": "interlock"}])]))
    assert sum(va for va, _ in locked) == 204 + 3000 + 960 + 240
    assert (0, "NEC 220.60") in locked
    promised = changed(shed, [("use.never_together", [{"machines": ["heater", "press"]}])])
    assert lines_of(promised) == lines_of(shed)


def test_a_feeder_too_small_by_the_calculation_is_a_violation(shed):
    """204 + 960 + 3000 + 1080 + 270 = 5514 VA, 23 A."""
    small = changed(shed, [("supply.panels[P].feeder.breaker", "20 A")])
    plan = as_built_plan(small, PriceBook.read())
    assert check_plan(plan) == plan.findings
    [finding] = [f for f in plan.findings if f.rule == "feeder-load"]
    assert (finding.severity, finding.found, finding.limit) == ("violation", 23.0, 20.0)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ([], "taken as a workshop"),
        ([("building.dwelling", "yes"), ("building.kind", "garage")], "not in the floor area"),
        ([("building.dwelling", "yes"), ("building.kind", "basement")], "in the area of the"),
        ([("machines[heater].kind", "space heat")], "Fixed heat counts at 100 %"),
        ([], "names no raceway for the feeder"),
    ],
)
def test_what_was_decided_is_told(shed, changes, words):
    assert any(words in told for told in load_assumptions(changed(shed, changes)))


def test_what_does_not_concern_a_shop_is_not_told(shed):
    piped = changed(shed, [("supply.panels[P].feeder.raceway", "EMT 1"), ("code.edition", 2017)])
    told = " ".join(load_assumptions(piped))
    for words in ("raceway", "workshop", "Fixed heat", "floor area"):
        assert words not in told
