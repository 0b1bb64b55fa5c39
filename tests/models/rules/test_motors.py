"""Motors on the plan made on paper: a saw alone on C3 (240 V, 20 A), others on C2 (120 V, 20 A)."""

import pytest

from models.rules import motors
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import add_machine, add_outlet, shop_of


def saw(data, **said):
    """Other facts about the saw of 2 hp at 240 V (12 A by table)."""
    of_shop = next(m for m in shop_of(data)["machines"] if m["id"] == "saw")
    of_shop.update(said)
    return of_shop


def told(edit, rule):
    return [(f.where, f.severity, f.found, f.limit) for f in found(motors, edit) if f.rule == rule]


def test_the_plan_made_on_paper_has_nothing_but_the_open_overload():
    assert [(f.rule, f.severity) for f in found(motors, lambda _: None)] == [
        ("motor-overload", "note")
    ]


@pytest.mark.parametrize(("amps", "over"), [(30, False), (35, True)])
def test_a_breaker_above_250_percent(amps, over):
    """12 A x 250 % is 30 A."""

    def larger(data):
        circuit_of(data, "C3")["breaker"]["amps"] = amps

    expected = [("C3", "warning", 35.0, 30.0)] if over else []
    assert told(larger, "motor-breaker") == expected


def test_a_hard_wired_motor_behind_it_is_a_violation():
    def wired(data):
        circuit_of(data, "C3")["breaker"]["amps"] = 35
        machine = saw(data, hard_wired_at="E1", disconnect="in sight")
        del machine["plug"], machine["plugs_into"]
        placed = next(m for m in data["machines"] if m["id"] == "saw")
        placed |= {"outlet": None, "hard_wired_at": "E1"}
        for outlet in data["outlets"]:
            if outlet["id"] == "E1":
                outlet |= {"kind": "hard-wired", "configuration": None}

    assert told(wired, "motor-breaker") == [("C3", "violation", 35.0, 30.0)]
    assert told(wired, "motor-disconnect") == []


@pytest.mark.parametrize(
    ("motor", "said"),
    [("1/6 hp", []), ("1/3 hp", []), ("1/2 hp", [])],
)
def test_motors_beside_others_on_20_a(motor, said):
    """430.53: 1/6 hp by (A); 1/3 hp has 18 A, so 20 A, and 1/2 hp 24.5 A, so 25 A, by (B)."""
    assert told(lambda data: add_machine(data, "fan", "N1.top", motor=motor), "motor-breaker") == (
        said
    )


def test_a_small_motor_beside_others_on_30_a():
    """1/6 hp: 250 % of 4.4 A is 11 A, so 15 A; (A) ends at 20 A."""

    def thirty(data):
        circuit_of(data, "C2")["breaker"]["amps"] = 30
        add_machine(data, "fan", "N1.top", motor="1/6 hp")

    assert told(thirty, "motor-breaker") == [("C2", "warning", 30.0, 15.0)]


def test_a_hard_wired_motor_wants_a_disconnect():
    def wired(data):
        add_outlet(data, "N2", "C2", None)
        add_machine(data, "fan", "N2", motor="1/4 hp")

    assert told(wired, "motor-disconnect") == [("fan", "warning", None, None)]


@pytest.mark.parametrize(
    ("said", "open_ones"),
    [
        ({"motor": "1-1/2 hp"}, 1),
        ({"motor": "1 hp"}, 0),
        ({"motor": "1 hp", "starts_by_itself": "yes"}, 1),
        ({"motor": "1-1/2 hp", "starter": "magnetic"}, 0),
    ],
)
def test_overload_devices_that_are_not_stated(said, open_ones):
    """Above 1 hp, or started by itself; a starter brings one."""

    def one(data):
        saw(data, starter="built in")
        add_machine(data, "fan", "N1.top", **said)

    assert len(told(one, "motor-overload")) == open_ones


@pytest.mark.parametrize(("said", "open_ones"), [({}, 1), ({"starter": "manual"}, 0)])
def test_a_small_hard_wired_motor_wants_an_overload_device(said, open_ones):
    """430.32(D)(1): permanently installed, so by (B), however it is started (a code quiz)."""

    def wired(data):
        saw(data, starter="built in")
        add_outlet(data, "N2", "C2", None)
        add_machine(data, "fan", "N2", motor="1/4 hp", **said)

    assert len(told(wired, "motor-overload")) == open_ones


@pytest.mark.parametrize(
    ("motor", "amps", "likely"), [("2 hp", 72.0, False), ("3 hp", 102.0, True)]
)
def test_a_start_in_the_magnetic_band(motor, amps, likely):
    """Six times 12 A and 17 A against five times 20 A."""
    expected = [("saw", "note", amps, 100.0)] if likely else []
    assert told(lambda data: saw(data, motor=motor), "motor-start") == expected
