"""Machines that may come with a plug, as plans have them: places, wishes, days, corruptions.

The shops are invented. Table 310.16 and 240.4(D): 12 AWG carries 20 A; Table 314.16(B)(1): 2.25 in³
each; Table 430.248: 1/4 hp at 115 V is 5.8 A.
"""

import pytest

from models.plan import Plan
from models.price_book import PriceBook
from models.rules import check_plan
from models.rules.later_receptacles import faults_with, receptacle_faults
from models.rules.reading import Reading
from models.shop import Shop
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.coming_runs import ComingRuns
from solver.futures import Futures
from solver.open_places import open_place
from solver.plan import plan_shop
from solver.solve import Control
from tests.demo_shops import SCENARIOS
from tests.plan_files import data_of, plan_on_file
from tests.violations import violated, violations

BOOK = PriceBook.read()


def planer(**more):
    return {
        "volts": "120 V", "marked": "12 A", "plug": "5-15P", "at": ["14 ft", "6 ft"],
        "cord": "12 ft", "likelihood": "90 %", "within": "2 years", **more,
    }  # fmt: skip


def planed(plan_of, *changes, **more):
    return plan_of("two_gangs", ("later.machines[f]", planer(**more)), *changes)


HEAVY = [
    ("machines[M]", {"volts": "120 V", "marked": "15 A", "plug": "5-20P", "plugs_into": "N1.left",
                     "at": ["12 ft", "8 ft"], "cord": "12 ft", "always_on": True}),
    ("machines[N]", {"volts": "120 V", "marked": "15 A", "plug": "5-20P", "plugs_into": "N2.left",
                     "at": ["20 ft", "8 ft"], "cord": "12 ft", "always_on": True}),
    ("later.open_walls", False),
    ("supply.panels[P].spaces", 8),
    ("pins.together", [["N1.left", "N2.right"], ["N1.right", "N2.left"]]),
]  # fmt: skip


def test_a_circuit_holds_it(plan_of):
    """12 A at the nearest of four yokes, alone on 20 A; nothing is bought, nothing expected."""
    plan = planed(plan_of)
    (one,) = plan.later_machines
    assert one.choice == "held"
    assert one.chosen == f"plugged in at {one.held.outlet} on {one.held.circuit} as it is"
    assert one.held.outlet in ("N1.left.top", "N1.right.top")
    assert (one.held.worst.amps, one.held.worst.limit_amps) == (12, 20)
    assert (one.takeoff, one.takeoff_now, one.circuit, one.run) == ((), (), None, None)
    assert one.alternatives[0].expected_usd == 0
    assert len(one.alternatives) == 5
    assert plan.objective.expected_later == 0


def test_what_is_laid_for_it_ends_in_the_box_of_its_receptacle(plan_of):
    """15 A and 12 A are more than 20 A: a run to a yoke that nothing is plugged into.

    Its two conductors of 12 AWG count in the box, 2.25 in³ each, and of all grounds one, edition
    2017 with more than four too: Table 314.16(B)(1), 314.16(B)(5). Each of two devices counts two.
    """
    plan = planed(plan_of, *HEAVY)
    (one,) = plan.later_machines
    assert one.choice == "run"
    assert one.yoke in ("N1.right", "N2.right")
    assert (one.configuration, one.run.end) == ("5-15R", one.box)
    assert [line.key for line in one.takeoff] == ["breaker 15 A 1-pole", "single 5-15R"]
    box = next(box for box in plan.boxes if box.id == one.box)
    wires = [c for run in (*plan.later_runs, *(r for c in plan.circuits for r in c.runs))
             for c in run.conductors if one.box in (run.start, run.end)]  # fmt: skip
    counted = [wire for wire in wires if wire.role != "ground"]
    assert [wire.role for wire in one.run.conductors] == ["spare", "spare", "ground"]
    assert plan.made_by.edition == 2017
    assert box.fill_in3 == 2.25 * (len(counted) + 1 + 2 * 2)


def test_where_nothing_is_laid_a_box_is_set_beside(plan_of):
    plan = planed(plan_of, *HEAVY, likelihood="10 %")
    (one,) = plan.later_machines
    assert (one.choice, one.yoke, one.box) == ("space", None, "N1")
    assert {"box 4 x 1-1/2 square", "trim 1 gang", "single 5-15R", "breaker 15 A 1-pole"} <= {
        line.key for line in one.takeoff
    }
    assert len(one.panel_spaces) == 1


SAW = [
    ("machines[saw]", {"volts": "120 V", "marked": "4 A", "plug": "5-20P", "portable": True,
                       "at": ["12 ft", "9 ft"], "cord": "5 ft"}),
    ("boxes[N1].yokes", ["duplex 5-15R", "duplex 5-20R"]),
    ("machines[M].plug", "5-15P"),
    ("machines[M].marked", "12 A"),
]  # fmt: skip
NEAR_N1 = {"at": ["12 ft", "6 ft"], "cord": "8 ft"}


def of_new_shop(plan, *changes):
    """What is wrong with the receptacle of its first machine in a shop with changes."""
    shop = changed(Shop.model_validate(plan.source.shop), list(changes))
    (one,), (machine,) = plan.later_machines, shop.later.machines
    return list(receptacle_faults(Reading(plan, shop), one, machine))


BAYS = [
    ("building.kind", "garage"),
    ("building.attached", True),
    ("building.openings", [{"id": f"door-{x}", "kind": "overhead door", "wall": "south",
                            "between": [f"{x} ft", f"{x + 8} ft"], "head": "7 ft"}
                           for x in (6, 18)]),
    ("boxes[N1].yokes", ["duplex 5-20R"]),
    ("boxes[N1].two_circuits", False),
    ("machines[M].plugs_into", "N2.right"),
    ("pins.together", [["N1", "N2.left"]]),
]  # fmt: skip
DWELLING = ("building.dwelling", True)


def test_the_only_receptacle_of_a_vehicle_bay_does_not_leave(plan_of):
    """210.52(G)(1): one in each bay, beside those for specific equipment; N2 is in the other."""
    without = planed(plan_of, *HEAVY, *BAYS, **NEAR_N1)
    assert (without.later_machines[0].choice, without.later_machines[0].yoke) == ("run", "N1")
    assert "without N1 the vehicle bay at [10 ft, 0 ft]" in of_new_shop(without, DWELLING)[-1]
    (one,) = planed(plan_of, *HEAVY, *BAYS, DWELLING, **NEAR_N1).later_machines
    assert (one.choice, one.yoke, one.box) == ("space", None, "N1")


def test_the_only_receptacle_of_a_portable_tool_does_not_leave(plan_of):
    """A 5-20P goes into the 5-20R of N1 alone, and N2 is 8 ft off: another place is taken."""
    without = planed(plan_of, *HEAVY, *SAW[1:], **NEAR_N1)
    assert (without.later_machines[0].choice, without.later_machines[0].yoke) == ("run", "N1.right")
    (says,) = of_new_shop(without, SAW[0])
    assert says.startswith("without N1.right saw (4 A) may find no receptacle")
    (one,) = planed(plan_of, *HEAVY, *SAW, **NEAR_N1).later_machines
    assert one.chosen is not None
    assert one.yoke != "N1.right"


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"plug": "6-20P", "volts": "240 V"}, "no receptacle that its plug"),
        ({"at": ["29 ft", "1 ft"], "cord": "3 ft"}, "no receptacle that its plug"),
        ({"at": ["29 ft", "1 ft"], "cord": "3 ft", "plugs_into": "N1.left"}, "there: name"),
        ({"portable": True, "at": None}, "carried about"),
    ],
)
def test_where_nothing_suits_the_plan_says_why(plan_of, more, says):
    given = {key: value for key, value in planer(**more).items() if value is not None}
    plan = plan_of("two_gangs", ("later.machines[f]", given))
    (one,) = plan.later_machines
    assert says in one.why
    assert (one.chosen, one.alternatives, one.held, one.yoke) == (None, (), None, None)
    assert plan.objective.expected_later is None


@pytest.mark.parametrize(
    ("wish", "changes", "choice"),
    [
        ("nothing", [], "held"),
        ("everything", [], "held"),
        ("nothing", HEAVY, "nothing"),
        ("everything", HEAVY, "run"),
    ],
)
def test_what_the_shop_wishes(plan_of, wish, changes, choice):
    plan = planed(plan_of, *changes, ("later.prepare", wish))
    assert plan.later_machines[0].choice == choice


def test_two_machines_to_come_are_not_held_by_one_circuit(plan_of):
    """Each fits beside nothing; a circuit that holds both was not looked at."""
    plan = planed(plan_of, ("later.machines[g]", planer(marked="3 A")))
    held = [one.held.circuit for one in plan.later_machines]
    assert len(set(held)) == 2


def test_what_else_there_is_leaves_the_others_what_is_theirs(plan_of):
    """The yoke where one is plugged in does not leave its circuit for the other; and to keep no
    space costs no less on the day than to keep one.
    """
    here = {"marked": "3 A", "plugs_into": "N1.right", "likelihood": "50 %"}
    plan = planed(plan_of, ("later.machines[g]", planer(**here)), **here)
    one, other = sorted(plan.later_machines, key=lambda one: one.held is None)
    assert one.held is not None
    assert (other.held, other.yoke) == (None, None)
    day = {a.says: a.cost_later_usd for a in other.alternatives}
    assert set(day) == {"nothing now", "a space kept in the panel"}
    assert len(set(day.values())) == 1


def shed(*machines):
    """The half-wired shop with a smaller grinder, to which machines may come beside N2."""
    shop = read_shop(SCENARIOS / "half_wired_metal_shop.yaml")
    changes = [("later.machines[press]", None), ("machines[bench-grinder].motor", "1/4 hp")]
    for number, more in enumerate(machines):
        coming = planer(at=["8 ft", "22 ft"], cord="6 ft", **more)
        changes.append((f"later.machines[u{number}]", coming))
    return plan_shop(changed(shop, changes), BOOK, Control(effort=1), explain=False).plan


def test_an_existing_circuit_holds_it_and_only_one():
    """1/4 hp is 5.8 A, Table 430.248, chargers 3 A, and 1 A: 9.8 A of 20 A."""
    plan = shed({"marked": "1 A"}, {"marked": "1 A"})
    assert violations(plan.findings) == []
    held = [one.held for one in plan.later_machines if one.held]
    assert [(one.circuit, one.worst.amps) for one in held] == [("X-bench", pytest.approx(9.8))]
    (run,) = (r for r in ComingRuns(Futures(plan), BOOK).all() if r.circuit == "X-bench")
    assert run.choices[0].says.startswith("plugged in at")


def test_an_existing_circuit_that_would_be_too_much_holds_none():
    plan = shed({"marked": "12 A"})
    assert [one.held for one in plan.later_machines] == [None]


def test_a_receptacle_that_changes_its_voltage_holds_nothing_else():
    """The other half of a duplex of 120 V, where M1 is to be changed over to 240 V."""
    plan = plan_on_file("two_changeovers")
    coming = ("later.machines[f]", planer(marked="2 A", at=["12 ft", "8 ft"]))
    shop = changed(Shop.model_validate(plan.source.shop), [coming])
    reading, (machine,) = Reading(plan, shop), shop.later.machines
    says = set(faults_with(reading, machine, reading.outlets["N1.left.bottom"]))
    assert "f is plugged in at N1.left too, which changes with M1" in says
    place = open_place(plan, shop, machine)
    assert place is not None
    assert reading.outlets[place.outlet].yoke not in ("N1.left", "N1.right")


def test_the_day_needs_no_space_for_what_a_circuit_holds():
    plan = plan_on_file("plugs_to_come")
    found = {future.comes: future for future in Futures(plan).all()}
    spaces = {comes: future.of("spaces")[0].found for comes, future in found.items()}
    today = spaces[()]
    assert (spaces["h",] - today, spaces["f",] - today, spaces["g",] - today) == (0, 1, 1)


# Corruptions


def at_another(data):
    held = data["later_machines"][0]["held"]
    held["outlet"] = next(o["id"] for o in data["outlets"] if o["circuit"] != held["circuit"])


def with_less(data):
    data["later_machines"][0]["held"]["worst"]["amps"] -= 1


def beside_a_lathe(data):
    """14 A that are always on, at the same circuit: 26 A of 20 A."""
    held = data["later_machines"][0]["held"]
    lathe = next(m for m in data["machines"] if m["id"] == "M")
    other = next(
        o["id"] for o in data["outlets"] if o["circuit"] == lathe["circuit"] and "top" in o["id"]
        and o["id"] != lathe["outlet"]
    )  # fmt: skip
    held["outlet"], held["circuit"] = other, lathe["circuit"]


def in_another_box(data):
    data["later_machines"][0]["box"] = "N2" if data["later_machines"][0]["box"] == "N1" else "N1"


def not_held(data):
    data["later_machines"][0]["held"] = None


def bought(data):
    data["later_machines"][0]["alternatives"][0]["cost_now_usd"] = 5.0
    data["later_machines"][0]["alternatives"][0]["expected_usd"] = 5.0


LATHE = ("machines[M]", {"volts": "120 V", "marked": "14 A", "plug": "5-15P",
                         "plugs_into": "N2.left.top", "at": ["20 ft", "8 ft"], "cord": "12 ft",
                         "always_on": True})  # fmt: skip


@pytest.mark.parametrize(
    "corrupt", [at_another, with_less, beside_a_lathe, in_another_box, not_held, bought]
)
def test_a_corruption_of_what_is_held_is_found(plan_of, corrupt):
    data = data_of(planed(plan_of, LATHE))
    corrupt(data)
    assert wrong(data) & {"later-circuits", "later-machines"}


def wrong(data):
    return violated(check_plan(Plan.model_validate(data)))


def of_another_kind(data):
    data["later_machines"][0]["configuration"] = "5-20R"


def taken(data):
    one = data["later_machines"][0]
    one["yoke"] = one["yoke"].replace("right", "left")


def in_a_small_box(data):
    box = next(box for box in data["boxes"] if box["id"] == data["later_machines"][0]["box"])
    box["volume_in3"] = 20.0


@pytest.mark.parametrize("corrupt", [of_another_kind, taken, in_a_small_box])
def test_a_corruption_of_its_own_receptacle_is_found(plan_of, corrupt):
    data = data_of(planed(plan_of, *HEAVY))
    corrupt(data)
    assert wrong(data) & {"later-machines", "later-circuits"}
