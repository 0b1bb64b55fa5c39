"""In what two shops differ: paths as `shop_edit` takes them, both values as a file has them."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from models.plan.part import Part


class ShopDifference(Part):
    """One key that two shops say differently; null: one of them leaves it out."""

    path: str
    before: str | None
    after: str | None


def shop_differences(
    before: Mapping[str, Any], after: Mapping[str, Any], path: str = ""
) -> Iterator[ShopDifference]:
    """Every difference of two shops in canonical order; a thing that comes or goes is one."""
    for key in sorted({*before, *after}):
        here, was, now = f"{path}{key}", before.get(key), after.get(key)
        if was == now:
            continue
        if isinstance(was, Mapping) and isinstance(now, Mapping):
            yield from shop_differences(was, now, f"{here}.")
        elif _are_things(was) or _are_things(now):
            yield from _things(here, was or (), now or ())
        else:
            yield ShopDifference(path=here, before=as_written(was), after=as_written(now))


def _are_things(value: Any) -> bool:
    """Whether a value is a list of things with ids."""
    return bool(isinstance(value, Sequence) and value and isinstance(value[0], Mapping)) and all(
        "id" in one for one in value
    )


def _things(path: str, was: Sequence[Any], now: Sequence[Any]) -> Iterator[ShopDifference]:
    before, after = ({one["id"]: one for one in things} for things in (was, now))
    for name in sorted({*before, *after}):
        here, old, new = f"{path}[{name}]", before.get(name), after.get(name)
        if old is not None and new is not None:
            yield from shop_differences(old, new, f"{here}.")
        elif old != new:
            yield ShopDifference(path=here, before=as_written(old), after=as_written(new))


def as_written(value: Any) -> str | None:
    """A value as a shop file has it.

    >>> as_written(["duplex 5-20R", "switch"]), as_written(True), as_written({"id": "N1", "x": 2})
    ('[duplex 5-20R, switch]', 'yes', '{id: N1, x: 2}')
    """
    if value is None or isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {as_written(one)}" for key, one in value.items()) + "}"
    if isinstance(value, Sequence):
        return "[" + ", ".join(as_written(one) or "" for one in value) + "]"
    return str(value)
