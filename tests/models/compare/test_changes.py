"""What changed between two plans of a shop: each edit of a plan is told once, at its own thing."""

import pytest

from models.compare.changes import Change, changes
from models.plan import Plan
from tests.plan_files import plan_on_file


@pytest.fixture
def garage() -> Plan:
    return plan_on_file("one_bay_garage")


def edited(plan: Plan, section: str, name: str, **changed) -> Plan:
    """The plan with one thing of a section otherwise."""
    things = tuple(
        one.model_copy(update=changed) if one.id == name else one for one in getattr(plan, section)
    )
    return plan.model_copy(update={section: things})


def run_edited(plan: Plan, name: str, **changed) -> Plan:
    """The plan with one run otherwise."""
    circuits = tuple(
        circuit.model_copy(
            update={
                "runs": tuple(
                    run.model_copy(update=changed) if run.id == name else run
                    for run in circuit.runs
                )
            }
        )
        for circuit in plan.circuits
    )
    return plan.model_copy(update={"circuits": circuits})


def told(found: tuple[Change, ...]) -> list[tuple[str, str, list[str]]]:
    return [(one.kind, one.thing, [aspect.key for aspect in one.aspects]) for one in found]


@pytest.mark.parametrize(
    "name", ["four_box", "one_bay_garage", "every_section", "taken_apart", "two_changeovers"]
)
def test_a_plan_has_no_changes_against_itself(name):
    plan = plan_on_file(name)
    assert changes(plan, plan) == ()


def test_a_larger_breaker_is_its_circuits_change(garage):
    circuit = garage.circuits[5]
    breaker = circuit.breaker.model_copy(update={"amps": 25.0})
    new = edited(garage, "circuits", circuit.id, breaker=breaker)
    (one,) = changes(garage, new)
    assert (one.kind, one.thing, one.circuit, one.fate) == ("circuit", "C4", "C4", "changed")
    (aspect,) = one.aspects
    assert (aspect.before, aspect.after) == ("a 20 A breaker", "a 25 A breaker")
    assert [(mark.kind, mark.id) for mark in one.marked] == [("circuit", "C4")]


def test_another_space_is_told(garage):
    circuit = garage.circuits[0]
    breaker = circuit.breaker.model_copy(update={"spaces": (11,)})
    new = edited(garage, "circuits", circuit.id, breaker=breaker)
    assert told(changes(garage, new)) == [("circuit", circuit.id, ["spaces"])]


def test_another_id_is_one_change_and_no_move(garage):
    """C4 is called C9: its receptacles are where they were."""
    new = edited(garage, "circuits", "C4", id="C9")
    outlets = tuple(
        o.model_copy(update={"circuit": "C9"}) if o.circuit == "C4" else o for o in new.outlets
    )
    found = changes(garage, new.model_copy(update={"outlets": outlets}))
    assert told(found) == [("circuit", "C9", ["id"])]


def test_a_run_by_another_way_or_of_another_make(garage):
    run = garage.circuits[5].runs[0]
    path = (run.path[0], *run.path[2:])
    new = run_edited(garage, run.id, path=path, length_ft=run.length_ft - 2, make="NM-B 10-2")
    assert told(changes(garage, new)) == [("run", run.id, ["ends", "way", "pull"])]


def test_a_run_that_comes_from_elsewhere_is_the_same_run(garage):
    """It ends at the same box; where it begins is what changed."""
    run = garage.circuits[5].runs[1]
    (one,) = changes(garage, run_edited(garage, run.id, start="W3"))
    assert [(a.key, a.before, a.after) for a in one.aspects[1:]] == [("from", run.start, "W3")]


def test_runs_come_and_go(garage):
    circuit = garage.circuits[5]
    short = edited(garage, "circuits", circuit.id, runs=circuit.runs[:-1])
    (gone,) = changes(garage, short)
    (come,) = changes(short, garage)
    assert (gone.fate, gone.thing, gone.marked) == ("gone", circuit.runs[-1].id, ())
    assert (come.fate, come.thing) == ("new", circuit.runs[-1].id)
    assert [(mark.kind, mark.id) for mark in come.marked] == [("run", circuit.runs[-1].id)]


def test_a_run_pulled_now_for_later_comes_and_goes():
    plan = plan_on_file("machines_to_come")
    without = plan.model_copy(update={"later_machines": None})
    assert told(changes(without, plan)) == [("run", "h.1", ["ends"])]
    (gone,) = changes(plan, without)
    assert (gone.thing, gone.fate, gone.circuit) == ("h.1", "gone", None)


def test_a_new_circuit_is_one_number_with_all_its_runs(garage):
    """As if circuit C1 and its box had not been there."""
    less = garage.model_copy(
        update={
            "circuits": tuple(c for c in garage.circuits if c.id != "C1"),
            "outlets": tuple(o for o in garage.outlets if o.circuit != "C1"),
            "boxes": tuple(b for b in garage.boxes if b.id != "E1"),
            "machines": tuple(m for m in garage.machines if m.circuit != "C1"),
        }
    )
    come, gone = changes(less, garage), changes(garage, less)
    assert [(one.kind, one.thing, one.fate) for one in come] == [
        ("circuit", "C1", "new"), ("box", "E1", "new"),
    ]  # fmt: skip
    runs = [run.id for circuit in garage.circuits if circuit.id == "C1" for run in circuit.runs]
    assert [mark.id for mark in come[0].marked] == ["C1", *runs]
    assert [(one.kind, one.thing, one.fate) for one in gone] == [
        ("circuit", "C1", "gone"), ("box", "E1", "gone"),
    ]  # fmt: skip
    assert all(not one.marked for one in gone)


@pytest.mark.parametrize(
    ("changed", "keys"),
    [
        ({"place": (1.0, 24.0, 4.0)}, ["place"]),
        ({"box": "4-11/16 x 2-1/8 square"}, ["size"]),
        ({"wall": "north"}, ["wall"]),
        ({"fill_in3": 1.0}, []),  # a number that follows from the rest
    ],
)
def test_boxes(garage, changed, keys):
    found = changes(garage, edited(garage, "boxes", "W3", **changed))
    assert told(found) == ([("box", "W3", keys)] if keys else [])


def test_a_receptacle_on_another_circuit_is_told_at_its_box(garage):
    outlets = tuple(
        o.model_copy(update={"circuit": "C4"}) if o.box == "W3" else o for o in garage.outlets
    )
    (one,) = changes(garage, garage.model_copy(update={"outlets": outlets}))
    assert (one.kind, one.thing) == ("box", "W3")
    (aspect,) = one.aspects
    assert (aspect.of, aspect.before, aspect.after) == ("W3", "C7", "C4")


def test_a_machine_at_another_receptacle_and_a_new_one(garage):
    new = edited(garage, "machines", "miter-saw", outlet="W3.top")
    (one,) = changes(garage, new)
    (aspect,) = one.aspects
    assert (one.thing, aspect.key, aspect.before, aspect.after) == (
        "W3", "machine", "W1.top", "W3.top",
    )  # fmt: skip
    less = garage.model_copy(
        update={"machines": tuple(m for m in garage.machines if m.id != "miter-saw")}
    )
    (come,), (gone,) = changes(less, garage), changes(garage, less)
    assert (come.thing, come.aspects[0].before, come.aspects[0].after) == ("W1", None, "W1.top")
    assert (gone.thing, gone.aspects[0].before, gone.aspects[0].after) == ("W1", "W1.top", None)


def test_panel_feeder_raceway_edition(garage):
    panel = garage.panels[0]
    new = edited(garage, "panels", panel.id, bus_amps=125.0)
    new = edited(new, "feeders", garage.feeders[0].id, breaker_amps=70.0)
    new = edited(new, "raceways", "R1", trade_size="3/4")
    made_by = garage.made_by.model_copy(update={"edition": 2020})
    found = changes(garage, new.model_copy(update={"made_by": made_by}))
    assert told(found) == [
        ("panel", panel.id, ["bus"]),
        ("feeder", garage.feeders[0].id, ["feeder breaker"]),
        ("raceway", "R1", ["size"]),
        ("plan", "", ["edition"]),
    ]


def test_numbers_go_on_from_one_circuit_by_circuit(garage):
    """Of two quite different plans of the same shop every circuit's changes stand together."""
    other = plan_on_file("four_box")
    for found in (changes(garage, other), changes(other, garage)):
        assert [one.number for one in found] == list(range(1, len(found) + 1))
        circuits = [one.circuit for one in found if one.circuit]
        assert len(dict.fromkeys(circuits)) == sum(
            a != b for a, b in zip(circuits, ["", *circuits[:-1]], strict=True)
        )


def test_conductors_of_a_feeder_in_another_order_are_no_change(garage):
    """Only their sizes and what they are for are told, not the order of the file's keys."""
    feeder = garage.feeders[0]
    turned = dict(reversed(feeder.conductors.items()))
    new = edited(garage, "feeders", feeder.id, conductors=turned)
    assert list(turned) != list(feeder.conductors)
    assert changes(garage, new) == ()
    new = edited(garage, "feeders", feeder.id, conductors={**turned, "ground": "6"})
    (one,) = changes(garage, new)
    (aspect,) = one.aspects
    assert str(aspect.after) == str(aspect.before).replace(
        f"ground {feeder.conductors['ground']}", "ground 6"
    )
    assert aspect.after != aspect.before
