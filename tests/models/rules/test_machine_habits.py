"""Habits about machines, on the four-box shed: common practice, no source.

The saw (2 hp, 240 V, 12 A) is alone on C3; the drill press (8 A) and the charger (3 A, always on)
share N1 on C2.
"""

import pytest

from models.rules import machine_habits
from tests.models.rules.four_box import found
from tests.models.rules.shed import add_light, add_machine, add_outlet, outlet_of, shop_of


def told(edit):
    return [(f.rule, f.severity, f.where) for f in found(machine_habits, edit)]


def says(edit, rule):
    return [f.says for f in found(machine_habits, edit) if f.rule == rule]


def machine_of(data, name):
    return next(m for m in shop_of(data)["machines"] if m["id"] == name)


def test_the_shed_as_it_is():
    assert told(lambda data: None) == []


# A compressor alone


def compressor(data, circuit="C2"):
    add_outlet(data, "N9", circuit)
    add_machine(data, "air", "N9", kind="compressor", starts_by_itself="yes", marked="12 A")


def test_a_compressor_with_others():
    assert told(compressor) == [("compressor-alone", "warning", "air")]
    assert says(compressor, "compressor-alone") == [
        "air shares C2 with battery charger, drill press"
    ]


def test_a_compressor_with_a_free_receptacle():
    def edit(data):
        compressor(data, "C1")
        data["outlets"] = [o for o in data["outlets"] if o["id"] != "L1"]
        add_outlet(data, "N8", "C1", wall="north", x="7 ft")

    assert says(edit, "compressor-alone") == ["air shares C1 with N8"]


def test_a_compressor_alone():
    def edit(data):
        compressor(data, "C1")
        data["outlets"] = [o for o in data["outlets"] if o["id"] != "L1"]

    assert told(edit) == []


# Critical machines


def freezer(data):
    machine_of(data, "charger")["critical"] = "yes"


def protect(data, place, *names):
    for name in names:
        outlet_of(data, name)["protected_by"] = place


def test_a_critical_machine_behind_a_gfci_of_its_own():
    """Its own duplex holds the device; nothing else hangs on C2."""
    assert told(freezer) == []


@pytest.mark.parametrize("place", ["N1", "breaker"])
def test_a_critical_machine_that_others_trip(place):
    def edit(data):
        freezer(data)
        add_outlet(data, "N9")
        protect(data, place, "N9", "N1.top", "N1.bottom")

    assert told(edit) == [("critical-machine", "warning", "charger")]
    assert "anything at N9" in says(edit, "critical-machine")[0]


def test_without_a_gfci_or_with_lights_only_nobody_trips_it():
    def unprotected(data):
        freezer(data)
        add_outlet(data, "N9")
        protect(data, None, "N9", "N1.top", "N1.bottom")

    def lights(data):
        freezer(data)
        add_light(data, "L9", "C2", ceiling=["2 ft", "2 ft"])
        protect(data, "breaker", "L9", "N1.top", "N1.bottom")

    assert told(unprotected) == []
    assert told(lights) == []


# Large machines


@pytest.mark.parametrize(("amps", "large"), [(10, False), (11, True)])
def test_a_large_machine_that_shares(amps, large):
    """More than half of 20 A; one note names all of them."""

    def edit(data):
        machine_of(data, "drill-press")["marked"] = f"{amps} A"

    assert told(edit) == ([("large-machine", "note", "machines")] if large else [])


def test_a_large_machine_alone():
    def edit(data):
        machine_of(data, "saw")["motor"] = "5 hp"

    assert told(edit) == []


# What runs beside


@pytest.mark.parametrize(
    "said",
    [
        {"name": "dust collector"},
        {"name": "air cleaner"},
        {"id": "fume-extractor"},
        {"kind": "space heat"},
        {"kind": "cooling"},
        {"kind": "compressor"},
    ],
)
def test_what_would_never_run_beside_a_saw(said):
    """As it stands in the file one person could not run it and the saw at once."""

    def edit(data):
        add_outlet(data, "N9", "C1")
        data["outlets"] = [o for o in data["outlets"] if o["id"] != "L1"]
        add_machine(data, said.pop("id", "thing"), "N9", **said)

    [(rule, severity, _)] = told(edit)
    assert (rule, severity) == ("runs-beside", "warning")


@pytest.mark.parametrize("key", ["starts_by_itself", "set_and_leave", "always_on", "follows"])
def test_what_runs_beside_a_saw(key):
    def edit(data):
        add_outlet(data, "N9", "C1")
        data["outlets"] = [o for o in data["outlets"] if o["id"] != "L1"]
        more = {} if key == "follows" else {key: "yes"}
        add_machine(data, "collector", "N9", **more)
        if key == "follows":
            shop_of(data)["use"]["followers"] = [{"machine": "collector", "follows": ["saw"]}]

    assert told(edit) == []
