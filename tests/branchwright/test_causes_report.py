"""The first answer on the terminal, where no plan meets a shop: numbers, letters, prices."""

import io
import re

import pytest
from rich.console import Console

from branchwright.causes_report import causes_report, tried_words
from solver.causes import Cause, Remedy
from solver.remedies import LeastChanges, Part
from tests.branchwright.conftest import HOSTILE

BUS = (("supply.panels[P].bus", "200 A"),)
SPACES = (("supply.panels[P].spaces", 30),)
PIPE = (("routes.raceways[R9]", {"kind": "EMT", "trade_size": "1", "ends": ["P", "K"]}),)
LOCK = (("use.never_together[+]", {"machines": ["kiln", "saw"], "by": "interlock"}),)
CAUSES = [
    Cause("no way", "K", "nothing leads to K", (Remedy("lay 1 in EMT", PIPE, True, "", 410.0),)),
    Cause(
        "load", "P", "324 A of 90 A",
        (
            Remedy("a bus of 200 A", BUS, True, "", 410.0),
            Remedy("an interlock of kiln and saw", LOCK, True, "", 400.5),
            Remedy("a promise", (("note", "p"),), False, "still 300 A"),
        ),
    ),
    Cause("spaces", "P", "4 spaces short", (Remedy("30 spaces", SPACES, True, "", 410.0),), True),
]  # fmt: skip
LEAST = LeastChanges(
    (
        Part("lay 1 in EMT", PIPE, "no way", "K", 50.99, ()),
        Part("a bus of 200 A", BUS, "load", "P", -9.0, ("panel P",)),
        Part("30 spaces", SPACES, "spaces", "P", 0.0, ()),
    ),
    410.0,
    each_needed=True,
)


def printed(causes, least, width=100, **how):
    stream = io.StringIO()
    out = Console(file=stream, width=width, highlight=False, force_terminal=False)
    causes_report(out, causes, least, **how)
    return stream.getvalue()


def words(text):
    return " ".join(text.split())


def test_the_answer_in_its_order():
    """What cannot be met, the changes with letters, their lines for the file, other ways, next."""
    text = printed(CAUSES, LEAST)
    heads = [
        "No plan was found that meets the shop as it is written.",
        "What cannot be met",
        "The least changes found that lead to a plan",
        "In the shop file",
        "What else was thought of",
        "What next",
    ]
    assert [line for line in text.splitlines() if line in heads] == heads
    for row in (
        r"a +lay 1 in EMT +1 +\$50\.99",
        r"b +a bus of 200 A +2 +ask: panel P; saves \$9\.00",
        r"c +30 spaces +3 +in the panel of b",
    ):
        assert re.search(row, text), row
    said = words(text)
    assert "about $410.00 of material in all. Not in it: panel P." in said
    assert "b and c are one new panel P." in said
    assert "Ask for the prices that are missing." in said
    assert "Or take a way that works in place of one of them." in said
    assert "Each was left out once: no plan was found without it." in said
    assert "a routes.raceways[R9]: {kind: EMT, trade_size: 1, ends: [P, K]}" in said
    assert said.index("324 A of 90 A") < said.index("comes to light") < said.index("4 spaces short")


def test_other_ways_say_what_they_take_the_place_of():
    said = words(printed(CAUSES, LEAST))
    assert (
        "instead of b: an interlock of kiln and saw (tried: a plan exists then, $9.50 less;"
        " not priced: the interlock of kiln and saw)"
    ) in said
    assert "use.never_together, one more: {machines: [kiln, saw], by: interlock}" in said
    assert "a promise (tried, and then: still 300 A)" in said


def test_a_wish_that_is_given_up_is_said():
    part = Part("keep none spare", (("later.spare_spaces", None),), "spaces", "P", 0.0, (), True)
    cause = Cause("spaces", "P", "short", (Remedy(part.says, part.changes, True, gives_up=True),))
    said = words(printed([cause], LeastChanges((part,), 410.0, each_needed=True)))
    assert "keep none spare 1 a wish is given up" in said
    assert "later.spare_spaces: taken away" in said
    assert "write it into the shop file, and plan again." in said
    assert "Or take a way" not in said


def test_without_a_full_set_and_when_stopped():
    said = words(printed(CAUSES[1:2], None))
    assert "The least changes" not in said
    assert "What might help" in said
    assert "No full set of changes was found." in said
    assert "stopped" in words(printed(CAUSES[1:2], None, stopped=True))


def test_not_each_is_said_to_be_needed_unless_it_was_tried():
    unsure = LeastChanges(LEAST.parts, 410.0, each_needed=False)
    assert "Each was left out once" not in words(printed(CAUSES, unsure))


def test_a_long_reason_is_cut_between_words():
    remedy = Remedy("x", (), False, "word " * 60)
    text = tried_words(remedy)
    assert len(text) < 190
    assert text.endswith("word …")


@pytest.mark.parametrize("width", [60, 80, 120])
def test_it_fits_the_terminal(width):
    text = printed(CAUSES, LEAST, width=width)
    assert max(len(line.rstrip()) for line in text.splitlines()) <= width


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_printed_as_text(name):
    cause = Cause(name, name, name, (Remedy(name, (("note", name),), True, "", 1.0),))
    part = Part(name, (("note", name),), name, name, 0.0, (name,))
    text = printed([cause], LeastChanges((part,), 1.0, each_needed=True))
    assert "\x1b" not in text
    assert "\x00" not in text
