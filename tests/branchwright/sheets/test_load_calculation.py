"""The load calculation on paper: each line with its section, the sum, and what it is not."""

import pytest

from branchwright.page import page_html
from branchwright.sheets.legs import leg_loads
from branchwright.sheets.load_calculation import load_calculation
from models.plan import LoadLine

LINES = (
    LoadLine(says="luminaires, 200 W", va=200, source="NEC 220.14(D)"),
    LoadLine(says="saw: motor, 12 A at 240 V by Table 430.248", va=2880, source="NEC 430.24"),
    LoadLine(says="kiln: left out", va=0, source="NEC 220.60"),
)


@pytest.fixture
def calculated(four_box):
    """The four-box plan with a calculation of 3080 VA, 12.8 A."""
    feeder = four_box.feeders[0].model_copy(update={"load_calculation": LINES})
    return four_box.model_copy(update={"feeders": (feeder,)})


def test_every_line_and_the_sum(calculated):
    table = load_calculation(calculated)
    assert [row[2:] for row in table.rows] == [
        ("200", "NEC 220.14(D)"),
        ("2,880", "NEC 430.24"),
        ("0", "NEC 220.60"),
        ("3,080", "NEC 220.5"),
    ]
    assert table.rows[-1][1] == "in all 13 A at 240 V, feeder breaker 40 A"
    assert table.marks == ("", "", "quiet", "")


def test_a_plan_written_before_has_none(four_box):
    assert load_calculation(four_box).rows == ()
    assert "<h2>Load calculation</h2>" not in page_html(four_box, "0" * 64)


def test_the_page_keeps_both_numbers_apart(calculated):
    page = page_html(calculated, "0" * 64)
    assert page.index("<h2>Load of the legs</h2>") < page.index("<h2>Load calculation</h2>")
    assert "neither takes the place of the other" in page
    assert "stands by itself" in leg_loads(calculated).note


def test_words_from_a_file_are_cleaned(four_box):
    line = LoadLine(says="red\x1b[31m\u202e<script>", va=1, source="NEC\n1")
    feeder = four_box.feeders[0].model_copy(update={"load_calculation": (line,)})
    plan = four_box.model_copy(update={"feeders": (feeder,)})
    assert load_calculation(plan).rows[0][1:] == ("red\ufffd[31m<script>", "1", "NEC 1")
    assert "<script>" not in page_html(plan, "0" * 64)
