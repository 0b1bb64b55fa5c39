"""Legs loaded alike and room for later, on the four-box shed; sums by hand.

By `tests/plans/four_box/by_hand.md`: leg A at most 12.333 A (saw and light), leg B 15 A (saw and
charger); the feeder is 40 A, the panel has 6 spaces and 4 are used. One person works.
"""

import pytest

from models.rules import panel_habits
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import shop_of


def findings(edit, rule):
    return [f for f in found(panel_habits, edit) if f.rule == rule]


def marked(data, name, amps):
    machine = next(m for m in shop_of(data)["machines"] if m["id"] == name)
    machine["marked"] = f"{amps} A"


def test_legs_that_are_alike():
    """15 and 12.333 A differ by 18 % of 15."""
    assert findings(lambda data: None, "leg-balance") == []


def test_legs_that_nothing_makes_more_alike():
    """A charger of 20 A on leg B: 32 against 12.333 A; on leg A it would be 12 against 32.333."""
    assert findings(lambda data: marked(data, "charger", 20), "leg-balance") == []


def all_on_leg_a(data):
    """C2 in space 1, C1 in space 5; a charger of 15 A, a drill press of 1 A, 18 A of lights."""
    marked(data, "charger", 15)
    marked(data, "drill-press", 1)
    circuit_of(data, "C1")["breaker"]["spaces"] = [5]
    circuit_of(data, "C2")["breaker"]["spaces"] = [1]
    shop_of(data)["boxes"][1]["luminaire"] = "2160 W"


def test_a_breaker_on_the_wrong_leg():
    """Leg A: saw 12, charger 15, lights 18 = 45 A; leg B: the saw's 12 A.

    With C1 on leg B 27 and 30 A, with C2 there 30 and 27 A: the first of the two is named.
    """
    [finding] = findings(all_on_leg_a, "leg-balance")
    assert (finding.where, finding.severity) == ("C1", "note")
    assert "leg A carries up to 45 A, leg B 12 A" in finding.says
    assert "with C1 on leg B it would be 27 A and 30 A" in finding.says


def test_a_breaker_that_stays_where_it_is():
    """The same, but all of it is there already."""

    def edit(data):
        all_on_leg_a(data)
        for circuit in data["circuits"]:
            circuit["life"] = "existing"

    assert findings(edit, "leg-balance") == []


@pytest.mark.parametrize(("wished", "told"), [(0, True), (1, False)])
def test_few_free_spaces(wished, told):
    """1 of 6 is less than a fifth; a wish of the owner is held by another rule."""

    def edit(data):
        shop_of(data)["later"] = {"spare_spaces": wished}
        data["panels"][0]["spaces"][5]["circuit"] = "C2"

    told_of = [(f.where, f.found, f.limit) for f in findings(edit, "spare-room")]
    assert told_of == ([("P", 1.0, 1.2)] if told else [])


def test_two_of_six_are_a_third():
    assert findings(lambda data: shop_of(data).pop("later"), "spare-room") == []


@pytest.mark.parametrize(
    ("feeder", "wish", "severity"),
    [
        (18.5, None, "note"),
        (18.76, None, None),
        (40, "50 %", None),
        (25, "50 %", "warning"),
        (12, None, None),
    ],
)
def test_what_is_left_of_the_feeder(feeder, wish, severity):
    """15 A on leg B: 18.75 A leave a fifth, 30 A the half. More than all is another rule's."""

    def edit(data):
        shop_of(data)["supply"]["panels"][0]["feeder"]["breaker"] = f"{feeder} A"
        if wish is not None:
            shop_of(data)["later"]["spare_capacity"] = wish

    severities = [f.severity for f in findings(edit, "spare-room")]
    assert severities == ([severity] if severity else [])
