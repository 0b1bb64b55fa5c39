"""Reach of cords: distances worked out by hand from the four-box shed."""

from pathlib import Path

import pytest

from models.reach import fitting_receptacles, reach_ft, receptacles_in_reach, within_cord
from models.shop import Shop
from models.shop_file import read_shop

SHED = read_shop(Path(__file__).parent.parent / "shops" / "four_box.yaml")
MACHINES = {machine.id: machine for machine in SHED.machines}
BOXES = {box.id: box for box in SHED.boxes}


@pytest.mark.parametrize(
    ("machine", "box", "distance_ft"),
    [
        # a machine's cord leaves at 3 ft; N1 is at [3, 8, 4], E1 at [10, 4, 4], L1 at [5, 4, 8]
        ("saw", "E1", 10**0.5),  # [7, 4, 3]: 3, 0, 1
        ("drill-press", "N1", 5**0.5),  # [3, 6, 3]: 0, 2, 1
        ("charger", "N1", 3**0.5),  # [2, 7, 3]: 1, 1, 1
        ("saw", "L1", 29**0.5),  # 2, 0, 5: the ceiling is 8 ft high
    ],
)
def test_a_cord_goes_straight(machine, box, distance_ft):
    """The root of the sum of three squares."""
    assert reach_ft(SHED, MACHINES[machine], BOXES[box]) == pytest.approx(distance_ft)


def test_only_receptacles_that_the_plug_fits_count():
    """A 6-20P goes into the one 6-20R, a 5-15P into the one 5-20R."""
    found = {name: fitting_receptacles(SHED, machine) for name, machine in MACHINES.items()}
    names = {name: [fitting.yoke_id for fitting in fits] for name, fits in found.items()}
    assert names == {"saw": ["E1"], "drill-press": ["N1"], "charger": ["N1"]}


@pytest.mark.parametrize(("cord_ft", "reached"), [(3.16, ["E1"]), (3.15, [])])
def test_a_cord_reaches_up_to_its_length(cord_ft, reached):
    """3.162 ft rounds to a cord of 3.16 ft, the resolution of a shop file."""
    saw = MACHINES["saw"].model_copy(update={"cord_ft": cord_ft})
    assert [fitting.yoke_id for fitting in receptacles_in_reach(SHED, saw)] == reached
    assert within_cord(saw, 10**0.5) is bool(reached)


def test_the_nearest_comes_first():
    """Two receptacles that fit, the farther one named first in the file."""
    data = SHED.canonical()
    far = {"id": "A1", "wall": "north", "x": "9 ft", "height": "4 ft", "yokes": ["single 5-20R"]}
    data["boxes"] = [far, *data["boxes"]]
    shop = Shop.model_validate(data)
    press = MACHINES["drill-press"]
    assert [fitting.yoke_id for fitting in fitting_receptacles(shop, press)] == ["N1", "A1"]


def test_a_tool_without_a_place_is_carried_to_its_receptacle():
    """It reaches every receptacle that its plug fits."""
    drill = MACHINES["charger"].model_copy(update={"at": None, "portable": True})
    assert [(f.yoke_id, f.distance_ft) for f in receptacles_in_reach(SHED, drill)] == [("N1", 0)]
