"""The published schemas: what they accept is what is read, as far as single facts go."""

import copy
import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from models.marked_yaml import read_marked
from models.plan_file import canonical_json
from models.schema import DIALECT, plan_schema, shop_schema
from models.shop_file import read_shop

ROOT = Path(__file__).parents[2]
SHOPS = sorted(
    [
        *(ROOT / "tests" / "shops").glob("*.yaml"),
        *(ROOT / "scenarios").rglob("*.yaml"),
        ROOT / "branchwright" / "starter.yaml",
    ]
)
PLANS = sorted((ROOT / "tests" / "plans").glob("*/plan.json"))
SHOP = Draft202012Validator(shop_schema())
PLAN = Draft202012Validator(plan_schema())


def plain(path: Path):
    """A shop file as plain data."""
    return read_marked(path.read_text(encoding="utf-8")).data


def changed(keys, value):
    """The four-box shop with one value changed, or taken out when `value` is `...`."""
    data = copy.deepcopy(plain(ROOT / "tests" / "shops" / "four_box.yaml"))
    inner = data
    for key in keys[:-1]:
        inner = inner[key]
    inner[keys[-1]] = value
    if value is ...:
        del inner[keys[-1]]
    return data


@pytest.mark.parametrize("schema", [shop_schema(), plan_schema()], ids=["shop", "plan"])
def test_each_is_a_schema_with_a_name(schema):
    """Of the 2020-12 dialect, with a name of its own and the format's fixed text."""
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == DIALECT
    file_format = schema["properties"]["format"]["const"]
    assert schema["$id"] == f"urn:{file_format.replace('/', ':')}"
    assert schema["title"]
    assert json.loads(canonical_json(schema)) == schema


@pytest.mark.parametrize("path", SHOPS, ids=lambda path: path.name)
def test_every_shop_file_that_is_read_fits_the_schema(path):
    """As it is written, and in its canonical form."""
    assert [error.message for error in SHOP.iter_errors(plain(path))] == []
    assert [error.message for error in SHOP.iter_errors(read_shop(path).canonical())] == []


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.parent.name)
def test_every_plan_of_the_tests_fits_the_schema(path):
    """Plans written by hand, which are read too."""
    data = json.loads(path.read_text(encoding="utf-8"))
    assert [error.message for error in PLAN.iter_errors(data)] == []
    assert not PLAN.is_valid({**data, "format": "branchwright-plan/2"})


@pytest.mark.parametrize(
    ("keys", "value"),
    [
        (("building", "colour"), "red"),  # a key that is not there
        (("colour",), "red"),
        (("building", "ceiling_ft"), "8 ft"),  # a name of the code, not of the file
        (("building", "ceiling"), 8),  # a bare number
        (("building", "ceiling"), "8"),
        (("building", "ceiling"), ...),  # a key that has to be there
        (("building", "dwelling"), "perhaps"),
        (("building", "dwelling"), 1),
        (("building", "kind"), "shed"),
        (("format",), "branchwright-shop/2"),
        (("boxes", 0, "yokes"), "duplex 5-20R"),
        (("boxes", 0, "id"), "N 1"),
        (("boxes", 3, "ceiling"), ["5 ft"]),
        (("supply", "panels", 0, "spaces"), 7),
        (("supply", "panels", 0, "main"), 60),
        (("supply", "panels", 0, "feeder", "conductors", "hot"), 9),
        (("code", "edition"), 2014),
    ],
)
def test_what_is_refused(keys, value):
    """A file with one such mistake does not fit."""
    assert not SHOP.is_valid(changed(keys, value))


@pytest.mark.parametrize(
    ("keys", "value"),
    [
        (("building", "dwelling"), True),
        (("building", "dwelling"), "no"),
        (("building", "ceiling"), "2.4 m"),
        (("building", "ceiling"), "8'6\""),
        (("building", "ambient", "attic"), "104 °F"),
        (("supply", "panels", 0, "main"), "60 A"),
        (("supply", "panels", 0, "feeder", "conductors", "hot"), 8),
        (("note",), "anything"),
    ],
)
def test_what_is_accepted(keys, value):
    """Other ways to write the same kind of fact."""
    assert [error.message for error in SHOP.iter_errors(changed(keys, value))] == []


def test_defaults_are_given_as_a_file_would_give_them():
    """So that an editor that fills them in writes a file that is read."""
    parts = shop_schema()["$defs"]
    assert parts["Opening"]["properties"]["head"]["default"] == "7 ft"
    assert parts["Building"]["properties"]["attached"]["default"] == "yes"
    assert parts["Machine"]["properties"]["cord"]["default"] == "6 ft"
