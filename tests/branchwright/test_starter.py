"""The starter shop: it loads, names every key, and its examples in comments load as well."""

import re
from pathlib import Path

import pytest

from models.schema import shop_schema
from models.shop_file import parse_shop, read_shop

STARTER = Path(__file__).parents[2] / "branchwright" / "starter.yaml"
TEXT = STARTER.read_text(encoding="utf-8")


def test_the_starter_shop_loads():
    """It is small: one person, six boxes, one machine of 240 V."""
    shop = read_shop(STARTER)
    assert len(shop.boxes) == 6
    assert [machine.id for machine in shop.machines if machine.volts == 240] == ["saw"]
    assert [day.people for day in shop.use.days if day.binds] == [1]


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


@pytest.mark.parametrize("word", ["complies", "passes code", "is safe"])
def test_the_starter_promises_nothing(word):
    """The authority having jurisdiction decides."""
    assert word not in TEXT
    assert "authority having jurisdiction" in TEXT
