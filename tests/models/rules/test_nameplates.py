"""Machines whose nameplate names their circuit, put in place of the saw of the plan made on paper.

C3 is 240 V, 20 A, in 12 AWG cable (20 A), with receptacle E1 alone; C2 is 120 V, 20 A, shared.
"""

import pytest

from models.rules import breaker_load, conductors, nameplates
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import add_machine, say, shop_of


def instead_of_the_saw(breaker=20, edition=None, wired=False, **said):
    """An edit that puts another machine at E1."""

    def edit(data):
        machines = shop_of(data)["machines"]
        old = next(m for m in machines if m["id"] == "saw")
        del old["motor"]
        old |= said
        if wired:
            del old["plug"], old["plugs_into"]
            old["hard_wired_at"] = "E1"
            placed = next(m for m in data["machines"] if m["id"] == "saw")
            placed |= {"outlet": None, "hard_wired_at": "E1"}
            for outlet in data["outlets"]:
                if outlet["id"] == "E1":
                    outlet |= {"kind": "hard-wired", "configuration": None}
        circuit_of(data, "C3")["breaker"]["amps"] = breaker
        if edition:
            say(data, edition)

    return edit


def told(edit, module=nameplates):
    return [(f.rule, f.where, f.severity, f.found, f.limit) for f in found(module, edit)]


def test_the_plan_made_on_paper_has_none_of_them():
    assert told(lambda _: None) == []


@pytest.mark.parametrize(("mca", "short"), [(20, False), (21, True)])
def test_minimum_circuit_ampacity(mca, short):
    edit = instead_of_the_saw(mca=f"{mca} A", mocp="30 A", kind="cooling")
    expected = [("nameplate-ampacity", "C3", "violation", 20.0, 21.0)] if short else []
    assert told(edit) == expected


def test_mca_holds_its_125_percent_already():
    """20 A on 20 A, three hours and more: nothing is added (440.4(B))."""
    edit = instead_of_the_saw(mca="20 A", mocp="20 A", continuous="yes")
    assert "breaker-load" not in {rule for rule, *_ in told(edit, breaker_load)}
    power = instead_of_the_saw(marked="20 A", continuous="yes")
    assert "breaker-load" in {rule for rule, *_ in told(power, breaker_load)}


@pytest.mark.parametrize(("mocp", "over"), [(20, False), (15, True)])
def test_largest_breaker_on_the_nameplate(mocp, over):
    edit = instead_of_the_saw(mca="14 A", mocp=f"{mocp} A")
    expected = [("nameplate-breaker", "C3", "violation", 20.0, 15.0)] if over else []
    assert told(edit) == expected


def test_a_breaker_above_the_conductor_is_for_a_machine_alone():
    """240.4(G): 30 A on 12 AWG holds for MCA 14 A and MOCP 30 A, hard-wired, and for no other.

    Into a receptacle something else may be plugged later.
    """
    unit = instead_of_the_saw(breaker=30, wired=True, mca="14 A", mocp="30 A")
    plugged = instead_of_the_saw(breaker=30, mca="14 A", mocp="30 A")
    assert "conductor-protection" in {rule for rule, *_ in told(plugged, conductors)}
    assert "conductor-protection" not in {rule for rule, *_ in told(unit, conductors)}
    assert told(unit) == []
    plain = instead_of_the_saw(breaker=30, marked="14 A")
    assert "conductor-protection" in {rule for rule, *_ in told(plain, conductors)}


@pytest.mark.parametrize(
    ("breaker", "severities"), [(15, []), (20, []), (25, ["note"]), (30, ["violation"])]
)
def test_a_cooling_unit_without_mca(breaker, severities):
    """12 A: 175 % is 21 A, so 20 A; 225 % is 27 A, so 25 A."""
    edit = instead_of_the_saw(breaker, wired=True, kind="cooling", marked="12 A")
    assert [severity for _, _, severity, *_ in told(edit)] == severities


def test_conductors_of_a_cooling_unit_without_mca():
    """125 % of 16.5 A is 20.6 A, 12 AWG cable carries 20 A."""
    edit = instead_of_the_saw(20, wired=True, kind="cooling", marked="16.5 A")
    assert ("cooling-unit", "C3", "violation", 20.0, 20.625) in told(edit)


@pytest.mark.parametrize(
    ("i1eff", "i1max", "breaker", "rules"),
    [
        (20, 35, 40, []),
        (21, 35, 40, ["welder-ampacity"]),
        (12, 16, 40, ["welder-breaker"]),  # 200 % of 16 A is 32 A, the next size up 35 A
        (12, 40, 45, ["welder-breaker"]),  # 200 % of the conductors' 20 A is 40 A
    ],
)
def test_welders(i1eff, i1max, breaker, rules):
    """C3's conductors carry 20 A."""
    edit = instead_of_the_saw(breaker, i1eff=f"{i1eff} A", i1max=f"{i1max} A")
    assert [rule for rule, *_ in told(edit)] == rules


def test_welders_together():
    """Two welders of 12 A on C2 are 24 A; conductors carry 20 A."""

    def two(data):
        for number, outlet in enumerate(("N1.top", "N1.bottom")):
            add_machine(data, f"welder-{number}", outlet, marked="5 A")
            machine = shop_of(data)["machines"][-1]
            del machine["marked"]
            machine |= {"i1eff": "12 A", "i1max": "20 A"}

    assert ("welder-ampacity", "C2", "violation", 20.0, 24.0) in told(two)


def test_a_hard_wired_welder_wants_a_disconnect():
    edit = instead_of_the_saw(40, wired=True, i1eff="12 A", i1max="20 A")
    assert [(rule, severity) for rule, _, severity, *_ in told(edit)] == [
        ("welder-disconnect", "warning")
    ]
    said = instead_of_the_saw(40, wired=True, i1eff="12 A", i1max="20 A", disconnect="in sight")
    assert told(said) == []


@pytest.mark.parametrize(
    ("edition", "amps", "said"),
    [(2017, 8, True), (2020, 8, True), (2023, 8, False), (2023, 17, True)],
)
def test_a_vehicle_charger_beside_others(edition, amps, said):
    """625.40: each outlet up to 2020, since 2023 only above 16 A or 120 V."""

    def charger(data):
        say(data, edition)
        add_machine(data, "car", "N1.top", marked=f"{amps} A", kind="vehicle charger")

    rules = [rule for rule, *_ in told(charger)]
    assert rules == (["vehicle-charger-alone"] if said else [])


def test_a_vehicle_charger_alone():
    edit = instead_of_the_saw(20, marked="16 A", kind="vehicle charger")
    assert told(edit) == []


@pytest.mark.parametrize("kind", ["vehicle charger", "space heat", "kiln"])
def test_what_lasts_counts_at_125_percent_whatever_is_said(kind):
    """17 A x 125 % = 21.25 A of 20 A."""
    edit = instead_of_the_saw(20, marked="17 A", kind=kind)
    assert ("breaker-load", "C3", "violation", 21.25, 20.0) in told(edit, breaker_load)
