"""The starter shop: it loads, every part of it is explained, and it carries the cautions."""

import re
from importlib.resources import files

import pytest

from models.schema import shop_schema
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


def test_every_key_is_in_it():
    """A person who reads the starter has met all that a shop file may say."""
    schema = shop_schema()
    keys = set(schema["properties"])
    for part in schema["$defs"].values():
        keys |= set(part.get("properties", {}))
    assert {key for key in keys if not re.search(rf"\b{key}\b", TEXT)} == set()


@pytest.mark.parametrize("key", ["routes", "existing", "pins"])
def test_the_examples_in_comments_load(key):
    """Without their `# `, they are a shop too."""
    block = re.search(rf"^# {key}:.*?(?=\n\n|\Z)", TEXT, re.MULTILINE | re.DOTALL)
    assert block is not None
    shop = parse_shop(TEXT.replace(block[0], re.sub(r"^# ", "", block[0], flags=re.MULTILINE)))
    assert shop.canonical()[key]


@pytest.mark.parametrize("line", ["tandem_spaces", "raceway", "never_together", "book"])
def test_the_lines_in_comments_load(line):
    """The same for single lines and their indented rest."""
    text, count = re.subn(
        rf"^( *)# ({line}:.*(?:\n\1#   .*)*)",
        lambda found: found[1] + found[2].replace(f"\n{found[1]}# ", f"\n{found[1]}"),
        TEXT,
        flags=re.MULTILINE,
    )
    assert count == 1
    assert parse_shop(text) != parse_shop(TEXT)
