"""Plans to show: the hand-made four-box plan, and the same with hostile names or a violation."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from models.plan import Finding, Plan
from tests.plan_files import DRAWN, plan_on_file

HOSTILE = (
    "<script>alert(1)</script>",
    "\"quoted\" & 'single'",
    "🪚 saw 🔥🔥🔥",
    "מסור שולחן",
    "\u202egnihtemos\u202c",
    "red\x1b[31m\x00line\nbreak",
    "[bold]markup[/bold] [/]",
    "]]>--><!--",
    "\ud800 half a pair",
    "very long " * 18,
    "W" * 200,
    "=cmd|' /C calc'!A0",
)


@pytest.fixture(params=DRAWN)
def plan(request) -> Plan:
    """Each of the plans on file with something to draw that no other has."""
    return plan_on_file(request.param)


@pytest.fixture
def garage() -> Plan:
    """The demo shop, planned once by an early version."""
    return plan_on_file("one_bay_garage")


@pytest.fixture
def four_box() -> Plan:
    """Four boxes, three circuits, made on paper."""
    return plan_on_file("four_box")


@pytest.fixture
def violated(four_box) -> Plan:
    """The same plan with one violation and one open question."""
    common = {"edition": 2023, "basis": "code", "source": "NFPA 70-2023 314.16(B)"}
    findings = (
        Finding(key="n", rule="x", severity="not-checked", where="S1", says="Open.", **common),
        Finding(
            key="v", rule="box-fill", severity="violation", where="E1", says="Too full.",
            found=31.5, limit=30.3, unit="in³", fix="take a larger box", **common,
        ),
    )  # fmt: skip
    return four_box.model_copy(update={"findings": findings})


@pytest.fixture
def renamed(four_box) -> Callable[[str], Plan]:
    """The four-box plan with everything that people name called by one hostile name."""

    def rename(name: str) -> Plan:
        data: dict[str, Any] = json.loads(four_box.model_dump_json())
        shop_name = name[:200].encode("utf-8", "replace").decode()  # the shop refuses half pairs
        data["source"]["shop"]["name"] = shop_name
        for machine in data["machines"]:
            machine["name"] = name
        for circuit in data["circuits"]:
            circuit["says"] = name
        data["made_by"]["assumptions"] = [name]
        data["made_by"]["price_book"]["name"] = name
        for line in data["takeoff"]:
            line["item"] = name
        return Plan.model_validate(data)

    return rename
