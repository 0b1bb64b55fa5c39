"""Every rule has plain words beside it: why it exists, and what to do when it fires."""

import csv
import re
from pathlib import Path

import pytest

from models.rules import RULES
from models.rules.why import whys

FILE = Path(__file__).resolve().parents[3] / "models" / "rules" / "why.csv"


def test_every_rule_has_its_row_and_no_row_is_left_over():
    assert set(whys()) == set(RULES)


def test_rows_stand_once_in_the_order_of_their_ids():
    """A new rule finds its line, and two people adding rules rarely meet."""
    with FILE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file, strict=True))
    assert rows[0] == ["rule", "why", "remedy"]
    ids = [row[0] for row in rows[1:]]
    assert ids == sorted(set(ids))


@pytest.mark.parametrize("rule", sorted(RULES))
def test_words_are_whole_sentences_in_one_line(rule):
    """One or two sentences each, not the rule's own text again."""
    for words in whys()[rule]:
        assert re.fullmatch(r"[A-Z].{10,250}[.]", words), words
        assert words.count(". ") <= 2
        assert words != RULES[rule].says
