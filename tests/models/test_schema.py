"""The published JSON Schemas, asked by a standard validator (python-jsonschema)."""

import json

import jsonschema
import pytest
from ruamel.yaml import YAML

from models.schema import plan_schema, shop_schema


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
        without("code"),
        without("use"),
    ],
)
def test_what_a_schema_can_reject_is_rejected(spoil, four_box):
    spoil(four_box)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(four_box, shop_schema())


def test_committed_plans_are_accepted_and_another_format_is_not(request):
    for path in (request.config.rootpath / "tests" / "plans").glob("*/plan.json"):
        plan = json.loads(path.read_text("utf-8"))
        jsonschema.validate(plan, plan_schema())
        plan["format"] = "branchwright-plan/2"
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(plan, plan_schema())
