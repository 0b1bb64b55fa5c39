"""The plan made on paper (`tests/plans/four_box`), for tests that change its plain data."""

import copy
from collections.abc import Callable, Iterator
from typing import Any, Protocol

from models.plan import Finding, Plan
from models.rules.reading import Reading
from models.shop import Shop
from tests.plan_files import plan_data

PLAN = plan_data("four_box")


class Rule(Protocol):
    """A module that holds a check."""

    def check(self, reading: Reading) -> Iterator[Finding]:
        """Its findings."""


def found(rule: Rule, edit: Callable[[Any], object]) -> list[Finding]:
    """What a rule says of the plan made on paper after an edit of its data."""
    data = copy.deepcopy(PLAN)
    edit(data)
    reading = Reading(Plan.model_validate(data), Shop.model_validate(data["source"]["shop"]))
    return list(rule.check(reading))


def tool(name: str, amps: float, **more: Any) -> dict[str, Any]:
    """A portable tool of 120 V for its shop."""
    return {
        "id": name, "volts": "120 V", "marked": f"{amps} A", "plug": "5-15P",
        "portable": "yes", **more,
    }  # fmt: skip


def run_of(data: Any, run_id: str) -> Any:
    """A run of a plan's data."""
    return next(run for c in data["circuits"] for run in c["runs"] if run["id"] == run_id)


def circuit_of(data: Any, circuit_id: str) -> Any:
    """A circuit of a plan's data."""
    return next(circuit for circuit in data["circuits"] if circuit["id"] == circuit_id)


def lay_in_raceway(data: Any, run_id: str, path: Any, **shop: Any) -> None:
    """Put a run into a raceway R1 of its own along a path, as the shop says more of it."""
    run = run_of(data, run_id)
    given = {"kind": "EMT", "trade_size": "1/2", "ends": [run["start"], run["end"]]} | shop
    data["source"]["shop"]["routes"] = {"raceways": [{"id": "R1", **given}]}
    run |= {"path": path, "method": "raceway", "raceways": ["R1"], "make": "THHN 12 in R1"}
    data["raceways"] = [
        {
            "id": "R1",
            "kind": given["kind"],
            "trade_size": given["trade_size"],
            "start": run["start"],
            "end": run["end"],
            "path": path,
            "length_ft": run["length_ft"],
            "life": "existing" if given.get("existing") else "new",
            "ledgers": [],
        }
    ]
