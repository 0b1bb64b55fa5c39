"""In what shops differ, against the changes that made them differ."""

from pathlib import Path

from models.shop_differences import shop_differences
from models.shop_edit import changed
from models.shop_file import read_shop

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"


def test_the_changes_that_were_made_are_the_differences():
    shop = read_shop(SCENARIOS / "one_bay_garage.yaml")
    box = shop.boxes[0].id
    changes = [
        ("code.edition", 2017),
        ("code.multiwire", True),
        (f"boxes[{box}]", None),
        ("use.days[saturday].people", 3),
        ("supply.panels[P].spaces", 42),
    ]
    found = list(shop_differences(shop.canonical(), changed(shop, changes).canonical()))
    assert {one.path: one.after for one in found} == {
        "boxes[" + box + "]": None,
        "code.edition": "2017",
        "code.multiwire": "yes",
        "supply.panels[P].spaces": "42",
        "use.days[saturday].people": "3",
    }


def test_a_shop_does_not_differ_from_itself():
    shop = read_shop(SCENARIOS / "heron_slip.yaml").canonical()
    assert list(shop_differences(shop, shop)) == []
