"""Shops that cannot be planned: each has one cause, told in the owner's words, with a remedy.

Every variant is the one-bay garage with one thing changed. The remedy the tool gives is applied
and the shop then plans without a violation.
"""

import pytest

from models.price_book import PriceBook
from models.shop_edit import Change, changed
from models.shop_file import ShopFileError, parse_shop
from solver.plan import plan_shop
from solver.solve import Control

HEATER = {"volts": "120 V", "marked": "12 A", "plug": "5-15P", "always_on": "yes"}
LIFT = {"volts": "240 V", "marked": "24 A", "at": ["5 ft", "16 ft"], "cord": "8 ft"}
LIFT_30 = {**LIFT, "plug": "6-30P", "plugs_into": "T1"}
SMALL_BOX = {"wall": "north", "x": "12 ft 6 in", "height": "8 ft", "box": "4 x 1-1/2 square"}
EMT = {"kind": "EMT", "trade_size": "1/2"}
FOURTH_CIRCUIT = [
    ("boxes[E1].yokes", ["duplex 5-20R", "duplex 5-20R"]),
    ("boxes[E1].two_circuits", "yes"),
    ("machines[compressor].plugs_into", "E1.left"),
    ("machines[heater]", {**HEATER, "plugs_into": "E1.right", "at": ["13 ft", "9 ft"]}),
    ("supply.panels[P].spaces", 14),
]

LARGER_FEEDER: list[Change] = [
    ("supply.panels[P].feeder.breaker", "100 A"),
    ("supply.panels[P].feeder.conductors", {"hot": "3", "neutral": "3", "ground": "8"}),
    ("supply.panels[P].feeder.raceway", "EMT 1-1/4"),
]
FAN_PLACES = {
    "W1": ["2 ft", "5 ft"],
    "W2.left": ["2 ft", "7 ft"],
    "W2.right": ["2 ft", "9 ft"],
    "W3": ["2 ft", "14 ft"],
    "O1": ["2 ft", "-1 ft"],
}

TWO_CIRCUITS = {"yokes": ["duplex 5-20R", "duplex 5-20R"], "two_circuits": "yes"}
WHERE_RACEWAYS_MEET: list[Change] = [  # six circuits of 10 AWG in the raceways that end in E2
    ("building.ambient.room", "20 C"),
    ("code.smallest_receptacle_conductor", "10"),
    ("supply.panels[P].spaces", 24),
    *((f"routes.raceways[{name}].trade_size", "1-1/4") for name in ("R1", "R2")),
    ("routes.raceways[R3]", {"kind": "EMT", "trade_size": "1-1/4", "ends": ["E2", "E3"]}),
    ("boxes[E1].yokes", TWO_CIRCUITS["yokes"]),
    ("boxes[E1].two_circuits", "yes"),
    ("boxes[E1].not_with", ["E2", "E3"]),
    ("boxes[E2].not_with", ["E1", "E3"]),
    ("boxes[E3]", {**TWO_CIRCUITS, "wall": "east", "y": "20 ft", "height": "44 in",
                   "not_with": ["E1", "E2"]}),
    ("machines[compressor].plugs_into", "E1.left"),
    *LARGER_FEEDER,
]  # fmt: skip
SEPARATE: list[Change] = [
    ("building.kind", "accessory building"),
    ("building.attached", "no"),
    ("supply.panels[P].spaces", 16),
]

# name -> (changes, reason, words in what is said)
VARIANTS: dict[str, tuple[list[Change], str, list[str]]] = {
    "a space short": (
        [("supply.panels[P].spaces", 10)],
        "spaces",
        ["panel P", "2 spaces short"],
    ),
    "too many spaces wished": ([("later.spare_spaces", 4)], "spaces", ["panel P", "kept spare"]),
    "a full raceway": (FOURTH_CIRCUIT, "raceway full", ["raceway R1", "EMT 1/2", "in²"]),
    "a raceway too hot": (
        [
            *FOURTH_CIRCUIT,
            ("routes.raceways[R1].trade_size", "3/4"),
            ("routes.raceways[R2].trade_size", "3/4"),
            ("building.ambient.room", "45 C"),
        ],
        "raceway heat",
        ["raceway R1", "current-carrying"],
    ),
    "an overloaded state": (
        [("machines[heater]", {**HEATER, "plugs_into": "W3", "at": ["2 ft", "15 ft"]})],
        "overloaded",
        ["drill-press + heater", "W3", "21.8 A of 20 A"],
    ),
    "a plug-in load over 80 %": (
        [
            ("machines[drill-press].plugs_into", "W2.right"),
            ("machines[drill-press].at", ["2 ft", "10 ft"]),
            ("machines[welder]", {"volts": "120 V", "marked": "18 A", "plug": "5-20P",
                                  "plugs_into": "W3", "at": ["2 ft", "15 ft"]}),
            ("supply.panels[P].spaces", 14),
            *LARGER_FEEDER,
        ],
        "cord load",
        ["welder draws 18 A", "16 A"],
    ),
    "a motor too large for its receptacle": (
        [("machines[table-saw].motor", "3 hp")],
        "receptacle horsepower",
        ["table-saw has 3 hp", "6-20R", "2 hp"],
    ),
    "no way to a box on the block wall": (
        [("routes.raceways[R2]", None)],
        "no way",
        ["panel P to E1", "masonry"],
    ),
    "a run too long for the drop wished": (
        [("code.voltage_drop_percent", 0.42), ("supply.panels[P].spaces", 20)],
        "voltage drop",
        ["largest conductors", "recommendation"],
    ),
    "an attic too hot": (
        [
            ("machines[table-saw]", None),
            ("machines[lift]", LIFT_30),
            ("boxes[T1]", {"ceiling": ["7 ft", "17 ft"], "yokes": ["single 6-30R"]}),
            ("building.ambient.attic", "85 C"),
            ("use.followers", [{"machine": "collector", "follows": ["band-saw"]}]),
            *LARGER_FEEDER,
        ],
        "conductor",
        ["T1", "up to 6 AWG", "heat"],
    ),
    "pinned across voltages": (
        [("pins.together", [["T1", "W3"]])],
        "mixed voltages",
        ["T1 and W3", "different voltages"],
    ),
    "lights pinned to tools": (
        [("pins.together", [["S1", "W1"]])],
        "lights apart",
        ["S1 and W1", "lights"],
    ),
    "pinned against two circuits": (
        [("pins.together", [["W2.left", "W2.right"]])],
        "apart",
        ["W2.left and W2.right", "different circuits"],
    ),
    "pinned over the local limit": (
        [("pins.together", [["W1", "W3"]]), ("code.receptacles_per_circuit", 1),
         ("supply.panels[P].spaces", 20)],
        "too many receptacles",
        ["W1 and W3", "limit"],
    ),
    "a receptacle that wants a neutral": (
        [
            ("machines[table-saw]", None),
            ("machines[lift]", {**LIFT, "plug": "14-30P", "plugs_into": "T1"}),
            ("boxes[T1].yokes", ["single 14-30R"]),
            ("use.followers", [{"machine": "collector", "follows": ["band-saw"]}]),
            *LARGER_FEEDER,
        ],
        "not planned",
        ["T1", "14-30R", "neutral"],
    ),
    "two yokes outdoors": (
        [("boxes[O1].yokes", ["duplex 5-20R", "duplex 5-20R"])],
        "no box",
        ["box O1", "outdoors"],
    ),
    "too few switches for three lighting circuits": (
        [("code.light_circuits", 3)],
        "light circuits",
        ["2 circuits", "3 are wished for"],
    ),
    "a junction box too small": (
        [
            ("routes.raceways[R1]", {**EMT, "ends": ["J1", "E2"]}),
            ("routes.junction_boxes[J1]", SMALL_BOX),
        ],
        "box full",
        ["box J1", "in³"],
    ),
    "a feeder too small": (
        [("supply.panels[P].feeder.breaker", "30 A")],
        "feeder-load",
        ["54 A of 30 A", "feeder breaker"],
    ),
    "a box where raceways meet": (
        WHERE_RACEWAYS_MEET,
        "box full",
        ["box E2", "in³"],
    ),
    "a service too small": (
        [("supply.service", {"rating": "100 A", "calculated_load": "60 A"})],
        "service-room",
        ["60 A without the shop", "54 A for it = 114 A of 100 A"],
    ),
    "a building that nothing disconnects": (
        SEPARATE,
        "building-disconnect",
        ["panel P has main lugs", "225.31"],
    ),
    "a portable tool with no place": (
        [
            ("machines[hand-tool].marked", "16 A"),
            ("machines[miter-saw].marked", "12 A"),
            ("machines[opener].marked", "6 A"),
            ("machines[collector].plugs_into", "E2.left"),
            ("machines[band-saw].plugs_into", "E2.right"),
            *(
                (f"machines[fan-{n}]", {**HEATER, "marked": "6 A", "plugs_into": yoke, "at": at,
                                        "outdoors": yoke == "O1"})
                for n, (yoke, at) in enumerate(FAN_PLACES.items())
            ),
            ("supply.panels[P].spaces", 20),
            *LARGER_FEEDER,
        ],
        "portable-tools",
        ["hand tool"],
    ),
}  # fmt: skip


def violations(plan):
    return [finding for finding in plan.findings if finding.severity == "violation"]


@pytest.mark.parametrize("name", VARIANTS)
def test_the_cause_is_told_and_its_remedy_helps(name, garage):
    changes, reason, words = VARIANTS[name]
    shop = changed(garage, changes)
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=2))
    assert [cause.reason for cause in outcome.causes] == [reason]
    cause = outcome.causes[0]
    for word in words:
        assert word in cause.says
    helps = [remedy for remedy in cause.remedies if remedy.works]
    assert helps, f"no remedy worked: {cause.remedies}"
    for remedy in helps:
        mended = plan_shop(changed(shop, remedy.changes), PriceBook.read(), Control(effort=2))
        assert mended.plan is not None
        assert not violations(mended.plan)


def test_a_price_that_is_missing_is_named(garage):
    book = PriceBook.read()
    kept = {key: price for key, price in book.prices.items() if "2-pole" not in key}
    poor = PriceBook("mine.csv", "mine", book.dated, True, book.sha256, kept)
    shop = changed(garage, [("prices.book", "mine.csv")])
    outcome = plan_shop(shop, poor, Control(effort=2))
    assert [cause.reason for cause in outcome.causes] == ["no price"]
    assert "mine.csv has no price" in outcome.causes[0].says
    assert outcome.causes[0].remedies[0].works


# What the file alone shows is told with its line; the remedy is in the words.
FILE_VARIANTS = {
    "a missing reach": (
        ("at: [11 ft, 12 ft], cord: 8 ft", "at: [11 ft, 12 ft], cord: 3 ft"),
        "band-saw",
        ("cord: 3 ft", "cord: 8 ft"),
    ),
    "a plug that fits nothing": (
        ("plug: 6-20P", "plug: 6-30P"),
        "table-saw",
        ("plug: 6-30P", "plug: 6-20P"),
    ),
    "a box inside a door": (
        ("S1, wall: north, x: 6 ft 9 in", "S1, wall: north, x: 5 ft"),
        "house-door",
        ("S1, wall: north, x: 5 ft", "S1, wall: north, x: 6 ft 9 in"),
    ),
}


@pytest.mark.parametrize("name", FILE_VARIANTS)
def test_what_the_file_shows_is_told_with_its_line(name, request):
    (old, new), word, (found, mended) = FILE_VARIANTS[name]
    text = (request.config.rootpath / "scenarios" / "one_bay_garage.yaml").read_text("utf-8")
    broken = text.replace(old, new)
    assert broken != text
    line = next(n for n, row in enumerate(broken.splitlines(), 1) if new in row)
    with pytest.raises(ShopFileError) as error:
        parse_shop(broken, "garage.yaml")
    assert f"garage.yaml:{line}:" in str(error.value)
    assert word in str(error.value)
    shop = parse_shop(broken.replace(found, mended), "garage.yaml")
    assert plan_shop(shop, PriceBook.read(), Control(effort=1)).plan is not None
