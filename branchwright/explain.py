"""A rule in plain words: what it asks, why, where it comes from, and what to do when it fires."""

import re
from collections.abc import Iterator
from difflib import get_close_matches
from itertools import groupby
from typing import Any, Final

from models.formulas.editions import EDITIONS
from models.rules import RULES
from models.rules.rule import RuleText
from models.rules.why import whys

ALL: Final = "all"
BASIS_WORDS: Final = {
    "code": "law where this code was adopted; local answers may differ",
    "maker": "maker's instruction: label and listing of the equipment",
    "habit": "habit, not law",
    "plan": "claims of the plan, held against its own parts, the shop and the owner's wishes",
}
FROM_MEMORY: Final = "from memory: nobody has held it against the printed text"


def sections(rule: RuleText) -> str:
    """Where a rule stands, by edition where it is law.

    >>> sections(RULES["box-fill"])
    'NEC 314.16(B) (2017, 2020, 2023)'
    >>> sections(RULES["fastened-load"])
    'NEC 210.23(A)(2) (2017, 2020); NEC 210.23(B)(2) (2023)'
    """
    if rule.basis != "code":
        return rule.source
    stands = groupby(EDITIONS, key=rule.source_in)
    return "; ".join(f"{source} ({', '.join(map(str, years))})" for source, years in stands)


def closest(wanted: str) -> list[str]:
    """Rules that may have been meant: with the word in id or title, else with one spelled like it.

    >>> closest("tandem"), closest("box-fil"), closest("tandm")
    (['tandem'], ['box-fill'], ['tandem'])
    """
    said = {name: f"{name} {rule.title}".lower() for name, rule in RULES.items()}
    words = [*said, *sorted({word for text in said.values() for word in re.split(r"\W+", text)})]
    for near in ([wanted.lower()], get_close_matches(wanted.lower(), words, n=1)):
        if found := [name for name, text in said.items() if any(word in text for word in near)]:
            return found
    return []


def rule_words(rule: RuleText) -> Iterator[tuple[str, str]]:
    """What is told of a rule, piece by piece."""
    why = whys()[rule.id]
    yield "asks", rule.says
    yield "why", why.why
    yield "source", sections(rule)
    yield "basis", BASIS_WORDS[rule.basis] + (f"; {FROM_MEMORY}" if rule.rests_on_memory else "")
    yield "if it fires", why.remedy


def rule_document(rule: RuleText) -> dict[str, Any]:
    """A rule as JSON."""
    why = whys()[rule.id]
    return {
        "rule": rule.id,
        "title": rule.title,
        "says": rule.says,
        "why": why.why,
        "remedy": why.remedy,
        "sections": {str(edition): rule.source_in(edition) for edition in EDITIONS},
        "basis": rule.basis,
        "rests_on_memory": rule.rests_on_memory,
    }
