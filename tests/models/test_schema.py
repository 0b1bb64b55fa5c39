"""The published JSON Schemas, asked by a standard validator (python-jsonschema)."""

import json
import random

import jsonschema
import pytest
from pydantic import ValidationError
from ruamel.yaml import YAML

from models.marked_yaml import BrokenYamlError, read_marked
from models.schema import DIALECT, plan_schema, shop_schema
from models.shop import Shop
from models.shop_file import read_shop
from tests.models.broken_facts import BROKEN as BROKEN_FACTS
from tests.models.test_shop_file import BROKEN as BROKEN_VALUES
from tests.models.test_shop_file import edited as edited_file
from tests.solver.test_fuzzed_shops import edited


def shop_files(root):
    found = [*(root / "scenarios").glob("*.yaml"), *(root / "tests" / "shops").glob("*.yaml")]
    return sorted([*found, root / "branchwright" / "starter.yaml"])


def plain(path):
    """A shop file as plain data: YAML 1.2, so that yes and no stay words."""
    return YAML(typ="safe", pure=True).load(path.read_text("utf-8"))


@pytest.fixture
def four_box(request):
    return plain(request.config.rootpath / "tests" / "shops" / "four_box.yaml")


def test_the_schemas_are_valid_schemas():
    for schema in (shop_schema(), plan_schema()):
        jsonschema.Draft202012Validator.check_schema(schema)


def test_every_shop_file_is_accepted(request):
    files = shop_files(request.config.rootpath)
    assert len(files) >= 3
    for path in files:
        jsonschema.validate(plain(path), shop_schema())


def without(key):
    return lambda shop: shop.pop(key)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda shop: shop.update(colour="red"),
        lambda shop: shop["building"].update(ceiling=8),
        lambda shop: shop.update(format="branchwright-shop/2"),
        lambda shop: shop["code"].update(edition=2014),
        lambda shop: shop["boxes"][0].update(id="1 box"),
        lambda shop: shop["boxes"][0].update(yokes=["socket"]),
        lambda shop: shop["supply"].update(panels=[]),
        lambda shop: shop["building"].update(ceiling="8"),
        lambda shop: shop["building"].update(ceiling_ft="8 ft"),
        lambda shop: shop["building"].update(dwelling="perhaps"),
        lambda shop: shop["building"].update(dwelling=1),
        lambda shop: shop["boxes"][3].update(ceiling=["5 ft"]),
        lambda shop: shop["supply"]["panels"][0].update(spaces=7),
        lambda shop: shop["supply"]["panels"][0].update(main=60),
        without("code"),
        without("use"),
    ],
)
def test_what_a_schema_can_reject_is_rejected(spoil, four_box):
    spoil(four_box)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(four_box, shop_schema())


def test_committed_plans_are_accepted_and_another_format_is_not(request):
    paths = list((request.config.rootpath / "tests" / "plans").glob("*/plan.json"))
    assert len(paths) >= 3
    for path in paths:
        plan = json.loads(path.read_text("utf-8"))
        jsonschema.validate(plan, plan_schema())
        plan["format"] = "branchwright-plan/2"
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(plan, plan_schema())


@pytest.mark.parametrize("schema", [shop_schema(), plan_schema()], ids=["shop", "plan"])
def test_each_schema_has_a_name_of_its_own(schema):
    """Of the 2020-12 dialect, named after the format that it describes."""
    assert schema["$schema"] == DIALECT
    file_format = schema["properties"]["format"]["const"]
    assert schema["$id"] == f"urn:{file_format.replace('/', ':')}"
    assert schema["title"]


def test_canonical_shops_are_accepted(request):
    """The form in which a plan carries its shop."""
    for path in shop_files(request.config.rootpath):
        jsonschema.validate(read_shop(path).canonical(), shop_schema())


@pytest.mark.parametrize(
    "change",
    [
        lambda shop: shop["building"].update(dwelling=True),
        lambda shop: shop["building"].update(dwelling="no"),
        lambda shop: shop["building"].update(ceiling="2.4 m"),
        lambda shop: shop["building"].update(ceiling="8'6\""),
        lambda shop: shop["building"]["ambient"].update(attic="104 °F"),
        lambda shop: shop["supply"]["panels"][0].update(main="60 A"),
        lambda shop: shop["supply"]["panels"][0]["feeder"]["conductors"].update(hot=8),
    ],
)
def test_other_ways_to_write_a_fact_are_accepted(change, four_box):
    """What the reader takes, an editor that follows the schema takes too."""
    change(four_box)
    jsonschema.validate(four_box, shop_schema())


def test_defaults_are_given_as_a_file_would_give_them():
    """So that an editor that fills them in writes a file that is read."""
    parts = shop_schema()["$defs"]
    assert parts["Opening"]["properties"]["head"]["default"] == "7 ft"
    assert parts["Building"]["properties"]["attached"]["default"] == "yes"
    assert parts["Machine"]["properties"]["cord"]["default"] == "6 ft"


LIMITS = {"less_than_equal", "less_than", "greater_than_equal", "greater_than"}


def a_schema_can_reject(data):
    """Whether the models refuse a value for what it is.

    Not for two facts that do not fit each other, nor for the amount of a quantity: that is a text.
    """
    try:
        Shop.model_validate(data)
    except ValidationError as error:
        return any(
            detail["type"] != "value_error"
            and not (detail["type"] in LIMITS and isinstance(detail["input"], str))
            for detail in error.errors()
        )
    return False


def test_the_schema_rejects_every_bad_file_that_a_schema_can_reject(request):
    """The broken files of the other tests, and random edits of a good one; and only those."""
    validator = jsonschema.Draft202012Validator(shop_schema())
    root = request.config.rootpath
    texts = [edited_file((old, new.replace("@", ""))) for old, new, _, _ in BROKEN_VALUES]
    good = (root / "tests" / "shops" / "four_box.yaml").read_text("utf-8")
    texts += [good.replace(old, new.replace("@", "")) for old, new, _, _ in BROKEN_FACTS]
    draw = random.Random(5)
    texts += [edited(good, draw) for _ in range(150)]
    rejected = 0
    for text in texts:
        try:
            data = read_marked(text).data
        except BrokenYamlError:
            continue
        if a_schema_can_reject(data):
            assert not validator.is_valid(data), text
            rejected += 1
    assert rejected > 40
