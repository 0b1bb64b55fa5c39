"""A junction box J on the south wall of the plan on paper, with 4 AWG pulled through it.

The run from panel P to E1 comes in from the west (R1) and goes on east (R2), up (R3) or back. Sums
by 314.28(A): straight 8 times the largest raceway; else 6 times and the others of the wall.
"""

import pytest

from models.rules import pull_boxes
from tests.models.rules.four_box import found, run_of

J = [5, 0, 4]
WEST = [[0, 2, 5], [0, 0, 5], [0, 0, 4], J]
ON = {
    "east": [J, [10, 0, 4], [10, 4, 4]],
    "up": [J, [5, 0, 7], [10, 0, 7], [10, 4, 7], [10, 4, 4]],
    "back": [J, [3, 0, 4], [3, 0, 7], [10, 0, 7], [10, 4, 7], [10, 4, 4]],
    "through the wall": [J, [5, 2, 4], [10, 2, 4], [10, 4, 4]],
}


def raceway(name, start, end, path, trade_size):
    return {
        "id": name, "kind": "EMT", "trade_size": trade_size, "start": start, "end": end,
        "path": path, "length_ft": 1.0, "life": "new", "ledgers": [],
    }  # fmt: skip


def put_box(data, size, *, wall="south", life="new"):
    """Put J on the south wall, or on the ceiling."""
    at = {"wall": wall, "x": "5 ft"} if wall else {"ceiling": ["5 ft", "0 ft"]}
    data["source"]["shop"]["routes"] = {"junction_boxes": [{"id": "J", **at}]}
    data["boxes"].append(box(size, wall, life))


def box(size, wall, life):
    return {
        "id": "J", "kind": "junction", "place": J, "wall": wall, "gangs": 1, "box": size,
        "volume_in3": 576.0, "fill_in3": 0.0, "internal_clamps": False, "yokes": [],
        "conductors": [], "splices": [], "location": "dry", "reachable_from_floor": True,
        "life": life, "known": "verified",
    }  # fmt: skip


def pulled(size, on="east", *, sizes=("2", "2"), awg="4", extra=(), spliced=False, **more):
    """What is found of J when it has this size: (rule, severity, found, limit)."""

    def edit(data):
        put_box(data, size, **more)
        data["raceways"] = [
            raceway("R1", "P", "J", WEST, sizes[0]),
            raceway("R2", "J", "E1", ON[on], sizes[1]),
            *extra,
        ]
        run = run_of(data, "C3.1")
        run |= {"method": "raceway", "via": ["J"], "raceways": ["R1", "R2"]}
        for conductor in run["conductors"]:
            conductor |= {"awg": awg, "insulated": True}
        circuit = next(c for c in data["circuits"] if c["id"] == "C3")
        if spliced:
            first, second = dict(run), dict(run)
            first |= {"via": [], "raceways": ["R1"], "end": "J"}
            second |= {"id": "C3.2", "via": [], "raceways": ["R2"], "start": "J"}
            circuit["runs"] = [first, second]
        for name in (r["id"] for r in extra):
            other = run_of(data, "C2.1")
            other |= {"method": "raceway", "raceways": [name], "end": "J"}

    return [
        (f.rule, f.severity, f.found, f.limit)
        for f in found(pull_boxes, edit)
        if f.rule == "pull-box-size" and f.where == "J"
    ]


TOO_SMALL = "pull-box-size", "violation"


def test_a_straight_pull():
    """Trade magazine quiz: 2 in, 16 in long; nothing is asked of the height."""
    assert pulled("16 x 6 x 4") == []
    assert pulled("15 x 6 x 4") == [(*TOO_SMALL, 15.0, 16.0)]
    assert pulled("15 x 6 x 4", sizes=("2", "1-1/2")) == [(*TOO_SMALL, 15.0, 16.0)]


def test_an_angle_pull():
    """Home repair article: 2 in each way, 12 x 12 in."""
    assert pulled("12 x 12 x 4", "up") == []
    assert pulled("11 x 12 x 4", "up") == [(*TOO_SMALL, 11.0, 12.0)]
    assert pulled("12 x 11 x 4", "up") == [(*TOO_SMALL, 11.0, 12.0)]


def test_a_u_pull_counts_both_entries_of_its_wall():
    """Two of 2 in in one wall: 6 x 2 + 2 = 14 in from there."""
    assert pulled("14 x 6 x 4", "back") == []
    assert pulled("13 x 6 x 4", "back") == [(*TOO_SMALL, 13.0, 14.0)]


def test_a_splice_is_no_straight_pull():
    """314.28(A)(2): 6 times, though one goes on where the other came."""
    assert pulled("12 x 6 x 4", spliced=True) == []
    assert pulled("11 x 6 x 4", spliced=True) == [(*TOO_SMALL, 11.0, 12.0)]


def test_raceways_of_small_conductors_count_in_the_row():
    """A 1 in raceway beside the 2 in one: 6 x 2 + 1 = 13 in."""
    beside = raceway("R3", "P", "J", WEST, "1")
    assert pulled("13 x 12 x 4", "up", extra=[beside]) == []
    assert pulled("12 x 12 x 4", "up", extra=[beside]) == [(*TOO_SMALL, 12.0, 13.0)]


def test_small_conductors_alone_go_by_box_fill():
    assert pulled("4 x 4 x 4", awg="6") == []
    assert pulled("4 x 4 x 4", awg="4") != []


def test_a_square_box_of_the_table_and_one_of_no_known_size():
    """4-11/16 square: 4.6875 in; a straight pull of 3/4 in asks for 6."""
    [fault] = pulled("4-11/16 x 2-1/8 square", sizes=("3/4", "3/4"))
    assert fault == (*TOO_SMALL, 4.688, 6.0)
    assert pulled("existing") == [("pull-box-size", "not-checked", None, None)]


def test_a_box_that_is_there_is_a_warning():
    assert pulled("15 x 6 x 4", life="existing") == [("pull-box-size", "warning", 15.0, 16.0)]


def test_on_a_ceiling_the_shorter_side_counts():
    assert pulled("16 x 12 x 4", wall=None) == [(*TOO_SMALL, 12.0, 16.0)]


@pytest.mark.parametrize(
    ("on", "says"),
    [
        ("up", "R1 and R2 enter J at least 12 in apart"),
        ("through the wall", "R2 enters J opposite its cover: see Table 312.6(A) for its depth"),
        ("east", None),
    ],
)
def test_what_the_plan_does_not_show_is_told(on, says):
    def edit(data):
        put_box(data, "24 x 24 x 6")
        data["raceways"] = [
            raceway("R1", "P", "J", WEST, "2"),
            raceway("R2", "J", "E1", ON[on], "2"),
        ]
        run = run_of(data, "C3.1")
        run |= {"method": "raceway", "via": ["J"], "raceways": ["R1", "R2"]}
        for conductor in run["conductors"]:
            conductor["awg"] = "4"

    told = [(f.says, f.severity) for f in found(pull_boxes, edit) if f.rule == "pull-box-entries"]
    assert (says, "not-checked") in told if says else told == []


def test_a_cable_counts_as_its_raceway():
    """Annex C, Table C.1: two 4 AWG THHN and a bare 10 AWG fit EMT 3/4: 6 x 3/4 = 4.5 in."""

    def edit(data, size):
        data["boxes"] = [b | {"box": size} if b["id"] == "E1" else b for b in data["boxes"]]
        for conductor in run_of(data, "C3.1")["conductors"]:
            conductor["awg"] = "4" if conductor["insulated"] else "10"

    assert found(pull_boxes, lambda data: edit(data, "5 x 5 x 3")) == []
    [finding] = found(pull_boxes, lambda data: edit(data, "4 x 4 x 3"))
    assert (finding.found, finding.limit) == (4.0, 4.5)


def test_a_bare_ground_alone_asks_for_nothing():
    """314.28(A): insulated conductors. With one, a cable like EMT 1/2 asks for 3 in."""

    def edit(data, insulated):
        data["boxes"] = [b | {"box": "2 x 2 x 2"} for b in data["boxes"] if b["id"] == "E1"]
        for conductor in run_of(data, "C3.1")["conductors"]:
            if conductor["role"] == "ground":
                conductor |= {"awg": "4", "insulated": insulated}

    assert found(pull_boxes, lambda data: edit(data, False)) == []
    assert found(pull_boxes, lambda data: edit(data, True)) != []


def test_a_raceway_that_does_not_reach_the_box_is_left_to_its_own_rule():
    def edit(data):
        put_box(data, "4 x 4 x 4")
        data["raceways"] = [raceway("R1", "P", "E1", WEST, "2")]
        run = run_of(data, "C3.1")
        run |= {"method": "raceway", "via": ["J"], "raceways": ["R1", "R1"]}
        for conductor in run["conductors"]:
            conductor["awg"] = "4"

    assert [f for f in found(pull_boxes, edit) if f.where == "J"] == []
