"""JSON Schemas (draft 2020-12) of the shop file, of `plan.json` and of what commands answer.

The shop's schema describes the file as people write it: its keys, quantities as texts with a unit,
yes and no as words or as true and false. What two facts say together is not in a schema.
"""

from typing import Any, Final

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import SchemaSerializer, core_schema

from models.changeover_day import DAY_FORMAT, ChangeoverDocument
from models.compare import COMPARE_FORMAT, Comparison
from models.plan import PLAN_FORMAT, Plan
from models.shop import SHOP_FORMAT, Shop

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


class _AsWritten(GenerateJsonSchema):
    """Defaults as a file would give them: `7 ft`, not 7.0; `no`, not false."""

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        """The schema of a key that may be left out."""
        found = super().default_schema(schema)
        if found.get("default", ...) is None:
            del found["default"]
        elif isinstance(found.get("default"), bool | float):
            found["default"] = SchemaSerializer(schema).to_python(schema["default"], mode="json")
        return found


def _urn(file_format: str) -> str:
    """The name of a schema: the format of the file that it describes."""
    return f"urn:{file_format.replace('/', ':')}"


def _with_head(schema: dict[str, Any], file_format: str, title: str) -> dict[str, Any]:
    """Dialect, name and title in front of a schema."""
    return {"$schema": DIALECT, "$id": _urn(file_format), **schema, "title": title}


def shop_schema() -> dict[str, Any]:
    """The schema of a shop file."""
    schema = Shop.model_json_schema(by_alias=True, schema_generator=_AsWritten)
    return _with_head(schema, SHOP_FORMAT, "A shop file of branchwright")


def plan_schema() -> dict[str, Any]:
    """The schema of `plan.json`; keys that it does not name are allowed."""
    return _with_head(Plan.model_json_schema(), PLAN_FORMAT, "A plan of branchwright")


def changeover_schema() -> dict[str, Any]:
    """The schema of what `changeover --json` answers."""
    schema = ChangeoverDocument.model_json_schema(mode="serialization")
    return _with_head(schema, DAY_FORMAT, "A changeover day of branchwright")


def compare_schema() -> dict[str, Any]:
    """The schema of what `compare --json` answers."""
    schema = Comparison.model_json_schema(mode="serialization")
    return _with_head(schema, COMPARE_FORMAT, "A comparison of branchwright")
