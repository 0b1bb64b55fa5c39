"""A shop's feeder line by line: totals worked out by hand from Annex D and from the sections."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.editions import EDITIONS
from models.formulas.load_calculation import feeder_amps
from models.formulas.shop_feeder import (
    Interlock,
    MachineLoad,
    ShopFeeder,
    floor_area_ft2,
    floor_counted,
    sets_on,
    shop_feeder_lines,
    total_va,
)


def machine(name, volts, amps, nameplate="marked", kind=None, continuous=False):
    return MachineLoad(name, "", kind, nameplate, volts, amps, continuous)


def feeder(*machines, edition=2023, floor=None, area=0.0, watts=0, yokes=0, interlocks=()):
    return ShopFeeder(edition, floor, area, watts, yokes, machines, interlocks)


def lines_of(given):
    return [(line.va, line.source) for line in shop_feeder_lines(given)]


SAW = machine("saw", 240, 12.0, "motor")
KILN = machine("kiln", 240, 48.0, kind="kiln", continuous=True)
WELDER = machine("welder", 240, 24.0, "i1eff")


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_store_of_example_d3_without_its_windows(edition):
    """Annex D D3: 80 duplexes 12,200 VA; 8500 VA of lights, 125 % of which is 10,625 VA."""
    store = feeder(edition=edition, floor="workshop", watts=8500, yokes=80)
    assert total_va(shop_feeder_lines(store)) == 12_200 + 10_625


@pytest.mark.parametrize("edition", EDITIONS)
def test_two_motors_of_a_trade_handout(edition):
    """7-1/2 hp and 5 hp at 230 V: 40 × 1.25 + 28 = 78 A."""
    motors = (machine("large", 240, 40, "motor"), machine("small", 240, 28, "motor"))
    assert feeder_amps(total_va(shop_feeder_lines(feeder(*motors, edition=edition)))) == 78


def test_every_line_with_its_section_in_2023():
    """By hand: 12 A × 240 V, 400 W, 24 A × 240 V; 25 % of the saw; 25 % of lights and cabinet."""
    cabinet = machine("cabinet", 120, 3.333, "power", continuous=True)
    shop = feeder(SAW, cabinet, WELDER, floor="workshop", area=100, watts=200, yokes=3)
    assert lines_of(shop) == [
        (200, "NEC 220.14(D)"),
        (540, "NEC 220.14(I)"),
        (2880, "NEC 220.50(A), 430.24"),
        (400, "NEC 220.14(A)"),
        (5760, "NEC 630.11"),
        (720, "NEC 430.24"),
        (150, "NEC 215.2(A)(1), 215.3"),
    ]


@pytest.mark.parametrize(
    ("edition", "receptacles", "motor", "charger"),
    [
        (2017, "NEC 220.14(I), 220.44", "NEC 220.50, 430.24", "NEC 220.14(A)"),
        (2020, "NEC 220.14(I), 220.44", "NEC 220.50, 430.24", "NEC 220.14(A)"),
        (2023, "NEC 220.14(I), 220.47", "NEC 220.50(A), 430.24", "NEC 220.57"),
    ],
)
def test_sections_move_between_editions(edition, receptacles, motor, charger):
    car = machine("car", 240, 16, kind="vehicle charger")
    found = lines_of(feeder(SAW, car, edition=edition, floor="workshop", yokes=60))
    assert [source for _, source in found[:3]] == [receptacles, motor, charger]


def test_a_charger_counts_7200_va_since_2023_and_runs_for_hours():
    """220.57 and 625.42: 16 A × 240 V = 3840 VA, taken at 7200; 25 % more either way."""
    car = machine("car", 240, 16, kind="vehicle charger")
    assert [va for va, _ in lines_of(feeder(car, edition=2020))] == [3840, 960]
    assert [va for va, _ in lines_of(feeder(car, edition=2023))] == [7200, 1800]


def test_fixed_heat_counts_whole_and_no_more():
    """220.51: 100 % of what is connected."""
    heater = machine("heater", 240, 20, "power", kind="space heat")
    assert lines_of(feeder(heater)) == [(4800, "NEC 220.51")]


def test_an_air_conditioner_with_a_combination_nameplate():
    """440.35: the minimum circuit ampacity holds its 125 %; another motor may still be largest."""
    split = machine("split", 240, 14, "mca", kind="cooling", continuous=True)
    assert [va for va, _ in lines_of(feeder(split))] == [14 * 240]
    assert [va for va, _ in lines_of(feeder(split, SAW))] == [14 * 240, 2880, 720]


def test_three_welders():
    """630.11(B): the two largest whole, the third at 85 %."""
    welders = [machine(f"w{amps}", 240, amps, "i1eff") for amps in (20, 30, 24)]
    assert [va for va, _ in lines_of(feeder(*welders))] == [0.85 * 20 * 240, 7200, 5760]


@pytest.mark.parametrize(
    ("kind", "continuous", "extra"),
    [(None, False, 450), (None, True, 450), ("kiln", False, 0), ("compressor", False, 450)],
)
def test_what_is_marked_in_amperes_may_be_the_largest_motor(kind, continuous, extra):
    """25 % of 15 A × 120 V once: as a motor, or because it runs three hours or more."""
    marked = machine("marked", 120, 15, kind=kind, continuous=continuous)
    assert total_va(shop_feeder_lines(feeder(marked))) == 1800 + extra


def test_the_motor_that_adds_most_is_the_largest():
    """13.8 A at 120 V is more current than 12 A at 240 V, and less load: 720 VA are added."""
    band_saw = machine("band saw", 120, 13.8, "motor")
    assert lines_of(feeder(band_saw, SAW))[-1] == (720, "NEC 430.24")


@pytest.mark.parametrize(("yokes", "governs"), [(4, 1008), (5, 1008), (6, 1125)])
def test_a_dwelling_garage_counts_by_floor_or_by_outlets(yokes, governs):
    """2023, 336 ft² at 3 VA = 1008 VA; 36 W × 1.25 = 45 VA and 180 VA a yoke: the larger."""
    garage = feeder(floor="dwelling unit", area=336, watts=36, yokes=yokes)
    assert total_va(shop_feeder_lines(garage)) == governs


def test_a_dwelling_garage_has_no_receptacle_demand_factor():
    """220.47 is for other than dwelling units: 60 yokes are 10,800 VA."""
    assert total_va(shop_feeder_lines(feeder(floor="dwelling unit", yokes=60))) == 10_800
    assert total_va(shop_feeder_lines(feeder(floor=None, yokes=60, edition=2020))) == 10_800
    assert total_va(shop_feeder_lines(feeder(floor="workshop", yokes=60))) == 10_400


@pytest.mark.parametrize(("edition", "va"), [(2017, 100), (2020, 1700), (2023, 1700)])
def test_a_workshop_is_lit_by_its_floor_since_2020(edition, va):
    """1000 ft² at 1.7 VA, 125 % in it; in 2017 the luminaires: 80 W × 1.25."""
    shop = feeder(edition=edition, floor="workshop", area=1000, watts=80)
    assert total_va(shop_feeder_lines(shop)) == va


@pytest.mark.parametrize(
    ("kind", "dwelling", "floors"),
    [
        ("garage", True, [None, None, "dwelling unit"]),
        ("basement", True, ["dwelling unit"] * 3),
        ("accessory building", True, ["workshop"] * 3),
        ("shop", True, ["workshop"] * 3),
        ("garage", False, ["workshop"] * 3),
    ],
)
def test_as_what_a_floor_counts(kind, dwelling, floors):
    """220.12 (2017) and 220.11 (2020) leave garages out of a dwelling, 220.5(C) (2023) does not."""
    assert [floor_counted(kind, edition, dwelling=dwelling) for edition in EDITIONS] == floors


def test_an_interlock_leaves_out_what_lessens_the_total_least():
    """220.60: kiln 48 A × 240 V × 1.25 = 14,400 VA beside the welder's 5760 VA."""
    lock = Interlock(frozenset({"kiln", "welder"}), 1)
    free, locked = feeder(KILN, WELDER), feeder(KILN, WELDER, interlocks=(lock,))
    assert total_va(shop_feeder_lines(free)) == 14_400 + 5760
    assert total_va(shop_feeder_lines(locked)) == 14_400
    assert (0, "NEC 220.60") in lines_of(locked)


def test_what_is_left_out_is_told_once_for_each_reason():
    """With the saw on, an interlock holds off the kiln; nobody is there for welder and planer."""
    planer = machine("planer", 240, 17.0, "motor")
    lock = Interlock(frozenset({"kiln", "saw"}), 1)
    given = feeder(SAW, KILN, WELDER, planer, interlocks=(lock,))
    lines = shop_feeder_lines(given._replace(sets=(frozenset({"saw"}),)))
    assert [line.says for line in lines if not line.va] == [
        "left out, kept off by a listed interlock: kiln",
        "left out, with nobody to attend, which the authority takes as noncoincident: welder,"
        " planer",
    ]


def test_areas_and_amperes_are_written_with_thousands():
    """1897.64 ft² at 1.7 VA (220.42(A), 2023) is 3226 VA."""
    [line] = shop_feeder_lines(feeder(floor="workshop", area=1897.64, watts=80))
    told = "lighting of a workshop by its floor, 1,898 ft², 125 % included"
    assert (line.says, line.va) == (told, 3226)


def test_a_smaller_motor_may_be_the_worse_of_two():
    """Forum on 220.60: 110 A of heat or a motor of 100 A: 125 A, because of its 25 %."""
    heat = machine("heat", 240, 110, "power", kind="space heat")
    motor = machine("motor", 240, 100, "motor")
    lock = Interlock(frozenset({"heat", "motor"}), 1)
    assert feeder_amps(total_va(shop_feeder_lines(feeder(heat, motor, interlocks=(lock,))))) == 125


def test_beside_a_larger_motor_the_heat_is_the_worse():
    """The same forum: with a 120 A motor beside them 110 A counts, not 100 A and no 25 %."""
    heat = machine("heat", 240, 110, "power", kind="space heat")
    motor, other = machine("motor", 240, 100, "motor"), machine("other", 240, 120, "motor")
    lock = Interlock(frozenset({"heat", "motor"}), 1)
    found = total_va(shop_feeder_lines(feeder(heat, motor, other, interlocks=(lock,))))
    assert feeder_amps(found) == 110 + 150


GROUPS = st.lists(
    st.tuples(st.frozensets(st.sampled_from("abcdef"), min_size=2), st.integers(1, 3)), max_size=3
)


@given(GROUPS, st.lists(st.integers(1, 60), min_size=5, max_size=5))
def test_the_total_is_the_largest_that_the_interlocks_allow(groups, amps):
    """Against every subset of the machines, each asked group by group."""
    machines = [machine(name, 240, a, "motor") for name, a in zip("abcde", amps, strict=True)]
    locks = tuple(Interlock(*group) for group in groups)
    allowed = [
        some
        for count in range(6)
        for some in combinations(machines, count)
        if all(sum(m.id in lock.machines for m in some) <= lock.at_most for lock in locks)
    ]
    best = max(total_va(shop_feeder_lines(feeder(*some))) for some in allowed)
    assert total_va(shop_feeder_lines(feeder(*machines, interlocks=locks))) == best


def test_sets_that_interlocks_let_run():
    lock = Interlock(frozenset({"a", "b", "c"}), 2)
    assert sets_on("abcd", [lock]) == tuple(map(frozenset, ("abd", "acd", "bcd")))
    assert sets_on("ad", [lock]) == (frozenset("ad"),)


def test_area_of_an_outline():
    """A shed of 46 × 18 ft with a room of 16 × 12 ft, whichever way round."""
    corners = [(0, 0), (46, 0), (46, 30), (30, 30), (30, 18), (0, 18)]
    assert floor_area_ft2(corners) == floor_area_ft2(corners[::-1]) == 46 * 18 + 16 * 12
