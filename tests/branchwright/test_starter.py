"""The starter shop: it loads, every part of it is explained, and it carries the cautions."""

import re
from importlib.resources import files

from models.shop_file import parse_shop

TEXT = files("branchwright").joinpath("starter.yaml").read_text(encoding="utf-8")


def test_it_loads_and_is_small():
    shop = parse_shop(TEXT, "starter.yaml")
    assert 4 <= len(shop.boxes) <= 8
    assert any(machine.volts == 240 for machine in shop.machines)


def test_every_part_is_explained():
    """From one top-level key to the next there is at least one comment."""
    parts = re.split(r"(?m)^(?=[a-z]+:)", TEXT)[1:]
    assert len(parts) >= 9
    for part in parts:
        assert "#" in part, part.splitlines()[0]


def test_it_says_that_it_is_invented_and_who_decides():
    head = TEXT[: TEXT.index("format:")].lower()
    for word in ("invented", "electrician", "inspector", "local code"):
        assert word in head
