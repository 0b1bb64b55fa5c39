"""Heron Slip: the file holds everything its owner describes, and its table leads to every part."""

import re
from collections import Counter
from fractions import Fraction

import pytest

from models.marked_yaml import read_marked
from models.shop_file import read_shop
from models.states import binding_days
from solver.routes import Ways

STEP = re.compile(r"([a-z0-9_]+)|\[([A-Za-z0-9_-]+)\]")
MACHINES = {
    "mobile": {"band-saw", "planer", "table-saw", "jointer", "collector"},
    "portable": {"vacuum", "tool-8", "tool-12"},
    "set_and_leave": {"steam-box", "kiln-1"},
    "always_on": {"epoxy-cabinet", "chargers", "radio"},
    "starts_by_itself": {"compressor", "mini-split", "freezer", "gate-opener"},
    "critical": {"freezer", "gate-opener"},
}
OTHERS = {
    "drill-press", "sander", "grinder", "chop-saw", "welder", "kiln-fan", "slab-roller", "wheel",
    "pug-mill",
}  # fmt: skip
NAMEPLATES = {
    "band-saw": (240, Fraction(3)),
    "planer": (240, Fraction(5)),
    "table-saw": (240, Fraction(3)),
    "jointer": (120, Fraction(3, 2)),
    "collector": (240, Fraction(3)),
    "drill-press": (120, Fraction(3, 4)),
    "sander": (120, Fraction(1)),
    "grinder": (120, 5.0),
    "chop-saw": (120, 15.0),
    "vacuum": (120, 11.0),
    "tool-8": (120, 8.0),
    "tool-12": (120, 12.0),
    "compressor": (240, Fraction(5)),
    "steam-box": (120, 1500),
    "epoxy-cabinet": (120, 400),
    "chargers": (120, 4.0),
    "welder": (240, 44.0),
    "kiln-1": (240, 48.0),
    "kiln-fan": (120, 2.0),
    "slab-roller": (120, Fraction(1, 2)),
    "wheel": (120, 6.0),
    "pug-mill": (120, Fraction(1)),
    "mini-split": (240, 14.0),
    "freezer": (120, 5.0),
    "gate-opener": (120, 4.0),
    "radio": (120, 2.0),
}


@pytest.fixture(scope="module")
def folder(request):
    return request.config.rootpath / "scenarios"


@pytest.fixture(scope="module")
def shop(folder):
    return read_shop(folder / "heron_slip.yaml")


@pytest.fixture(scope="module")
def data(folder):
    """The file as written, rows and all."""
    return read_marked((folder / "heron_slip.yaml").read_text("utf-8")).data


@pytest.fixture(scope="module")
def table(folder):
    """Section and cells of every row of the tables, headings left out."""
    section, rows = "", []
    for line in (folder / "heron_slip.md").read_text("utf-8").splitlines():
        if line.startswith("#"):
            section = line.lstrip("# ")
        elif line.startswith("|"):
            rows.append((section, [cell.strip() for cell in line.strip("|").split("|")]))
    heads = {number - 1 for number, (_, cells) in enumerate(rows) if set(cells[0]) == {"-"}}
    return [
        row for number, row in enumerate(rows) if number not in heads and number - 1 not in heads
    ]


def found(data, path):
    """What a key path leads to; KeyError when nothing is there."""
    steps = list(STEP.finditer(path))
    assert "".join(step[0] for step in steps) == path.replace(".", ""), path
    for step in steps:
        key, name = step.groups()
        if key is not None:
            data = data[key]
        elif name.isdigit():
            data = dict(enumerate(data, start=1))[int(name)]
        else:
            data = {thing.get("id", thing.get("machine")): thing for thing in data}[name]
    return data


def boxes_of(shop, *rows):
    """Boxes whose id is a row's and a number."""
    return [b for b in shop.boxes if re.fullmatch(rf"(?:{'|'.join(rows)})[0-9]+", b.id)]


def test_two_gang_boxes(shop):
    """At 44 in, both yokes on circuits of their own: 8 north, 8 south, 3 east, 3 kiln room."""
    rooms = [box for box in shop.boxes if box.id in ("KW", "KN", "KE")]
    groups = [boxes_of(shop, "N", "NP"), boxes_of(shop, "S"), boxes_of(shop, "E"), rooms]
    assert [len(group) for group in groups] == [8, 8, 3, 3]
    for box in [box for group in groups for box in group]:
        assert (len(box.yokes), box.two_circuits, box.height_ft) == (2, True, 3.67)
    north, south, east, _ = groups
    assert [box.x_ft for box in north] == [5.5, 10.5, 15.5, 20.5, 25.5, 30.5, 35.5, 45.5]
    assert [box.x_ft for box in south] == [3, 9, 15, 21, 27, 33, 39, 45]
    assert [box.y_ft for box in east] == [3, 9, 15]
    assert sum(len(box.yokes) == 2 and box.two_circuits for box in shop.boxes) == 22 + 6


def test_ceiling_boxes_and_the_reel(shop):
    over_bay = boxes_of(shop, "BN", "BS")
    assert Counter(box.ceiling[1] for box in over_bay) == {13: 3, 4: 3}
    for box in over_bay:
        live, switched = box.devices
        assert live.switched_by is None
        assert switched.switched_by is not None
    (reel,) = [box for box in shop.boxes if box.reel_ft]
    assert (reel.ceiling, reel.reel_ft, reel.not_with) == ((34, 9), 40, ("E1", "E2", "E3"))


def test_boxes_for_machines_and_outside(shop):
    assert {box.id for box in shop.boxes if box.drop_ft} == {
        "D-BAND", "D-PLANER", "D-TABLE", "D-JOINT",
    }  # fmt: skip
    large = [b.id for b in shop.boxes if any(y.configuration == "6-50R" for y in b.devices)]
    assert sorted(large) == ["D-BAND", "D-TABLE", "DUST", "WELD"]
    outside = [b.id for b in shop.boxes if b.outdoors and any(y.configuration for y in b.devices)]
    assert sorted(outside) == ["O-SOUTH", "O-WEST"]
    assert sum(box.yokes == ("blank",) for box in shop.boxes) == 4 + 2  # wired today, and later
    assert len(shop.boxes) == 62


def test_lights(shop):
    lights = [box for box in shop.boxes if box.luminaire_watts]
    assert Counter(box.luminaire_watts for box in lights) == {95: 10, 60: 4, 20: 2}
    shed = Counter(box.switched_by for box in lights if box.luminaire_watts == 95)
    assert sorted(shed.values()) == [5, 5]
    assert all(len(switches) == 2 for switches in shed)
    room = {box.switched_by for box in lights if box.luminaire_watts == 60}
    assert [len(switches) for switches in room] == [2]
    assert sum(box.battery_backup for box in lights) == 1
    assert (shop.code.light_circuits, shop.code.lights_apart) == (2, True)


def test_supply(shop):
    panel = shop.panel()
    feeder = panel.feeder
    assert (feeder.breaker_amps, feeder.length_ft, feeder.raceway) == (90, 140, "PVC-40 1-1/2")
    wires = feeder.conductors
    assert (wires.hot, wires.neutral, wires.ground, wires.material) == ("2", "2", "4", "aluminum")
    assert (panel.bus_amps, panel.main, panel.spaces) == (125, "main lug", 24)
    assert (panel.tandem_spaces, panel.disconnect) == ((1, 2, 3, 4), "none")
    assert (shop.supply.service.rating_amps, shop.supply.service.calculated_load_amps) == (200, 96)
    assert {j.id: j.box for j in shop.routes.junction_boxes} == {
        "J1": "12 x 12 x 4", "J2": "8 x 8 x 4",
    }  # fmt: skip
    sizes = {frozenset(r.ends): r.trade_size for r in shop.routes.raceways}
    assert sizes[frozenset({"P", "J1"})] == "1-1/4"
    assert sizes[frozenset({"J1", "J2"})] == "1"
    assert sum(r.id.startswith("S") for r in shop.routes.raceways) == 7


def test_raceways_lie_as_the_file_says(shop):
    """From the panel up and along the ceiling to the junction box: 6 + 19 + 3 ft."""
    assert Ways(shop).raceways["R-J1"].length_cft == 2800


def test_every_box_is_reached_from_the_panel(shop):
    ways = Ways(shop)
    assert [name for name in ways.names if name != "P" and not ways.between("P", name)] == []


def test_machines_by_group(shop):
    assert len(shop.machines) == 26
    for group, ids in MACHINES.items():
        assert {m.id for m in shop.machines if getattr(m, group)} == ids, group
    assert {m.id for m in shop.machines} == OTHERS.union(*MACHINES.values())
    assert {m.id for m in shop.machines if m.hard_wired_at} == {
        "planer", "compressor", "kiln-1", "mini-split",
    }  # fmt: skip
    assert {m.id for m in shop.machines if m.reconnects_to_volts} == {"jointer", "pug-mill"}


def test_nameplates(shop):
    plates = {
        m.id: (m.volts, m.motor_hp or m.marked_amps or m.power_watts or m.mca_amps or m.i1max_amps)
        for m in shop.machines
    }
    assert plates == NAMEPLATES
    machines = {m.id: m for m in shop.machines}
    assert (machines["welder"].i1eff_amps, machines["mini-split"].mocp_amps) == (24, 20)


def test_use(shop):
    days = {day.id: day.people for day in shop.use.days}
    assert days == {
        "usual": {"shed": 1},
        "helper": {"shed": 1, "kiln-room": 1},
        "class": {"shed": 1, "kiln-room": 4},
    }
    assert [day.id for day in binding_days(shop.use.days)] == ["helper", "usual"]
    assert {f.machine: len(f.follows) for f in shop.use.followers} == {
        "collector": 5, "vacuum": 2, "kiln-fan": 2,
    }  # fmt: skip
    assert {(frozenset(g.machines), g.by) for g in shop.use.never_together} == {
        (frozenset({"kiln-1", "welder"}), "promise"),
        (frozenset({"planer", "table-saw"}), "promise"),
    }


def test_later(shop):
    changes = {c.machine: (c.volts, c.likelihood, c.within_years) for c in shop.later.changeovers}
    assert changes == {"jointer": (240, 0.6, 3), "pug-mill": (240, 0.6, 3)}
    new = {m.id: (m.marked_amps, m.likelihood, m.within_years) for m in shop.later.machines}
    assert new == {"kiln-2": (27, 0.4, 5), "ev-charger": (32, 0.5, 2)}
    assert (shop.later.spare_spaces, shop.later.spare_capacity) == (4, 0.2)


def test_every_row_of_the_table_leads_somewhere(table, data):
    """Each row names key paths, and each of them is in the file."""
    assert len(table) > 80
    for section, cells in table:
        paths = re.findall(r"`([^`]+)`", cells[-1])
        assert paths, (section, cells)
        for path in paths:
            try:
                found(data, path)
            except (KeyError, TypeError, AttributeError):
                pytest.fail(f"{section}: {path!r} is not in the file")


def test_a_path_to_nothing_is_noticed(data):
    for path in ("boxes[NOWHERE]", "building.colour", "use.never_together[3]", "rows[N].faces"):
        with pytest.raises(KeyError):
            found(data, path)


def test_every_part_of_the_file_is_in_the_table(table, data):
    """What the owner described and the file holds is looked up by some row."""
    named = {path for _, cells in table for path in re.findall(r"`([^`]+)`", cells[-1])}
    for key in ("rows", "machines", "boxes"):
        for thing in data[key]:
            here = f"{key}[{thing['id']}]"
            assert any(path.startswith(here) for path in named), here


def test_the_six_wanted_answers_are_listed(table):
    wanted = [cells for section, cells in table if section == "Wanted answers"]
    assert [cells[0].partition(". ")[0] for cells in wanted] == list("123456")
    assert [cells[1] for cells in wanted] == ["yes"] * 5 + ["in part"]
