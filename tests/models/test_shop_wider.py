"""Which shops allow every plan of another: by what each choice leaves open, worked out by hand."""

from pathlib import Path

import pytest

from models.shop_edit import changed
from models.shop_file import read_shop
from models.shop_wider import allows_every_plan_of

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
NOTHING, ALL = ("later.prepare", "nothing"), ("later.prepare", "everything")
ALONE = [("use.days[build-day].binds", False), ("use.days[setup-day].binds", False)]
OPEN_HOUSE = ("use.days[open-house].binds", True)
MULTIWIRE = ("code.multiwire", True)


@pytest.fixture(scope="module")
def shop():
    return read_shop(SCENARIOS / "two_person_instrument_shop.yaml")


@pytest.mark.parametrize(
    ("wider", "narrower", "is_so"),
    [
        ([], [NOTHING], True),
        ([], [ALL], True),
        ([NOTHING], [], False),
        ([NOTHING], [ALL], False),
        ([], [], False),
        (ALONE, [], True),
        ([], [OPEN_HOUSE], True),
        (ALONE, [OPEN_HOUSE, NOTHING], True),
        ([OPEN_HOUSE], ALONE, False),
        ([MULTIWIRE], [], True),
        ([], [MULTIWIRE], False),
        ([("code.tandems", True)], [("code.tandems", False)], True),
        ([("code.multiwire", False)], [NOTHING], False),
        ([], [NOTHING, ("boxes[O1]", None)], False),
        ([("later.spare_spaces", 2)], [], False),
    ],
)
def test_what_is_left_open(shop, wider, narrower, is_so):
    assert allows_every_plan_of(changed(shop, wider), changed(shop, narrower)) is is_so
