"""The slow evaluator's own laws against published examples, its faults, and what it may import."""

import ast
from pathlib import Path

import pytest

from tests.slow import slow_ampacity, slow_boxes, slow_loads, slow_raceways
from tests.slow.evaluator import objections
from tests.slow.plans_on_file import book_prices, plan_on_file

HERE = Path(__file__).resolve().parent
EVALUATOR = sorted({*HERE.glob("slow_*.py"), HERE / "evaluator.py"})


# The evaluator's own laws, against published examples and the plan made on paper


def test_ampacity_of_published_examples():
    """Forum: four 12 AWG THHN, 24 A. Trade magazine: nine, 21 A. Insulation page: three 8-2 NM."""
    printed = {count: 30 * slow_ampacity.count_factor(count) for count in (4, 9)}
    assert printed == pytest.approx({4: 24.0, 9: 21.0})
    assert slow_ampacity.ampacity_amps("12", 75, 30.0, 9) == pytest.approx(21.0)
    assert slow_ampacity.ampacity_amps("8", 60, 30.0, 6) == 40.0


def test_a_hot_attic():
    """The design's trap 10: 12 AWG at 120 °F with four to six conductors is 19.7 A."""
    assert slow_ampacity.ampacity_amps("12", 75, 48.9, 6) == pytest.approx(19.68)


def box_on_paper(cables, yokes, *, clamps):
    """A plan of one box with `cables` of 14-2 and a receptacle."""
    wires = [{"role": role, "awg": "14"} for role in ("hot", "neutral", "ground")]
    runs = [
        {"id": f"r{n}", "start": "P", "end": "B", "via": [], "life": "new", "conductors": wires}
        for n in range(cables)
    ]
    box = {
        "id": "B",
        "yokes": [{"device": "duplex", "circuit": "C"}] * yokes,
        "internal_clamps": clamps,
    }
    plan = {"circuits": [{"id": "C", "runs": runs}], "source": {"shop": {"code": {}}}}
    return plan, box


@pytest.mark.parametrize(
    ("cables", "clamps", "edition", "in3"),
    [
        (3, False, 2020, 18.0),  # forum: three 14-2, one duplex, 18 in³ box exactly full
        (3, True, 2017, 20.0),  # the same with clamps inside: two more
        (5, False, 2017, 26.0),  # five grounds count one until 2017: (10 + 2 + 1) x 2.0
        (5, False, 2020, 26.5),  # and a quarter more from 2020, NEC 314.16(B)(5)
    ],
)
def test_box_fill_of_published_examples(cables, clamps, edition, in3):
    plan, box = box_on_paper(cables, 1, clamps=clamps)
    plan["source"]["shop"]["code"]["edition"] = edition
    assert slow_boxes.fill_in3(plan, box) == in3


def test_raceway_counts_of_annex_c():
    """NEC Annex C Table C.1, EMT, THHN: 12 AWG 9 and 16 in 1/2 and 3/4; 10 AWG 5 and 10."""
    empty: dict[str, list[str]] = {"circuits": []}
    for size, counts in {"1/2": {"12": 9, "10": 5}, "3/4": {"12": 16, "10": 10}}.items():
        tube = {"id": "T", "kind": "EMT", "trade_size": size}
        found = {awg: slow_raceways.room_left(empty, tube, awg) for awg in counts}
        assert found == counts


def shop_of(machines, **use):
    """As much of a shop as working states need; machines of 10 A, by how they run."""
    made = [{"id": name, "at": ["1 ft", "1 ft"], **facts} for name, facts in machines.items()]
    return {"machines": made, "use": use, "building": {"zones": []}}


def test_states_by_the_words_of_the_design():
    """A follower of a follower runs too; a group holds back; each person attends one machine."""
    shop = shop_of(
        {"saw": {}, "sander": {}, "collector": {}, "fan": {}, "kiln": {"set_and_leave": "yes"}},
        followers=[
            {"machine": "collector", "follows": ["saw"]},
            {"machine": "fan", "follows": "collector"},
        ],
        never_together=[{"machines": ["fan", "kiln"]}],
    )
    loads = {"saw": 10, "sander": 9, "fan": 5, "kiln": 4}
    one, two = {"id": "d", "people": 1}, {"id": "d", "people": 2}
    assert slow_loads.greatest(shop, loads, one) == 10 + 5
    assert slow_loads.greatest(shop, loads, two) == 10 + 9 + 5
    assert slow_loads.greatest(shop, {"sander": 9, "kiln": 4}, two) == 13
    assert slow_loads.greatest(shop, {"kiln": 7, "fan": 5}, two) == 7
    assert slow_loads.is_allowed(shop, {"saw", "collector", "fan"}, one)
    for state in ({"saw"}, {"fan"}, {"saw", "collector"}, {"lathe"}):
        assert not slow_loads.is_allowed(shop, state, two)


def test_people_who_keep_to_a_place():
    shop = shop_of({"saw": {}, "sander": {}, "wheel": {"at": ["9 ft", "1 ft"]}})
    shop["building"]["zones"] = [
        {"id": "west", "from": ["0 ft", "0 ft"], "to": ["5 ft", "5 ft"]},
        {"id": "east", "from": ["5 ft", "0 ft"], "to": ["10 ft", "5 ft"]},
    ]
    loads = {"saw": 10, "sander": 9, "wheel": 1}
    assert slow_loads.greatest(shop, loads, {"people": 2}) == 19
    assert slow_loads.greatest(shop, loads, {"people": {"west": 1, "east": 1}}) == 11
    assert slow_loads.greatest(shop, loads, {"people": {"west": 0, "east": 2}}) == 1


# Faults it must find


def put(*steps_and_value):
    """An edit: the value that the last step of a way through the plan leads to is replaced."""
    *steps, value = steps_and_value

    def edit(plan):
        at = plan
        for step in steps[:-1]:
            at = next(x for x in at if step in (x.get("id"), x.get("key"))) if isinstance(
                step, str) and isinstance(at, list) else at[step]  # fmt: skip
        at[steps[-1]] = value(at[steps[-1]]) if callable(value) else value

    return edit


C4, CABLE = ("circuits", "C4"), ("circuits", "C4", "runs", 0)
TUBE, LEDGER = ("circuits", "C1", "runs", 0), ("raceways", "R1", "ledgers", 0)

CORRUPTIONS = {
    "state that cannot be": ("state", put(*C4, "worst", "state", ["band-saw", "miter-saw"])),
    "followers left out": ("state", put(*C4, "worst", "state", ["miter-saw", "chargers"])),
    "a day that nobody named": ("state", put(*C4, "worst", "day", "sunday")),
    "state of the feeder": ("state", put("feeders", 0, "demand", 0, "state", ["band-saw"])),
    "less load": ("load", put(*C4, "worst", "amps", 17.0)),
    "no load named": ("load", put(*C4, "worst", None)),
    "lighter state": ("load", put(*C4, "worst", "state", ["chargers"])),
    "larger limit": ("limit", put(*C4, "worst", "limit_amps", 25.0)),
    "limited by something else": (
        "limit",
        put("circuits", "C1", "worst", "limited_by", "ampacity"),
    ),
    "a breaker below the load": ("overload", put(*C4, "breaker", "amps", 10.0)),
    "thin hot": ("limit", put(*CABLE, "conductors", 0, "awg", "14")),
    "less drop": ("drop", put(*C4, "voltage_drop_percent", 0.5)),
    "slanting path": ("way", put(*CABLE, "path", 1, [1.0, 2.0, 3.0])),
    "path that ends elsewhere": ("way", put(*CABLE, "path", -1, 2, 3.0)),
    "raceway from elsewhere": ("way", put("raceways", "R1", "path", 0, 2, 3.0)),
    "run past its raceway": ("way", put(*TUBE, "raceways", ["R1"])),
    "shorter run": ("length", put(*CABLE, "length_ft", lambda feet: feet - 0.02)),
    "shorter raceway": ("length", put("raceways", "R1", "length_ft", lambda feet: feet - 0.02)),
    "no slack": ("allowance", put(*CABLE, "allowance_ft", 1.0)),
    "cooler run": ("heat", put("circuits", "C5", "runs", 1, "ambient_c", 30.0)),
    "less company": ("carrying", put(*TUBE, "current_carrying", 3)),
    "lighter leg": ("leg", put("legs", 0, "a_amps", lambda amps: amps - 1)),
    "leg left out": ("leg", put("legs", lambda legs: [c for c in legs if c["day"] != "weekday"])),
    "lighter feeder": ("feeder", put("feeders", 0, "demand", 1, "b_amps", 1.0)),
    "box elsewhere": ("place", put("boxes", "E1", "place", 1, 9.0)),
    "box of nobody": ("place", put("boxes", "E1", "id", "E9")),
    "conductor not listed": ("contents", put("boxes", "E2", "conductors", lambda all: all[1:])),
    "run not in the ledger": ("contents", put(*LEDGER, "contents", lambda all: all[1:])),
    "less fill": ("fill", put("boxes", "E2", "fill_in3", 22.5)),
    "clamps inside": ("fill", put("boxes", "E2", "internal_clamps", True)),
    "larger volume": ("volume", put("boxes", "E2", "volume_in3", 42.0)),
    "smaller box": ("too full", put("boxes", "E2", "box", "4 x 1-1/2 square")),
    "smaller raceway": ("too full", put("raceways", "R1", "kind", "PVC-80")),
    "raceway fill": ("ledger", put(*LEDGER, "fill_percent", 38.0)),
    "raceway limit": ("ledger", put(*LEDGER, "limit_percent", 53.0)),
    "raceway count": ("ledger", put(*LEDGER, "current_carrying", 3)),
    "raceway adjustment": ("ledger", put(*LEDGER, "adjustment", 1.0)),
    "room for more": ("room left", put(*LEDGER, "room_left", 1, "count", 1)),
    "less cable": ("total", put("totals", "cable_ft", 170.0)),
    "less conductor": ("total", put("totals", "conductor_ft", 700.0)),
    "less copper": ("total", put("totals", "copper_lb", 13.0)),
    "fewer circuits": ("total", put("totals", "circuits", 8)),
    "fewer spaces": ("total", put("totals", "spaces_used", 9)),
    "less cost": ("total", put("totals", "material_cost_usd", 570.0)),
    "less to minimize": ("total", put("objective", "value", 570.0)),
    "fewer connectors": ("takeoff", put("takeoff", "cable connector", "quantity", 16.0)),
    "a part too few": ("takeoff", put("takeoff", lambda lines: lines[1:])),
    "a part too many": ("takeoff", put("takeoff", "switch", "key", "dimmer")),
    "a part twice": ("takeoff", put("takeoff", lambda lines: [lines[0], *lines])),
    "cheaper line": ("cost", put("takeoff", "NM-B 12-2", "cost_usd", 1.0)),
    "cheaper than the book": ("cost", put("takeoff", "switch", "unit_price_usd", 2.49)),
}


LATER = {
    "a receptacle that is taken": (
        "held",
        "plugs_to_come",
        put("later_machines", 2, "held", "outlet", "N1.left.top"),
    ),
    "a raceway that is full then": (
        "too full then",
        "room_kept",
        put("raceways", "T", "trade_size", "1/2"),
    ),
}


@pytest.mark.parametrize("name", LATER)
def test_a_fault_of_what_is_to_come_is_told(name):
    """One claim of a plan with machines that may come."""
    kind, of, edit = LATER[name]
    plan = plan_on_file(of)
    edit(plan)
    assert kind in {told for told, _, _ in objections(plan, book_prices())}


@pytest.mark.parametrize("name", CORRUPTIONS)
def test_a_fault_is_told(name):
    """One claim of the garage's plan on file is made false; the evaluator says so, by its kind."""
    kind, edit = CORRUPTIONS[name]
    plan = plan_on_file("one_bay_garage")
    edit(plan)
    assert kind in {told for told, _, _ in objections(plan, book_prices())}


def test_each_kind_of_objection_has_its_fault():
    """Kinds as the evaluator's text has them: the first word of everything it yields."""
    tree = ast.parse((HERE / "evaluator.py").read_text("utf-8"))
    tuples = [node.value for node in ast.walk(tree) if isinstance(node, ast.Yield)]
    kinds = {ast.literal_eval(made.elts[0]) for made in tuples if isinstance(made, ast.Tuple)}
    faults = (*CORRUPTIONS.values(), *LATER.values())
    assert kinds == {kind for kind, *_ in faults}


def test_the_plan_of_every_section_is_no_plan_to_build():
    """Its parts show the plan file and do not fit each other: a spare, a removed run, a raceway."""
    told = objections(plan_on_file("every_section"))
    assert {("takeoff", "NM-B 12-3"), ("fill", "S1"), ("contents", "R1"), ("place", "J1")} <= {
        (kind, what) for kind, what, _ in told
    }


# Nothing of the program is used


@pytest.mark.parametrize("path", EVALUATOR, ids=lambda path: path.stem)
def test_the_evaluator_imports_nothing_of_the_program(path):
    named: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            named.update(alias.name for alias in node.names)
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0
            module = str(node.module)
            named.add(module)
            named.update(f"{module}.{alias.name}" for alias in node.names)
    ours = {name for name in named if name.split(".")[0] in ("models", "solver", "branchwright")}
    assert {name for name in ours if not f"{name}.".startswith("models.tables.")} == set()
    others = {name for name in named if name.startswith("tests.")}
    allowed = ("tests.slow.slow_", "tests.slow.evaluator.")
    assert {name for name in others if not f"{name}.".startswith(allowed)} <= {"tests.slow"}


def test_all_modules_of_the_evaluator_are_looked_at():
    names = {"evaluator", "slow_ampacity", "slow_boxes", "slow_drops", "slow_facts",
             "slow_lengths", "slow_loads", "slow_raceways"}  # fmt: skip
    assert {path.stem for path in EVALUATOR} == names
