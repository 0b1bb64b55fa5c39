"""The plan made on paper (`tests/plans/four_box/by_hand.md`) passes; every corruption of it fails.

The checks never see the solver: the last test runs all of this with `solver` taken away.
"""

import copy
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from models.plan import Plan
from models.plan_file import canonical_json, sha256_text
from models.rules import RULES, check_plan
from models.shop import Shop
from models.shop_edit import changed

HERE = Path(__file__).resolve()
ROOT = HERE.parents[3]
PLAN = json.loads((ROOT / "tests" / "plans" / "four_box" / "plan.json").read_text("utf-8"))
DROP = object()


def edited(data, path, value):
    """A copy with one value changed: `circuits[C2].breaker.amps`; DROP takes the last step away."""
    made = copy.deepcopy(data)
    at, steps = made, re.findall(r"[a-z_0-9]+|\[[^]]+\]", path, re.IGNORECASE)
    for number, step in enumerate(steps):
        key = step
        if step.startswith("["):
            name = step[1:-1]
            at_list = at
            key = (
                int(name)
                if re.fullmatch(r"-?\d+", name)
                else next(
                    i
                    for i, item in enumerate(at_list)
                    if name in (item.get("id"), item.get("key"), item.get("role"))
                )
            )
        if number == len(steps) - 1:
            if value is DROP:
                del at[key]
            else:
                at[key] = value(at[key]) if callable(value) else value
        else:
            at = at[key]
    return made


def double(part):
    return part * 2


# what is wrong -> (edits, rule that must find it)
CORRUPTIONS: dict[str, tuple[list[tuple[str, Any]], str]] = {
    "leg turned around": ([("panels[P].spaces[0].leg", "B")], "panel-spaces"),
    "poles on one leg": ([("circuits[C3].breaker.spaces", [2, 6])], "panel-spaces"),
    "two breakers in one space": ([("panels[P].spaces[2].circuit", "C1")], "panel-spaces"),
    "space outside the panel": ([("circuits[C2].breaker.spaces", [9])], "panel-spaces"),
    "spare space taken": ([("panels[P].spaces[4].reserved_for", None)], "spare-spaces"),
    "a larger bus": ([("panels[P].bus_amps", 200.0)], "panel-as-given"),
    "breaker too large for the wire": (
        [("circuits[C2].breaker.amps", 30.0)],
        "conductor-protection",
    ),
    "breaker too small for the load": ([("circuits[C2].breaker.amps", 10.0)], "breaker-load"),
    "one pole for 240 V": ([("circuits[C3].breaker.poles", 1)], "breaker-kind"),
    "thin hot": ([("circuits[C2].runs[0].conductors[hot].awg", "14")], "conductor-protection"),
    "thin ground": ([("circuits[C2].runs[0].conductors[ground].awg", "14")], "ground-size"),
    "no ground": ([("circuits[C2].runs[0].conductors[ground]", DROP)], "run-make-up"),
    "no neutral": ([("circuits[C2].runs[0].conductors[neutral]", DROP)], "run-make-up"),
    "other wire than its make": ([("circuits[C2].runs[0].make", "NM-B 10-2")], "run-make-up"),
    "hot re-marked wrongly": (
        [("circuits[C3].runs[0].conductors[hot2].marked", None)],
        "conductor-colour",
    ),
    "cooler than it is": ([("circuits[C1].runs[1].ambient_c", 30.0)], "run-conditions"),
    "fewer conductors counted": ([("circuits[C2].runs[0].current_carrying", 1)], "run-conditions"),
    "receptacle on another circuit": ([("outlets[N1.top].circuit", "C1")], "coverage"),
    "receptacle not listed": ([("circuits[C2].outlets", ["N1.top"])], "coverage"),
    "outlet left out": ([("outlets[L1]", DROP)], "references"),
    "machine left out": ([("machines[saw]", DROP)], "references"),
    "machine at another voltage": ([("machines[saw].volts", 120)], "coverage"),
    "machine's amperes": ([("machines[saw].amps_table", 8.0)], "coverage"),
    "machine in a receptacle it does not fit": (
        [("machines[saw].outlet", "N1.top"), ("machines[saw].circuit", "C2")],
        "plug-fit",
    ),
    "receptacle of another kind": ([("outlets[E1].configuration", "5-20R")], "coverage"),
    "false worst amperes": ([("circuits[C2].worst.amps", 8.0)], "worst-state"),
    "false worst state": ([("circuits[C2].worst.state", ["charger"])], "worst-state"),
    "state that cannot be": (
        [("circuits[C2].worst.state", ["charger", "drill-press", "saw"])],
        "worst-state",
    ),
    "false limit": ([("circuits[C2].worst.limit_amps", 25.0)], "worst-state"),
    "false drop": ([("circuits[C2].voltage_drop_percent", 0.1)], "voltage-drop-claim"),
    "false length": ([("circuits[C2].runs[0].length_ft", 8.0)], "run-way"),
    "path that ends elsewhere": (
        [("circuits[C2].runs[0].path[3]", [3.0, 8.0, 3.0])],
        "run-way",
    ),
    "slanting path": ([("circuits[C2].runs[0].path[1]", [1.0, 7.0, 5.0])], "run-way"),
    "path outside the walls": (
        [
            ("circuits[C2].runs[0].path", [[0, 2, 5], [0, 9, 5], [3, 9, 5], [3, 8, 5], [3, 8, 4]]),
            ("circuits[C2].runs[0].length_ft", 12.0),
        ],
        "cable-way",
    ),
    "too little slack": ([("circuits[C2].runs[0].allowance_ft", 0.0)], "run-way"),
    "run from another box": ([("circuits[C1].runs[1].start", "N1")], "tree"),
    "two home runs": ([("circuits[C1].runs[1].start", "P")], "tree"),
    "outlet that no run reaches": ([("circuits[C1].runs[1]", DROP)], "tree"),
    "hot wire to the luminaire": (
        [("circuits[C1].runs[1].conductors[switched].role", "hot")],
        "run-make-up",
    ),
    "luminaire past its switch": (
        [("circuits[C1].runs[1].start", "P")],
        "luminaire-behind-switch",
    ),
    "no GFCI": (
        [("circuits[C2].gfci_at", []), ("outlets[N1.top].protected_by", None)],
        "gfci-scope",
    ),
    "a size that no table has": ([("circuits[C2].breaker.amps", 7.0)], "table-values"),
    "GFCI device that is none": ([("boxes[N1].yokes[0].gfci", False)], "gfci-device"),
    "GFCI breaker that is none": ([("circuits[C3].breaker.gfci", False)], "gfci-device"),
    "false fill": ([("boxes[S1].fill_in3", 10.0)], "box-make-up"),
    "box of another volume": ([("boxes[N1].volume_in3", 30.3)], "box-volume"),
    "box too small": (
        [("boxes[S1].box", "3 x 2 x 2 device"), ("boxes[S1].volume_in3", 10.0)],
        "box-fill",
    ),
    "conductor missing from a box": ([("boxes[S1].conductors[0]", DROP)], "box-make-up"),
    "hot and neutral spliced": (
        [("boxes[S1].splices[0].joins", ["C1.1.hot", "C1.2.neutral"])],
        "splices",
    ),
    "no splice of the neutral": ([("boxes[S1].splices[0]", DROP)], "splices"),
    "a new box called existing": ([("boxes[N1].life", "existing")], "coverage"),
    "a new run called existing": ([("circuits[C2].runs[0].life", "existing")], "coverage"),
    "false leg load": ([("legs[1].b_amps", 12.0)], "leg-claims"),
    "leg row left out": ([("legs[0]", DROP)], "leg-claims"),
    "a larger feeder breaker": ([("feeders[0].breaker_amps", 400.0)], "leg-claims"),
    "a box of no known size": ([("boxes[N1].box", "shoe box")], "table-values"),
    "false feeder demand": ([("feeders[0].demand[0].b_amps", 9.0)], "leg-claims"),
    "false copper": ([("totals.copper_lb", 2.0)], "totals"),
    "false cost": ([("totals.material_cost_usd", 200.0)], "totals"),
    "spaces miscounted": ([("totals.spaces_used", 3)], "totals"),
    "takeoff short of cable": ([("takeoff[NM-B 12-2].quantity", 30.0)], "takeoff"),
    "takeoff without connectors": ([("takeoff[cable connector]", DROP)], "takeoff"),
    "takeoff line miscounted": ([("takeoff[switch].cost_usd", 1.0)], "takeoff"),
    "false value": ([("objective.value", 100.0)], "objective"),
    "bound above the value": (
        [("objective.lower_bound", 300.0), ("objective.gap", 0.0)],
        "objective",
    ),
    "proved without a bound": ([("objective.proved", "global")], "objective"),
    "another shop": ([("source.shop.name", "Another shed")], "source"),
    "another edition": ([("made_by.edition", 2017)], "source"),
    "shop that cannot be read": ([("source.shop.boxes", [])], "source"),
    "an id twice": ([("circuits[C1].id", "C2")], "references"),
    "a switch that switches nothing": ([("switches[0].controls", [])], "coverage"),
    "receptacle circuit with the lights": (
        [("outlets[L1].circuit", "C2"), ("circuits[C2].outlets", ["L1", "N1.bottom", "N1.top"])],
        "lights-apart",
    ),
}  # fmt: skip


# A plan with raceways, boxes of two circuits, existing circuits and two people.
GARAGE = json.loads((ROOT / "tests" / "plans" / "one_bay_garage" / "plan.json").read_text("utf-8"))
GARAGE_CORRUPTIONS: dict[str, tuple[list[tuple[str, Any]], str]] = {
    "raceway smaller than its shop says": ([("raceways[R1].trade_size", "3/4")], "raceway-ledger"),
    "fill that is not": ([("raceways[R1].ledgers[0].fill_percent", 20.0)], "raceway-ledger"),
    "room that is not": ([("raceways[R1].ledgers[0].room_left[0].count", 9)], "raceway-ledger"),
    "fewer conductors counted": (
        [("raceways[R1].ledgers[0].current_carrying", 2)],
        "raceway-ledger",
    ),
    "a run left out of the ledger": (
        [("raceways[R1].ledgers[0].contents[0]", DROP)],
        "raceway-ledger",
    ),
    "a run that skips its raceway": ([("circuits[C1].runs[0].raceways", ["R2"])], "run-in-raceway"),
    "a box passed without a word": ([("circuits[C1].runs[0].via", [])], "run-in-raceway"),
    "an existing breaker changed": (
        [("circuits[X-opener].breaker.amps", 30.0)],
        "existing-circuits",
    ),
    "an existing circuit moved": (
        [
            ("circuits[X-opener].breaker.spaces", [12]),
            ("panels[P].spaces[0].circuit", None),
            ("panels[P].spaces[0].pole", None),
            ("panels[P].spaces[11].circuit", "X-opener"),
            ("panels[P].spaces[11].pole", 1),
            ("panels[P].spaces[11].reserved_for", None),
        ],
        "existing-circuits",
    ),
    "one circuit where two were asked for": (
        [("boxes[W2].yokes[1].circuit", "C4")],
        "wishes",
    ),
    "a box too small for two circuits": (
        [("boxes[E2].box", "4 x 1-1/2 square"), ("boxes[E2].volume_in3", 21.0)],
        "box-fill",
    ),
    "two circuits in one splice": (
        [("boxes[E2].splices", [{"joins": ["C2.1.hot", "C3.1.hot"], "pigtails": []}])],
        "splices",
    ),
    "a splice past the GFCI device": (
        [
            (
                "boxes[W2].splices",
                [{"joins": ["C4.1.hot", "C4.2.hot"], "pigtails": ["W2.left"]}],
            )
        ],
        "gfci-device",
    ),
    "a machine out of reach": (
        [("machines[band-saw].outlet", "W1.bottom"), ("machines[band-saw].circuit", "C4")],
        "cord-reach",
    ),
}


def rules_broken(data):
    findings = check_plan(Plan.model_validate(data))
    return {finding.rule for finding in findings if finding.severity == "violation"}


def test_the_plan_made_on_paper_passes():
    assert rules_broken(PLAN) == set()


# The same plan for a shop that says more: what is added to the shop, and the rule that objects.
OTHER_SHOPS: dict[str, tuple[list[tuple[str, Any]], str]] = {
    "a place to avoid": (
        [("routes", {"avoid": [{"id": "A", "from": ["-1 ft", "4 ft"], "to": ["1 ft", "6 ft"]}]})],
        "cable-way",
    ),
    "a hotter room": (
        [
            (
                "building.areas",
                [{"id": "A", "from": ["0 ft", "0 ft"], "to": ["10 ft", "8 ft"], "ambient": "60 C"}],
            )
        ],
        "run-conditions",
    ),
    "a lower ceiling": (
        [
            (
                "building.areas",
                [{"id": "A", "from": ["0 ft", "0 ft"], "to": ["10 ft", "8 ft"], "ceiling": "7 ft"}],
            )
        ],
        "run-way",
    ),
    "boxes that share no circuit": ([("boxes[L1].not_with", "S1")], "wishes"),
}


@pytest.mark.parametrize("what", OTHER_SHOPS)
def test_a_plan_is_held_to_all_that_its_shop_says(what):
    """Signed again, so that nothing but the new fact is amiss."""
    changes, rule = OTHER_SHOPS[what]
    data = copy.deepcopy(PLAN)
    shop = changed(Shop.model_validate(data["source"]["shop"]), changes).canonical()
    data["source"] = {"shop": shop, "sha256": sha256_text(canonical_json(shop))}
    assert rule in rules_broken(data)


@pytest.mark.parametrize("name", CORRUPTIONS)
def test_each_corruption_is_found(name):
    edits, rule = CORRUPTIONS[name]
    data = PLAN
    for path, value in edits:
        data = edited(data, path, value)
    assert data != PLAN
    assert rule in RULES
    assert rule in rules_broken(data)


def test_the_plan_of_the_garage_passes():
    assert rules_broken(GARAGE) == set()


@pytest.mark.parametrize("name", GARAGE_CORRUPTIONS)
def test_each_corruption_of_the_garage_is_found(name):
    edits, rule = GARAGE_CORRUPTIONS[name]
    data = GARAGE
    for path, value in edits:
        data = edited(data, path, value)
    assert rule in rules_broken(data)


@pytest.mark.parametrize("name", CORRUPTIONS)
def test_findings_say_what_where_and_what_next(name):
    """Every finding has its own key, names its rule and its source, and says something."""
    data = PLAN
    for path, value in CORRUPTIONS[name][0]:
        data = edited(data, path, value)
    findings = check_plan(Plan.model_validate(data))
    keys = [finding.key for finding in findings]
    assert len(keys) == len(set(keys))
    for finding in findings:
        assert finding.rule in RULES
        assert finding.says
        assert finding.source
        assert "complies" not in finding.says


def test_all_of_this_without_the_solver(tmp_path):
    """Only `models` and this file: `solver` is not there to be imported."""
    shutil.copytree(ROOT / "models", tmp_path / "models")
    target = tmp_path / "tests" / "models" / "rules" / HERE.name
    target.parent.mkdir(parents=True)
    shutil.copy(HERE, target)
    shutil.copytree(ROOT / "tests" / "plans", tmp_path / "tests" / "plans")
    (tmp_path / "solver.py").write_text("raise ImportError('the solver is taken away')\n")
    (tmp_path / "pytest.ini").write_text("[pytest]\naddopts = --import-mode=importlib\n")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", str(target), "-p", "no:cacheprovider",
         "-k", "passes or corruption"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
        env={"PYTHONPATH": str(tmp_path), "PATH": ""},
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-2000:]
    count = len(CORRUPTIONS) + len(GARAGE_CORRUPTIONS) + 2
    assert f"{count} passed" in done.stdout
