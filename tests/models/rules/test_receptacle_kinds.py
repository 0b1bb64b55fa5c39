"""Which receptacles are to be tamper-resistant or weather-resistant, on the four-box shed.

What is asked: published summaries of NEC 406.4(D), 406.9 and 406.12 (15 and 20 A, 125 and 250 V,
without lock, up to 5-1/2 ft on dwelling premises; covers weatherproof with a plug in outdoors).
The shed has N1 (5-20R) and E1 (6-20R), both 4 ft high.
"""

import pytest

from models.rules import receptacle_kinds
from tests.models.rules.four_box import found
from tests.models.rules.shed import add_outlet, outlet_of, say, shop_of

OUTSIDE = {"wall": "south", "x": "6 ft", "outdoors": "yes"}
ALL_OVER = {"from": ["0 ft", "0 ft"], "to": ["10 ft", "8 ft"], "id": "Z"}


def told(edit, rule):
    return [f.says for f in found(receptacle_kinds, edit) if f.rule == rule]


def test_tamper_resistant_in_a_dwellings_garage():
    """125 and 250 V alike; one note names every box."""
    [says] = told(lambda data: None, "tamper-resistant")
    assert says == "to be tamper-resistant: E1, N1"


def test_however_many_all_are_told():
    """Whoever buys them by the note buys all of them; in the order people count."""

    def edit(data):
        for number in range(30, 0, -1):
            add_outlet(data, f"N{number + 1}", wall="north", x="8 ft")

    [says] = told(edit, "tamper-resistant")
    assert says == "to be tamper-resistant: E1, " + ", ".join(f"N{n}" for n in range(1, 32))


def test_not_elsewhere():
    assert told(lambda data: say(data, dwelling="no"), "tamper-resistant") == []


@pytest.mark.parametrize(("height", "asked"), [("5 ft 6 in", True), ("5 ft 7 in", False)])
def test_up_to_five_and_a_half_feet(height, asked):
    def edit(data):
        add_outlet(data, "N9", wall="north", x="8 ft", height=height)

    [says] = told(edit, "tamper-resistant")
    assert ("N9" in says) is asked


def test_a_pendant_is_as_high_as_its_end():
    """8 ft of ceiling less 4 ft of drop."""

    def edit(data):
        add_outlet(data, "R9", ceiling=["8 ft", "4 ft"], drop="4 ft")

    assert "R9" in told(edit, "tamper-resistant")[0]


@pytest.mark.parametrize("configuration", ["L5-20R", "L6-15R", "5-15R", "6-50R"])
def test_neither_locking_nor_large(configuration):
    def edit(data):
        add_outlet(data, "N9", configuration=configuration)

    assert ("N9" in told(edit, "tamper-resistant")[0]) is (configuration == "5-15R")


@pytest.mark.parametrize(
    ("edition", "hood"),
    [
        (2017, "(an extra-duty hood)"),
        (2020, "(an extra-duty hood)"),
        (2023, "(an extra-duty hood or another enclosure listed for it)"),
    ],
)
def test_outdoors_is_wet(edition, hood):
    def edit(data):
        say(data, edition, dwelling="no")
        add_outlet(data, "O1", **OUTSIDE)
        add_outlet(data, "O2", **OUTSIDE | {"x": "8 ft"}, configuration="6-50R")

    assert told(edit, "damp-wet-receptacles") == [
        f"to be weather-resistant, under a cover that is weatherproof with a plug in {hood}, in a"
        " wet place: O1",
        "to be under a cover that is weatherproof with a plug in, in a wet place: O2",
    ]


@pytest.mark.parametrize(
    ("kind", "cover"), [("wet", "with a plug in"), ("damp", "with no plug in"), ("work", None)]
)
def test_damp_and_wet_zones(kind, cover):
    says = told(lambda data: say(data, zones=[{**ALL_OVER, "is": [kind]}]), "damp-wet-receptacles")
    if cover is None:
        assert says == []
    else:
        [one] = says
        assert cover in one
        assert "E1, N1" in one


def test_dry_inside_nothing_is_asked():
    assert told(lambda data: None, "damp-wet-receptacles") == []


def existing(data):
    for name in ("N1.top", "N1.bottom"):
        outlet_of(data, name)["life"] = "existing"


def test_what_a_replacement_must_be():
    def edit(data):
        existing(data)
        outlet_of(data, "E1").update(life="existing", configuration="10-30R")
        add_outlet(data, "O1", **OUTSIDE)
        outlet_of(data, "O1")["life"] = "existing"

    assert told(edit, "receptacle-replacement") == [
        "when replaced, an existing receptacle is to be grounded, or a GFCI marked that it has no"
        " ground in E1; tamper-resistant in N1, O1; weather-resistant in O1"
    ]
    assert told(edit, "tamper-resistant") == []


def test_nothing_to_say_of_new_ones_nor_outside_dwellings():
    def edit(data):
        existing(data)
        say(data, dwelling="no")

    assert told(lambda data: None, "receptacle-replacement") == []
    assert told(edit, "receptacle-replacement") == []


def test_every_finding_is_a_note_for_the_whole_plan():
    def edit(data):
        existing(data)
        add_outlet(data, "O1", **OUTSIDE)
        assert "O1" in [box["id"] for box in shop_of(data)["boxes"]]

    findings = found(receptacle_kinds, edit)
    assert {(f.severity, f.where) for f in findings} == {("note", "receptacles")}
    assert {f.rule for f in findings} == set(receptacle_kinds.RULES)
