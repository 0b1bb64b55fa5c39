"""Cross-checks of the code tables against physics, against other tables and among themselves."""

from math import sqrt

import pytest

from models.tables import Row, lookup, read_table

MOTORS = read_table("motors")


@pytest.mark.parametrize(
    "row", read_table("ambient_correction"), ids=lambda row: f"{row.number('ambient_max_c'):g}C"
)
@pytest.mark.parametrize("column_c", [60, 75, 90])
def test_ambient_factors_follow_the_correction_equation(row: Row, column_c: int) -> None:
    """The correction equation of 310.15(B): √((Tc − Ta)/(Tc − 30)) at the hot end of each band."""
    printed = row.number_or_none(f"at_{column_c}c_factor")
    ambient_c = row.number("ambient_max_c")
    if printed is None:
        assert ambient_c >= column_c
        return
    assert printed == pytest.approx(sqrt((column_c - ambient_c) / (column_c - 30)), abs=0.006)


@pytest.mark.parametrize("row", MOTORS, ids=lambda row: row.text("horsepower"))
def test_motor_columns_keep_the_same_power(row: Row) -> None:
    """Table 430.248: twice the voltage is half the current, 208 V is 110 % of it, 200 V 115 %."""
    at_230v = row.number("at_230v_amps")
    assert row.number("at_115v_amps") == pytest.approx(2 * at_230v, rel=0.005)
    assert row.number("at_208v_amps") == pytest.approx(1.10 * at_230v, abs=0.06)
    assert row.number("at_200v_amps") == pytest.approx(1.15 * at_230v, abs=0.06)


def test_small_conductor_limits_are_the_60_c_ampacities() -> None:
    """Table 310.16 since 2011: the 60 °C column of 14, 12 and 10 AWG equals the 240.4(D) limit."""
    for awg in ("14", "12", "10"):
        limit = lookup("small_conductors", material="copper", awg=awg).whole("largest_device_amps")
        assert lookup("ampacity", material="copper", awg=awg).whole("at_60c_amps") == limit


def test_ampacity_grows_with_size_and_with_insulation() -> None:
    for material in ("copper", "aluminum"):
        rows = [row for row in read_table("ampacity") if row.text("material") == material]
        for column in ("at_60c_amps", "at_75c_amps", "at_90c_amps"):
            amps = [row.number(column) for row in rows]
            assert amps == sorted(set(amps))
        for row in rows:
            assert row.number("at_60c_amps") < row.number("at_75c_amps") < row.number("at_90c_amps")


def test_aluminum_grounds_are_two_gauge_numbers_above_copper() -> None:
    """Table 250.122: aluminum is two gauge numbers larger in every row, 1/0 counting as 0."""
    for row in read_table("equipment_grounds"):
        copper, aluminum = (
            1 - int(awg[0]) if awg.endswith("/0") else int(awg)
            for awg in (row.text("copper_awg"), row.text("aluminum_awg"))
        )
        assert copper - aluminum == 2


def test_cord_loads_are_four_fifths_of_the_receptacle() -> None:
    """Table 210.21(B)(2) prints 80 % of the receptacle rating, as 210.23(A)(1) asks."""
    for row in read_table("receptacle_loads"):
        assert row.number("load_amps") == 0.8 * row.number("receptacle_amps")
        assert row.number("receptacle_amps") <= row.number("circuit_amps")


def test_receptacle_wires_add_up() -> None:
    """NEMA WD 6: poles are hots and neutral, wires are poles and ground."""
    for row in read_table("receptacles"):
        neutral, ground = row.text("neutral") == "yes", row.text("ground") == "yes"
        two_legged = row.text("voltage") != "125"
        assert row.whole("hots_count") == 1 + two_legged
        assert row.whole("poles_count") == row.whole("hots_count") + neutral
        assert row.whole("wires_count") == row.whole("poles_count") + ground


def test_each_receptacle_takes_its_own_plug_and_has_a_horsepower() -> None:
    pairs = {(row.text("plug"), row.text("receptacle")) for row in read_table("plug_fit")}
    rated = {row.text("configuration") for row in read_table("receptacle_horsepower")}
    configurations = {row.text("configuration") for row in read_table("receptacles")}
    assert {(name.replace("R", "P"), name) for name in configurations} <= pairs
    assert {receptacle for _, receptacle in pairs} <= configurations
    assert rated == configurations


def test_what_is_from_memory_says_so() -> None:
    """Rows that no public page confirmed keep their mark."""
    memory = {
        f"{name} {row.cells[key]}"
        for name, key in (("nm_cables", "cable"), ("plug_fit", "plug"), ("small_conductors", "awg"))
        for row in read_table(name)
        if row.text("basis") == "from memory"
    }
    assert memory == {
        "nm_cables 10-3",
        "nm_cables 8-3",
        "nm_cables 6-3",
        "plug_fit 1-15P",
        "small_conductors 18",
        "small_conductors 16",
    }
