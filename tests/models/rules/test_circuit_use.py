"""What may share a circuit of its rating, on the four-box shed.

NEC 210.23 as published for three editions: 15 and 20 A lights and anything; 30 A no lights of
dwellings; 40 and 50 A cooking in dwellings; above 50 A no lights at all; 10 A since 2023, lights.
"""

import pytest

from models.rules import circuit_use
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import add_light, add_outlet, say


def told(amps, edit=lambda data: None, circuit="C2", **building):
    def all_of_it(data):
        circuit_of(data, circuit)["breaker"]["amps"] = float(amps)
        say(data, **building)
        edit(data)

    return [(f.rule, f.severity, f.where) for f in found(circuit_use, all_of_it)]


@pytest.mark.parametrize("amps", [15, 20, 30])
def test_receptacles_share_these(amps):
    """N1 is a duplex: two receptacles."""
    assert told(amps) == []


@pytest.mark.parametrize("amps", [25, 35, 45])
def test_no_shared_circuit_has_these_ratings(amps):
    """210.3, 210.18: circuits of several outlets are rated 15, 20, 30, 40 or 50 A."""
    assert told(amps) == [("circuit-use", "violation", "C2")]


@pytest.mark.parametrize("amps", [25, 45, 60])
def test_one_outlet_alone_may_have_any(amps):
    assert told(amps, circuit="C3") == []


@pytest.mark.parametrize(
    ("dwelling", "attached", "severity"),
    [("yes", "yes", "violation"), ("yes", "no", "warning"), ("no", "yes", None)],
)
@pytest.mark.parametrize("amps", [40, 50])
def test_a_shop_that_is_no_dwelling_shares_40_and_50_amperes(amps, dwelling, attached, severity):
    """A building of its own on dwelling premises is for the inspector to judge."""
    findings = told(amps, dwelling=dwelling, attached=attached)
    assert findings == ([("circuit-use", severity, "C2")] if severity else [])


def second_light(data):
    add_light(data, "L2", ceiling=["2 ft", "2 ft"])


@pytest.mark.parametrize(
    ("amps", "dwelling", "severity"),
    [
        (20, "yes", None),
        (30, "yes", "violation"),
        (30, "no", "warning"),
        (50, "no", "warning"),
        (60, "no", "violation"),
    ],
)
def test_lights(amps, dwelling, severity):
    """Outside dwellings 30 to 50 A ask for heavy-duty lampholders."""
    findings = told(amps, second_light, circuit="C1", dwelling=dwelling)
    assert findings == ([("circuit-use", severity, "C1")] if severity else [])


def test_above_50_amperes_only_industry_shares():
    assert told(60, dwelling="no") == [("circuit-use", "warning", "C2")]
    assert told(60) == [("circuit-use", "violation", "C2")]


def test_10_amperes_feed_lights():
    assert told(10, second_light, circuit="C1") == []
    assert told(10) == [("ten-amp-circuit", "violation", "C2")]


def test_no_machine_beside_lights_on_10_amperes():
    def edit(data):
        add_outlet(data, "H9", "C1", configuration=None)

    assert told(10, edit, circuit="C1") == [("ten-amp-circuit", "violation", "C1")]


def test_an_existing_circuit_is_a_warning():
    def edit(data):
        circuit = circuit_of(data, "C2")
        outlets = [outlet for outlet in data["outlets"] if outlet["circuit"] == "C2"]
        for thing in (circuit, *circuit["runs"], *outlets):
            thing["life"] = "existing"

    assert told(25, edit) == [("circuit-use", "warning", "C2")]
