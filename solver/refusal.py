"""Refusals: why a set of items cannot be one circuit."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Reason = Literal[
    "mixed voltages",
    "lights apart",
    "apart",
    "too many receptacles",
    "no rating",
    "motor breaker",
    "nameplate breaker",
    "not alone",
    "overloaded",
    "cord load",
    "fastened load",
    "receptacle horsepower",
    "no place for machine",
    "no way",
    "pull box",
    "conductor",
    "voltage drop",
    "no price",
    "not planned",
    "pin",
    "unprepared",
]


@dataclass(frozen=True)
class Refusal:
    """Why a set of items cannot be one circuit, with the facts to say it in words.

    `final`: no larger set can be one either, whatever else is in it.
    """

    reason: Reason
    facts: Mapping[str, object] = field(default_factory=dict)
    final: bool = False
