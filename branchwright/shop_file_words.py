"""Every key of a shop file, part by part, in a table of words made from the schema."""

from collections.abc import Iterator
from typing import Any, Final

from models.schema import shop_schema

HEAD: Final = """\
# What a shop file can say

Every key, part by part; `branchwright schema shop --text` prints this page. Lengths are written
like `12 ft 6 in`, `12'6"`, `44 in` or `3.8 m`, currents like `20 A`, and so on: a number without
its unit is refused. A key in **bold** must be there.

A planning aid: local code, a licensed electrician and the inspector decide.
"""
ORDER: Final = (
    "building", "routes", "supply", "boxes", "rows", "machines", "use", "later", "prices", "code",
    "existing", "pins",
)  # fmt: skip


def shop_file_text() -> str:
    """The whole page, as Markdown."""
    schema = shop_schema()
    parts = schema["$defs"]
    lines = [HEAD, "## The file\n", *_table(schema, parts)]
    told: set[str] = set()
    for key in ORDER:
        node = schema["properties"][key]
        lines += [f"\n## {key}"]
        for name in _reached(node, parts, told):
            lines += [f"\n### {name}\n", parts[name].get("description", ""), ""]
            lines += _table(parts[name], parts)
    return "\n".join(lines) + "\n"


def _reached(node: Any, parts: dict[str, Any], told: set[str]) -> Iterator[str]:
    """The parts that a node leads to and that were not told yet, each before what is in it."""
    for name in _names(node):
        if name in told:
            continue
        told.add(name)
        yield name
        for inner in parts[name].get("properties", {}).values():
            yield from _reached(inner, parts, told)


def _names(node: Any) -> Iterator[str]:
    """The parts that a node names."""
    if isinstance(node, dict):
        if "$ref" in node:
            yield node["$ref"].rsplit("/", 1)[-1]
        for inner in node.values():
            yield from _names(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from _names(inner)


def _table(part: dict[str, Any], parts: dict[str, Any]) -> Iterator[str]:
    """The keys of one part."""
    yield "| key | value | unset | what it says |"
    yield "| --- | --- | --- | --- |"
    for key, node in part.get("properties", {}).items():
        name = f"**{key}**" if key in part.get("required", ()) else key
        default = node.get("default", "")
        unset = "" if default in ("", None) or isinstance(default, dict | list) else f"`{default}`"
        says = node.get("description", "")
        cells = (name, _value(node, parts), unset, says)
        yield "| " + " | ".join(str(cell).replace("|", "\\|") for cell in cells) + " |"


def _value(node: dict[str, Any], parts: dict[str, Any]) -> str:
    """What may be written for a key."""
    if "$ref" in node:
        name = node["$ref"].rsplit("/", 1)[-1]
        return f"[{name}](#{name.lower()})"
    if "anyOf" in node:
        values = [_value(one, parts) for one in node["anyOf"] if one.get("type") != "null"]
        return " or ".join(dict.fromkeys(values))
    if "enum" in node:
        if True in node["enum"]:
            return "yes, no"
        return ", ".join(f"`{value}`" for value in dict.fromkeys(map(str, node["enum"])))
    if "const" in node:
        return f"`{node['const']}`"
    if "prefixItems" in node:
        return "[" + ", ".join(_value(one, parts) for one in node["prefixItems"]) + "]"
    if node.get("type") == "array":
        return f"list of {_value(node['items'], parts)}" if "items" in node else "list"
    if node.get("type") == "object":
        return f"key: {_value(node.get('additionalProperties', {}), parts)}"
    if examples := node.get("examples"):
        return " or ".join(f"`{example}`" for example in examples)
    kinds = {"string": "text", "integer": "whole number", "number": "number"}
    return kinds.get(str(node.get("type")), "text")
