"""The starter shop: it loads, every part of it is explained, and it carries the cautions."""

import re
from importlib.resources import files

import pytest

from branchwright.shop_file_words import shop_file_text
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


def test_every_part_is_in_it():
    """A person who reads the starter has met every part of a shop file."""
    keys = set(shop_schema()["properties"])
    assert {key for key in keys if not re.search(rf"(?m)^(# )?{key}:", TEXT)} == set()


def test_every_key_is_on_the_page_that_it_names(request):
    """`branchwright schema shop --text`, kept under docs."""
    assert "branchwright schema shop --text" in TEXT
    page = (request.config.rootpath / "docs" / "shop_file.md").read_text("utf-8")
    assert page == shop_file_text()
    schema = shop_schema()
    for part in (schema, *schema["$defs"].values()):
        for key in part.get("properties", {}):
            assert re.search(rf"(?m)^\| (\*\*)?{key}(\*\*)? \|", page), key


@pytest.mark.parametrize("key", ["rows", "routes", "existing", "pins"])
def test_the_examples_in_comments_load(key):
    """Without their `# `, they are a shop too."""
    block = re.search(rf"^# {key}:.*?(?=\n\n|\Z)", TEXT, re.MULTILINE | re.DOTALL)
    assert block is not None
    shop = parse_shop(TEXT.replace(block[0], re.sub(r"^# ", "", block[0], flags=re.MULTILINE)))
    assert len(shop.boxes) == 9 if key == "rows" else shop.canonical()[key]


@pytest.mark.parametrize(
    "line",
    ["tandem_spaces", "raceway", "never_together", "book", "partitions", "areas", "changeovers"],
)
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
