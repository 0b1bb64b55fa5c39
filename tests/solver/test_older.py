"""Starting from an older plan: never dearer for the same shop, quick, and true to what changed."""

import re

import pytest

from models.plan_file import plan_text
from models.price_book import PriceBook
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.older import Older
from solver.plan import plan_shop
from solver.points import Points
from solver.progress import Event
from solver.solve import Control
from tests.demo_shops import SCENARIOS
from tests.larger_garage import larger_garage
from tests.solver.conftest import small_shop
from tests.solver.pair_shops import hand_shop
from tests.violations import violations

GONE = re.compile(r"\{id: (N2|chargers),")


def planned(shop, older=None, effort=1, seed=1):
    """A plan, and what was done on the way."""
    events: list[Event] = []
    start = None if older is None else Older.of(older, "0" * 64)
    control = Control(effort, seed, listen=events.append, older=start)
    plan = plan_shop(shop, PriceBook.read(), control).plan
    assert plan is not None
    return plan, events


def together(plan):
    """Which yokes and luminaires are on one circuit."""
    yokes = {outlet.id: outlet.yoke or outlet.id for outlet in plan.outlets}
    return {frozenset(yokes[outlet] for outlet in circuit.outlets) for circuit in plan.circuits}


@pytest.fixture(scope="module")
def larger(tmp_path_factory):
    path = tmp_path_factory.mktemp("larger") / "larger.yaml"
    path.write_text(larger_garage(), "utf-8")
    return read_shop(path)


@pytest.fixture(scope="module")
def before(larger):
    return planned(larger)[0]


@pytest.mark.parametrize("name", ["one_bay_garage", "two_person_instrument_shop"])
def test_it_is_never_dearer_than_the_plan_it_started_from(name):
    """From a plan made with another seed and more effort, and the same again each time."""
    shop = read_shop(SCENARIOS / f"{name}.yaml")
    old, _ = planned(shop, effort=2, seed=5)
    new, _ = planned(shop, old)
    assert new.objective.value <= old.objective.value
    assert len(violations(new.findings)) <= len(violations(old.findings))
    assert plan_text(planned(shop, old)[0]) == plan_text(new)
    assert new.made_by.started_from == "0" * 64


@pytest.mark.parametrize("seed", range(6))
def test_it_is_never_dearer_in_tiny_shops_of_which_every_tree_is_tried(seed):
    shop = small_shop(seed, boxes=4)
    old, _ = planned(shop, effort=10)
    new, _ = planned(shop, old)
    assert new.objective.value <= old.objective.value
    assert violations(new.findings) == violations(old.findings) == []


@pytest.mark.parametrize("ties", ["common trip", "handle tie"])
def test_a_multiwire_pair_is_found_again(ties):
    """Two circuits that name each other are one group, not two."""
    shop = hand_shop(["blank"], ["blank"], ties=ties, minimize="copper")
    old, _ = planned(shop, effort=5)
    assert all(circuit.multiwire_with for circuit in old.circuits)
    assert len(Older.of(old, "").groups(Points(shop).items)) == 1
    new, _ = planned(shop, old)
    assert new.objective.value <= old.objective.value
    assert new.circuits == old.circuits


def test_the_first_plan_is_the_older_one_and_no_start_is_made_anew(larger, before):
    """The first plan that is told of has the older one's value: found again, not searched for."""
    _, events = planned(larger, before)
    first = next(event for event in events if event.best is not None)
    assert first.best.value == before.objective.value
    assert not any("start" in event.doing for event in events)


def test_a_plan_that_is_dear_is_still_found_again_and_then_bettered(larger, before):
    """Every yoke of the bench on a circuit of its own, as an owner may have drawn it."""
    apart = [f"N{n}" for n in (1, 2, 3)]
    held = changed(larger, [("pins.apart[+]", apart)])
    dear, _ = planned(held)
    assert dear.objective.value > before.objective.value
    new, events = planned(larger, dear)
    first = next(event for event in events if event.best is not None)
    assert first.best.value <= dear.objective.value
    assert before.objective.value <= new.objective.value < dear.objective.value


def test_pins_of_the_shop_file_hold(larger, before):
    """What the older plan had on one circuit is now pinned apart."""
    pair = sorted(next(group for group in together(before) if {"N1"} < group))[:2]
    new, _ = planned(changed(larger, [("pins.apart[+]", pair)]), before)
    assert violations(new.findings) == []
    assert not any(set(pair) <= group for group in together(new))


def test_what_is_gone_is_named_and_what_is_new_is_placed(larger, before, tmp_path):
    """A box renamed, a box and a machine taken out."""
    rows = [row for row in larger_garage().splitlines() if not GONE.search(row)]
    assert len(rows) == len(larger_garage().splitlines()) - 2
    path = tmp_path / "later.yaml"
    path.write_text("\n".join(rows).replace("{id: N1,", "{id: Z9,"), "utf-8")
    shop = read_shop(path)
    assert Older.of(before, "").gone(shop) == ["N1", "N2", "machine chargers"]
    assert Older.of(before, "").gone(larger) == []
    new, _ = planned(shop, before)
    assert violations(new.findings) == []
    assert "Z9" in {name for group in together(new) for name in group}


def test_groups_are_the_circuits_of_the_plan(larger, before):
    """Each item that is not on an existing circuit is in one group, as its circuit has it."""
    points = Points(larger)
    groups = Older.of(before, "").groups(points.items)
    assert sorted(item for group in groups for item in group) == list(range(len(points.items)))
    new = [circuit for circuit in before.circuits if circuit.life == "new"]
    assert len(groups) == len(new)
