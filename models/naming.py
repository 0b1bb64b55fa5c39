"""What people call things in sentences: machines by name, days, ids in the order people count."""

import re
from collections import Counter
from collections.abc import Iterable
from typing import Protocol


class Named(Protocol):
    """A machine of a shop or of a plan."""

    @property
    def id(self) -> str:
        """What commands and files call it."""

    @property
    def name(self) -> str:
        """What people call it; may be empty."""


def called(machines: Iterable[Named]) -> dict[str, str]:
    """What to call each machine, by id: its name, with its id when two share a name.

    >>> from collections import namedtuple
    >>> machine = namedtuple("machine", "id name")
    >>> called([machine("saw", "table saw"), machine("k1", "kiln"), machine("k2", "kiln")])
    {'saw': 'table saw', 'k1': 'kiln (k1)', 'k2': 'kiln (k2)'}
    >>> called([machine("saw", "")])
    {'saw': 'saw'}
    """
    names = {machine.id: machine.name.strip() or machine.id for machine in machines}
    seen = Counter(names.values())
    return {key: name if seen[name] == 1 else f"{name} ({key})" for key, name in names.items()}


def on_day(day: str) -> str:
    """When, by the id of a day.

    >>> on_day("saturday"), on_day("build-day"), on_day("helper")
    ('on saturday', 'on build-day', 'on day helper')
    """
    return f"on {day}" if day.lower().endswith("day") else f"on day {day}"


def natural(name: str) -> list[tuple[int, str]]:
    """A key that sorts names as people count.

    >>> sorted(["C10", "C2", "X-light"], key=natural)
    ['C2', 'C10', 'X-light']
    """
    return [
        (int(part), "") if part.isdecimal() else (0, part)
        for part in re.split(r"(\d+)", name)
        if part
    ]
