"""Rows of boxes: which boxes they stand for, ids that stay, and what a row may not say."""

from pathlib import Path

import pytest

from models.shop_file import ShopFileError, parse_shop

GOOD = (Path(__file__).parent.parent / "shops" / "four_box.yaml").read_text(encoding="utf-8")
ROW = "id: R, wall: east, from: 1 ft, to: 7 ft, every: 2 ft, height: 4 ft, yokes: [duplex 5-20R]"


def with_row(row, more=""):
    text = GOOD.replace(
        "id: E1, wall: east, y: 4 ft", "id: E1, wall: east, y: 4 ft, height: 2 ft", 1
    )
    text = text.replace("height: 2 ft, height: 4 ft", "height: 2 ft")
    return text.replace("machines:\n", f"rows:\n  - {{{row}}}\n\nmachines:\n", 1) + more


def boxes(row, more=""):
    shop = parse_shop(with_row(row, more))
    return {b.id: shop.position(b)[:2] for b in shop.boxes if b.id[0] in "RQ"}


def problem(row, more=""):
    with pytest.raises(ShopFileError) as caught:
        parse_shop(with_row(row, more))
    return str(caught.value)


def test_a_row_stands_for_single_boxes():
    assert boxes(ROW) == {"R1": (10, 1), "R2": (10, 3), "R3": (10, 5), "R4": (10, 7)}
    shop = parse_shop(with_row(ROW))
    assert shop.rows == ()
    assert "rows" not in shop.canonical()


def test_named_boxes_keep_their_names_and_new_ones_get_higher_numbers():
    """One more place before the first: labels on the wall stay true."""
    named = ROW + ", ids: {R1: 3 ft, Q: 5 ft, R7: 7 ft}"
    assert boxes(named) == {"R1": (10, 3), "Q": (10, 5), "R7": (10, 7), "R8": (10, 1)}


def test_doors_and_panels_are_skipped():
    door = "{id: D, kind: door, wall: east, between: [2 ft, 5 ft 6 in], head: 3 ft}"
    text = with_row(ROW + ", skip: [D]").replace("  ambient:", f"  openings: [{door}]\n  ambient:")
    shop = parse_shop(text.replace("id: E1, wall: east, y: 4 ft", "id: E1, wall: east, y: 6 ft"))
    assert [b.id for b in shop.boxes if b.id[0] == "R"] == ["R1", "R2"]
    row = ROW.replace("wall: east", "wall: west") + ", skip: [P]"
    assert boxes(row) == {"R1": (0, 5), "R2": (0, 7)}


def test_a_row_under_the_ceiling_goes_along_an_axis():
    row = (
        "id: R, from: [2 ft, 6 ft], to: [8 ft, 6 ft], every: 3 ft, luminaire: 40 W, switched_by: S1"
    )
    assert boxes(row) == {"R1": (2, 6), "R2": (5, 6), "R3": (8, 6)}


def test_tubing_from_box_to_box():
    shop = parse_shop(with_row(ROW + ", raceway: EMT 3/4"))
    assert [(r.id, r.ends) for r in shop.routes.raceways] == [
        ("R1-R2", ("R1", "R2")),
        ("R2-R3", ("R2", "R3")),
        ("R3-R4", ("R3", "R4")),
    ]


@pytest.mark.parametrize(
    ("row", "where", "words"),
    [
        (ROW.replace("east", "eats"), "rows[R].wall", "closest: 'east'"),
        (ROW + ", ids: {R1: 2 ft}", "rows[R].ids", "where the row has no box"),
        (ROW + ", skip: [X]", "rows[R].skip", "no opening or panel is called 'X'"),
        (ROW + ", skip: [P]", "rows[R].skip", "take it out of `skip`"),
        (ROW.replace("2 ft", "0.1 ft"), "rows[R].every", "must be at least 0.5"),
        (ROW.replace("7 ft", "900 ft").replace("2 ft", "1 ft"), "rows[R].every", "100 at most"),
        (ROW.replace("from: 1 ft", "from: [1 ft, 2 ft]"), "rows[R].from", "on a wall"),
        (ROW.replace("wall: east, ", ""), "rows[R].from", "write points"),
        (ROW.replace("to: 7 ft", "to: 19 ft"), "rows[R].from", "is not on wall 'east'"),
        (ROW.replace("height: 4 ft", "height: 9 ft"), "rows[R].height", "the ceiling 8 ft"),
        (ROW.replace("5-20R", "5-21R"), "rows[R].yokes[1]", "closest: '5-20R'"),
        (ROW.replace(", yokes: [duplex 5-20R]", ""), "rows[R]", "either `yokes` or `luminaire`"),
        (ROW + ", two_circuits: yes", "rows[R]", "needs two yokes"),
        (ROW + ", switched_by: S1", "rows[R].switched_by", "holds no luminaire"),
    ],
)
def test_what_a_row_may_not_say_is_told_at_the_row(row, where, words):
    """In the line of the row, whatever box of it is meant."""
    line = with_row(row).split("- {id: R")[0].count("\n") + 1
    for message in problem(row).splitlines():
        assert message.startswith(f"shop.yaml:{line}:"), message
        assert f" {where}: " in message
        assert words in message


def test_a_slantwise_row_under_the_ceiling():
    row = "id: R, from: [2 ft, 6 ft], to: [8 ft, 7 ft], every: 3 ft, luminaire: 40 W"
    assert "slantwise" in problem(row)
