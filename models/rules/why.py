"""Why each rule exists, and what to do when it fires: plain words for people, by rule.

The words stand in `why.csv`, one row for each registered rule. No check reads them.
"""

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import NamedTuple


class Why(NamedTuple):
    """What goes wrong without a rule, and what mends it."""

    why: str
    remedy: str


@cache
def whys() -> Mapping[str, Why]:
    """The words of every rule.

    >>> whys()["box-volume"].remedy
    'Use the printed volume of that size, or the one marked in the box.'
    """
    text = files(__package__).joinpath("why.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines(), strict=True)
    return MappingProxyType({row["rule"]: Why(row["why"], row["remedy"]) for row in rows})
