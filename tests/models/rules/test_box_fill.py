"""Box fill on the plan made on paper: conductors that 314.28 counts, and a box that is too full."""

from models.rules import box_fill
from tests.models.rules.four_box import circuit_of, found


def told(edit):
    return [(f.rule, f.where) for f in found(box_fill, edit)]


def test_the_boxes_made_on_paper_are_large_enough():
    assert told(lambda _: None) == []


def test_a_smaller_box_is_too_full():
    """N1 needs 11.25 in³: 2 x 2.25 conductors, one ground, two allowances for the duplex."""

    def smaller(data):
        box = next(b for b in data["boxes"] if b["id"] == "N1")
        box |= {"box": "3 x 2 x 2 device", "volume_in3": 10.0}

    assert ("box-fill", "N1") in told(smaller)


def test_conductors_of_4_awg_take_no_volume_here():
    """They go by 314.28; the other boxes are checked as before."""

    def thick(data):
        for run in circuit_of(data, "C3")["runs"]:
            for conductor in run["conductors"]:
                conductor["awg"] = "4"

    rules = {rule for rule, where in told(thick) if where != "E1"}
    assert rules == set()
    assert ("box-make-up", "E1") in told(thick)
