"""The make-up of boxes, read off the garage and off shops with switches, pairs and GFCI devices.

Expected terminals by the ways of the trade: line in front of a GFCI device, load behind it; a hot
to the first switch of a row, the switched hot from its last (common practice, no source).
"""

import pytest

from models.answers.joints import Joints, joints_of
from models.plan import Plan
from models.price_book import PriceBook
from models.rules.reading import Reading
from models.shop import Shop
from solver.plan import plan_shop
from solver.solve import Control
from tests.plan_files import plan_on_file
from tests.solver.pair_shops import hand_shop

NAMES = ("four_box", "one_bay_garage", "taken_apart", "two_changeovers", "changed_over")


def made_up(plan: Plan) -> dict[str, Joints]:
    reading = Reading(plan, Shop.model_validate(plan.source.shop))
    return {box.id: joints_of(reading, box) for box in plan.boxes}


def on(one: Joints) -> dict[str, tuple[str, ...]]:
    return {f"{end.run.id}.{end.role}": end.on for end in one.ends if end.ends == "on device"}


@pytest.fixture
def garage() -> dict[str, Joints]:
    return made_up(plan_on_file("one_bay_garage"))


def test_line_and_load_of_a_gfci_device(garage):
    """C4.1 comes from the panel to W2.left, C4.2 goes on from it; the grounds are joined."""
    found = on(garage["W2"])
    assert found["C4.1.hot"] == found["C4.1.neutral"] == ("W2.left",)
    assert found["C4.2.hot"] == found["C4.2.neutral"] == ("W2.left load",)
    assert found["C7.2.hot"] == ("W2.right",)
    (joint,) = garage["W2"].joints
    assert ([end.run.id for end in joint.ends], joint.pigtails) == (["C4.1", "C4.2"], ("W2.left",))
    assert joint.wires == 3


def test_a_hot_comes_to_the_switch_and_the_switched_hot_leaves_it(garage):
    assert on(garage["S1"]) == {"C5.1.hot": ("S1",), "C5.2.switched": ("S1",)}
    assert on(garage["L1"])["C5.3.switched"] == ("L1",)


def test_what_passes_is_on_no_device_and_in_no_joint(garage):
    passing = [end for end in garage["E2"].ends if end.run.id == "C1.1"]
    assert {(end.ends, end.joint, end.on, end.far("E2")) for end in passing} == {
        ("passes", None, (), "P to E1")
    }


def test_the_neutral_of_a_pair_is_joined_through_and_each_hot_on_its_own_device():
    shop = hand_shop(["duplex 5-20R"], ["duplex 5-20R"], ["duplex 5-20R"])
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    for one in made_up(plan).values():
        for joint in one.joints:
            assert {end.role for end in joint.ends} == {joint.role}
            assert joint.wires >= 2


@pytest.mark.parametrize("name", NAMES)
def test_every_conductor_is_told_once_and_ends_somewhere(name):
    """Each is in one joint, passes, is capped, or has one device; joints are the plan's."""
    plan = plan_on_file(name)
    for box, one in zip(plan.boxes, made_up(plan).values(), strict=True):
        assert [(e.run.id, e.role, e.ends) for e in one.ends] == [
            (c.run, c.role, c.ends) for c in box.conductors
        ]
        assert [{f"{e.run.id}.{e.role}" for e in joint.ends} for joint in one.joints] == [
            set(splice.joins) for splice in box.splices
        ]
        for end in one.ends:
            assert (end.joint is not None) == (end.ends == "spliced")
            assert len(end.on) == (end.ends == "on device"), (box.id, end)
