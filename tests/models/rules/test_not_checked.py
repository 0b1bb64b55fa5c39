"""What is not checked: one line for each subject that a shop has something of."""

import pytest

from models.rules import not_checked
from models.rules.code_book import code_book
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import say, shop_of


def subjects(edit=lambda data: None):
    return {f.where: f.says for f in found(not_checked, edit)}


def test_a_dozen_lines_of_the_books_own_subjects():
    told = subjects()
    assert 6 <= len(told) <= 14
    assert set(told) <= {entry.subject for entry in code_book()}


def test_every_finding_is_an_open_question():
    for finding in found(not_checked, lambda data: None):
        assert finding.severity == "not-checked"
        assert finding.fix
        assert len(finding.says) < 700


def test_it_names_what_is_open_and_why():
    """Staples are for eyes on the spot (334.30), the fault current is stated nowhere (110.9)."""
    told = subjects()
    assert "on the spot: staples" in told["cable practice"]
    assert "(334.30)" in told["cable practice"]
    assert "not stated: " in told["panel"]
    assert "the available fault current (110.9)" in told["panel"]


@pytest.mark.parametrize(
    ("subject", "edit"),
    [
        ("detached building", lambda data: say(data, attached="no")),
        ("ground-fault protection", lambda data: say(data, dwelling="no")),
        ("multiwire circuits", lambda data: circuit_of(data, "C1").update(multiwire_with="C2")),
    ],
)
def test_subjects_come_with_what_they_are_about(subject, edit):
    open_subjects = {entry.subject for entry in code_book() if entry.left_open}
    assert subject not in subjects()
    assert (subject in subjects(edit)) is (subject in open_subjects)


def test_motors_and_dwellings_go():
    """A shop with neither has no questions about them; the shed has as far as any are open."""

    def edit(data):
        say(data, dwelling="no")
        saw = next(m for m in shop_of(data)["machines"] if m["id"] == "saw")
        del saw["motor"]
        saw["marked"] = "12 A"

    meant = {"motors", "arc-fault protection", "required outlets"}
    assert meant & subjects(edit).keys() == set()
    assert meant & subjects().keys() == meant & {e.subject for e in code_book() if e.left_open}


def test_sections_are_those_of_the_edition():
    """An electrode is 250.32(A) in all; 225.41 came in 2023."""

    def told(edition):
        return subjects(lambda data: say(data, edition, attached="no"))["detached building"]

    assert "225.41" in told(2023)
    assert "225.41" not in told(2020)
