"""Conductors of the feeder of the plan on paper: 40 A, 8 AWG copper, 75 °C terminals, 30 °C room.

Calculated load 22 A, to neutral 14 A on leg B. Ampacities are those of NEC Table 310.16.
"""

import pytest

from models.rules import feeder_conductors
from tests.models.rules.four_box import found


def panel(data):
    return data["source"]["shop"]["supply"]["panels"][0]


def told(breaker=40, terminals="75 C", raceway=None, room=None, edition=None, **conductors):
    def edit(data):
        given = panel(data)
        given["terminals"] = terminals
        given["feeder"]["breaker"] = f"{breaker} A"
        given["feeder"]["conductors"] |= conductors
        if raceway:
            given["feeder"]["raceway"] = raceway
        if room:
            data["source"]["shop"]["building"]["ambient"]["room"] = room
        if edition:
            data["source"]["shop"]["code"]["edition"] = edition

    return [(f.rule, f.severity, f.found, f.limit) for f in found(feeder_conductors, edit)]


def test_the_plan_on_paper_has_enough():
    assert told() == []
    assert told(raceway="EMT 1") == []


def test_a_hot_below_the_calculated_load():
    """14 AWG copper: 20 A at 75 °C, 15 A at 60 °C; 12 AWG: 25 A and 20 A."""
    assert ("feeder-conductor", "violation", 22.0, 20.0) in told(20, raceway="EMT 1", hot="14")
    found_12 = told(20, hot="12", ground="12")
    assert ("feeder-conductor", "warning", 22.0, 20.0) in found_12
    assert not any(rule == "feeder-conductor" for rule, *_ in told(20, raceway="EMT 1", hot="12"))


def test_a_hot_room_lowers_what_a_feeder_carries():
    """10 AWG: 40 A at 90 °C × 0.41 above 75 °C (Table 310.15(B)(1)(1)) = 16.4 A."""
    hot = told(30, room="80 C", raceway="EMT 1", hot="10", neutral="10")
    assert ("feeder-conductor", "violation", 22.0, 16.4) in hot


def test_the_breaker_is_at_most_the_next_size_up():
    """8 AWG at 75 °C is 50 A; at 60 °C 40 A, as cable of an unknown kind it may be."""
    assert told(50, raceway="EMT 1") == []
    assert told(50) == [("feeder-protection", "warning", 50.0, 40.0)]
    assert ("feeder-protection", "violation", 60.0, 50.0) in told(60, raceway="EMT 1")
    assert ("feeder-protection", "violation", 50.0, 40.0) in told(50, terminals="60 C")


def test_the_next_standard_size_up():
    """Forum: 2 AWG aluminum in insulation, 75 A at 60 °C, behind 80 A (240.4(B))."""
    aluminum = {"material": "aluminum", "hot": "2", "neutral": "2", "ground": "4"}
    assert told(80, terminals="60 C", **aluminum) == []
    assert told(90, terminals="60 C", **aluminum) == [("feeder-protection", "violation", 90, 80)]


@pytest.mark.parametrize(("edition", "section"), [(2017, "310.15(B)(7)"), (2023, "310.12")])
def test_the_83_percent_rule_is_refused(edition, section):
    """Forum: 2 AWG aluminum behind 100 A, as a service of 100 A may be; 90 A at 75 °C here."""

    def edit(data):
        feeder = panel(data)["feeder"]
        feeder.update(breaker="100 A", raceway="PVC-40 1-1/2")
        feeder["conductors"] = {"hot": "2", "neutral": "2", "ground": "4", "material": "aluminum"}
        data["source"]["shop"]["code"]["edition"] = edition

    [finding] = found(feeder_conductors, edit)
    assert (finding.rule, finding.severity) == ("feeder-83-percent", "violation")
    assert (finding.found, finding.limit) == (100.0, 90.0)
    assert finding.source == f"NEC {section}"


def test_what_no_dwelling_would_get_either_is_plainly_too_small():
    aluminum = {"material": "aluminum", "hot": "4", "neutral": "4", "ground": "4"}
    [(rule, *_)] = told(100, raceway="PVC-40 1-1/2", **aluminum)
    assert rule == "feeder-protection"


def test_a_neutral_below_its_load():
    """With 19 A at the press instead of 8 A leg B has 28 A to neutral; 12 AWG carries 25 A."""

    def edit(data, neutral):
        machines = data["source"]["shop"]["machines"]
        next(m for m in machines if m["id"] == "drill-press")["marked"] = "19 A"
        panel(data)["feeder"]["raceway"] = "EMT 1"
        panel(data)["feeder"]["conductors"]["neutral"] = neutral

    told = found(feeder_conductors, lambda data: edit(data, "12"))
    amps = [(f.found, f.limit) for f in told if f.rule == "feeder-neutral" and f.unit == "A"]
    assert amps == [(28.0, 25.0)]
    assert found(feeder_conductors, lambda data: edit(data, "10")) == []


@pytest.mark.parametrize(("edition", "section"), [(2020, "215.2(A)(2)"), (2023, "215.2(B)")])
def test_a_neutral_below_the_ground(edition, section):
    """Behind 40 A Table 250.122 asks for 10 AWG: no smaller a neutral."""

    def edit(data):
        panel(data)["feeder"]["conductors"]["neutral"] = "12"
        data["source"]["shop"]["code"]["edition"] = edition

    [finding] = found(feeder_conductors, edit)
    assert (finding.rule, finding.found, finding.limit) == ("feeder-neutral", "12", "10")
    assert section in finding.source


def test_a_ground_below_what_the_breaker_asks_for():
    """Table 250.122: 10 AWG up to 60 A."""
    assert told(ground="12") == [("feeder-ground", "violation", "12", "10")]


def test_hots_larger_than_they_need_be_take_the_ground_along():
    """250.122(B): 40 A needs 8 AWG (16,510 cmil); 3 AWG (52,620): 10,380 × 3.19 = 33,083: 4 AWG."""
    assert told(hot="3", neutral="3", ground="6") == [("feeder-ground", "violation", "6", "4")]
    assert told(hot="3", neutral="3", ground="4") == []
