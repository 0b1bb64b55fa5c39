"""What is wrong with one value of a shop file, as a sentence: value found, limit, next step.

The words come from the published schema of the shop file, so that a message, the schema and the
models cannot disagree.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, Final

from pydantic_core import ErrorDetails

from models.schema import shop_schema
from models.shop_problem import Path, closest

LONGEST_VALUE: Final = 60
LONGEST_SENTENCE: Final = 400
NEEDED: Final[Mapping[str, str]] = {
    "string_type": "a text",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
    "tuple_type": "a list",
    "model_type": "keys with values",
    "model_attributes_type": "keys with values",
}
LIMITS: Final[Mapping[str, tuple[str, str]]] = {
    "greater_than": ("gt", "must be more than"),
    "greater_than_equal": ("ge", "must be at least"),
    "less_than": ("lt", "must be less than"),
    "less_than_equal": ("le", "must be at most"),
    "multiple_of": ("multiple_of", "must be a multiple of"),
}
LENGTHS: Final = ("too_short", "too_long", "string_too_short", "string_too_long")

Schema = Mapping[str, Any]


@cache
def _schema() -> dict[str, Any]:
    return shop_schema()


def _choices(node: Schema) -> Iterator[Schema]:
    """A schema without its references: each of the things that it allows."""
    if "$ref" in node:
        yield from _choices(_schema()["$defs"][node["$ref"].rsplit("/", 1)[-1]])
    elif "anyOf" in node:
        for choice in node["anyOf"]:
            yield from _choices(choice)
    else:
        yield node


def _below(node: Schema, step: str | int) -> Iterator[Schema]:
    for choice in _choices(node):
        if isinstance(step, str) and step in choice.get("properties", {}):
            yield choice["properties"][step]
        elif isinstance(step, int) and "items" in choice:
            yield choice["items"]
        elif isinstance(step, int) and step < len(choice.get("prefixItems", ())):
            yield choice["prefixItems"][step]


def schemas_at(path: Path) -> list[Schema]:
    """What the shop's schema allows at a place; nothing for a place that it does not know."""
    nodes: list[Schema] = [_schema()]
    for step in path:
        nodes = [below for node in nodes for below in _below(node, step)]
    return [choice for node in nodes for choice in _choices(node)]


def _first(path: Path, word: str) -> Any:
    """The first value of one word of the schema at a place, such as its examples."""
    return next((schema[word] for schema in schemas_at(path) if word in schema), None)


def shown(value: object) -> str:
    """A value as the file gives it, cut when it is long."""
    if isinstance(value, dict | list):
        return "a list" if isinstance(value, list) else "a group of keys"
    text = "nothing" if value is None else repr(value)
    return text if len(text) <= LONGEST_VALUE else f"{text[:LONGEST_VALUE]}…"


def _missing(path: Path) -> str:
    """A key that has to be there, with an example of what to write."""
    key, examples, choices = path[-1], _first(path, "examples"), _first(path, "enum")
    if isinstance(key, int):
        return f"is missing: write at least {key + 1} entries in this list"
    if examples:
        return f"is missing: add it, like `{key}: {examples[0]}`"
    if choices:
        names = ", ".join(dict.fromkeys(str(choice) for choice in choices))
        return f"is missing: add `{key}:` with one of {names}"
    return f"is missing: add `{key}:`"


def _unknown_key(path: Path) -> str:
    """A key that is not known here, with those that are."""
    known = [key for schema in schemas_at(path[:-1]) for key in schema.get("properties", ())]
    return f"is no key here; {closest(str(path[-1]), known)}"


def _limit(path: Path, kind: str, context: Mapping[str, Any], found: object) -> str:
    """A number or quantity beyond its limit."""
    name, must = LIMITS[kind]
    unit, limit = _first(path, "unit"), context[name]
    if isinstance(found, str) and found.rstrip().endswith("%"):  # read as a part of a whole
        unit, limit = "%", 100 * limit
    return f"{shown(found)} {must} {limit:g}{f' {unit}' if unit else ''}: correct the value"


def _length(context: Mapping[str, Any], found: object) -> str:
    """A list or text with too few or too many parts."""
    least, most = context.get("min_length"), context.get("max_length")
    one, many = ("character", "characters") if isinstance(found, str) else ("entry", "entries")
    count = len(found) if isinstance(found, Sequence) else 0
    limit = f"at least {least}" if least is not None else f"at most {most}"
    return f"has {count} {one if count == 1 else many}: write {limit}"


def _pattern(path: Path, found: object) -> str:
    """A text that has not the form asked for."""
    if examples := _first(path, "examples"):
        return f"{shown(found)} is not understood: write it like {', '.join(map(repr, examples))}"
    form = _first(path, "description")
    return f"{shown(found)} is no id: {str(form)[:1].lower()}{str(form)[1:]}"


def sentence(error: ErrorDetails, path: Path, found: object) -> str:
    """One error of the models as a plain sentence; `found` is the value in the file."""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "missing" or (found is None and kind != "extra_forbidden" and path):
        says = _missing(path)
    elif kind == "extra_forbidden":
        says = _unknown_key(path)
    elif kind == "literal_error":
        says = f"{shown(found)} is not {context['expected']}: write it so"
        if " or " in context["expected"]:
            says = f"{shown(found)} is not one of {context['expected']}: write one of these"
    elif kind == "value_error":
        says = str(context["error"])
    elif kind == "string_pattern_mismatch":
        says = _pattern(path, found)
    elif kind in LIMITS:
        says = _limit(path, kind, context, found)
    elif kind in LENGTHS:
        says = _length(context, found)
    elif kind == "string_type" and _first(path, "pattern"):
        says = _pattern(path, found)
    elif kind == "string_type" and isinstance(found, int | float | bool):
        says = f"{shown(found)} is read as a number or a yes: put it in quotes"
    else:
        says = f"{shown(found)} is found where {NEEDED.get(kind, 'another value')} is needed"
    return says if len(says) <= LONGEST_SENTENCE else f"{says[:LONGEST_SENTENCE]}…"
