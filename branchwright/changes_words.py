"""What changed since an older plan, in words: one sentence for each numbered change."""

from collections.abc import Iterator, Mapping
from typing import Final

from branchwright.measures import length_words
from branchwright.words import clean, wall_words
from models.compare.changes import Aspect, Change, Value

# How an aspect reads: after and before stand where the braces are.
WORDS: Final[Mapping[str, str]] = {
    "id": "was called {before}",
    "spaces": "space {after}, not {before}",
    "breaker": "{after} for {before}",
    "volts": "{after}, not {before}",
    "conductor": "{after} for {before}",
    "guard": "{after}, not {before}",
    "neutral": "{after}, not {before}",
    "panel": "{after}, not {before}",
    "poles": "poles: {after}, not {before}",
    "kind": "a {after} breaker for a {before} one",
    "tie": "handle tie: {after}, not {before}",
    "neutral with": "shares its neutral with {after}, not {before}",
    "feeds": "feeds {after}; was {before}",
    "from": "comes from {after}, not from {before}",
    "way": "takes another way, {after}, was {before}",
    "through": "through {after}, not {before}",
    "pull": "{after} for {before}",
    "conductors": "conductors {after}; were {before}",
    "wall": "on the {after}, not the {before}",
    "place": "moved by {before}",
    "size": "{after} for {before}",
    "device": "{of}: {after} for {before}",
    "circuit": "{of} is on {after}, not {before}",
    "reset": "{of} is reset at {after}, not {before}",
    "machine": "{of} is plugged in at {after}, not {before}",
    "machine volts": "{of} takes {after}, not {before}",
    "switches": "{of} switches {after}, not {before}",
    "bus": "bus {after}, not {before}",
    "main": "main: {after}, not {before}",
    "kept": "{of} is kept for {after}, not {before}",
    "feeder breaker": "{after} for a breaker of {before}",
    "edition": "checked against {after}, not {before}",
}
COMES: Final = {"new": "{of} is new", "gone": "{of} is gone"}
# The same where one side has nothing to say.
NEW: Final = {
    "machine": "{of} is plugged in at {after}",
    "reset": "{of} is reset at {after}, not protected before",
    "kept": "{of} is kept for {after}",
    "tie": "with {after}",
    "wall": "on the {after}, not on the ceiling",
}
GONE: Final = {
    "machine": "{of} is no longer at {before}",
    "reset": "{of} has no ground-fault protection, was reset at {before}",
    "kept": "{of} is no longer kept for {before}",
    "tie": "without {before}",
    "wall": "on the ceiling, not the {before}",
}
KIND_WORDS: Final = {
    "circuit": "circuit", "run": "run", "box": "box", "panel": "panel", "feeder": "feeder",
    "raceway": "raceway", "plan": "the plan as a whole",
}  # fmt: skip
NONE: Final = "none"


def thing_words(change: Change) -> str:
    """The thing itself: "run W1–W2", "circuit C4"."""
    kind = KIND_WORDS[change.kind]
    ends = next((one for one in change.aspects if one.key == "ends"), None)
    if ends is not None:
        return f"{kind} {_value(ends.before)}–{_value(ends.after)}"
    return f"{kind} {clean(change.thing)}".rstrip()


def change_words(change: Change, machines: Mapping[str, str]) -> str:
    """What is otherwise, without the thing's own name; `machines` are their names by id."""
    if change.fate != "changed":
        return {"new": "new", "gone": "gone: take it out of use"}[change.fate]
    return "; ".join(_aspects(change.aspects, machines))


def _aspects(aspects: tuple[Aspect, ...], machines: Mapping[str, str]) -> Iterator[str]:
    for one in aspects:
        if one.key == "ends":
            continue
        if one.key == "place":
            yield f"stands {_moved(one)} from where it was"
            continue
        name = machines.get(one.of or "") if one.key.startswith("machine") else None
        before, after = _value(one.before), _value(one.after)
        if one.key == "wall":
            before, after = wall_words(before), wall_words(after)
        if one.key == "way" and before == after:
            yield f"takes another way of the same {after}"
            continue
        yield _shape(one).format(of=name or clean(one.of or ""), before=before, after=after)


def _shape(one: Aspect) -> str:
    """How it reads, by whether there is something to say of before and of after."""
    if one.key in COMES:
        return COMES[one.key]
    sided = NEW if not one.before else GONE if not one.after else WORDS
    return sided.get(one.key) or WORDS[one.key]


def _moved(one: Aspect) -> str:
    """How far a place is from where it was, straight on."""
    before, after = one.before, one.after
    if not isinstance(before, tuple) or not isinstance(after, tuple):
        return ""
    return length_words(sum((a - b) ** 2 for a, b in zip(before, after, strict=True)) ** 0.5)


def _value(value: Value) -> str:
    if isinstance(value, float):
        return length_words(value)
    return clean(str(value)) if value not in (None, "") else NONE
