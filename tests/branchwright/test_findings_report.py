"""Findings on the terminal: one line each where it fits, by place, with what each rests on."""

import io

import pytest
from rich.console import Console

from branchwright.findings_report import findings_report, rule_report, rules_report
from branchwright.sheets.findings import source_words, value_words
from models.plan import Finding
from models.rules import RULES
from tests.branchwright.conftest import HOSTILE


def printed(report, *arguments, width=160):
    stream = io.StringIO()
    report(Console(file=stream, width=width, highlight=False, force_terminal=False), *arguments)
    return stream.getvalue()


def finding(key, **facts):
    given = {
        "rule": "box-fill", "severity": "violation", "where": "N1", "says": f"{key} is amiss",
        "source": "NEC 314.16(B)", "edition": 2023, "basis": "code",
    }  # fmt: skip
    return Finding(key=key, **(given | facts))


FOUND = (
    finding("a", found=31.5, limit=30.3, unit="in³", fix="take a larger box"),
    finding("b", fix="take a larger box"),
    finding("c", severity="warning", where="C1", basis="habit", source="practice", edition=None),
    finding("d", severity="note", where="saw", basis="maker", rests_on_memory=True),
    finding("e", severity="not-checked", where="bundling", fix="ask the electrician"),
    finding("f", severity="not-checked", where="motors", fix="ask the electrician"),
)


def report(plan, width=160):
    return printed(findings_report, "p", plan, FOUND, width=width)


def test_one_line_each_where_the_terminal_is_wide_enough(four_box):
    """Severity, what, limit, and in brackets rule, section, edition and basis."""
    lines = [line.strip() for line in report(four_box).splitlines()]
    assert "violation  a is amiss (31.5 of 30.3 in³) [box-fill: NEC 314.16(B) (2023), law]" in lines
    assert "warning    c is amiss [box-fill: practice, habit, not law]" in lines
    memory = "maker's instruction, from memory"
    assert f"note       d is amiss [box-fill: NEC 314.16(B) (2023), {memory}]" in lines


def test_findings_stand_under_their_place_the_worst_first(four_box):
    text = report(four_box)
    heads = ["circuit C2: ", "circuit C1: ", "machine cabinet saw, at E1", "Not checked"]
    at = [text.index(head) for head in heads]
    assert at == sorted(at)


def test_the_same_next_step_is_told_once(four_box):
    text = report(four_box)
    assert text.count("next: take a larger box") == 1
    assert text.index("b is amiss") < text.index("next: take a larger box")
    assert text.count("next: ask the electrician") == 1


@pytest.mark.parametrize("width", [40, 60, 80, 140])
def test_nothing_is_cut_off_at_any_width(four_box, width):
    text = report(four_box, width)
    assert max(map(len, text.splitlines())) <= width
    words = " ".join(text.split())
    for one in FOUND:
        assert one.says in words
        assert all(part in words for part in source_words(one).split())


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_printed_as_text(name, renamed):
    """In headings of places, in sentences and in open questions."""
    plan = renamed(name)
    hostile = (
        finding("a", says=name, fix=name, where="saw"),
        finding("b", says=name, where=name, severity="not-checked"),
    )
    text = printed(findings_report, "p", plan, hostile)
    assert "\x1b" not in text
    assert "\x00" not in text
    assert "\u202e" not in text
    if "[/]" in name:
        assert text.count("[bold]markup[/bold] [/]") >= 3


@pytest.mark.parametrize(
    ("says", "found", "limit", "unit", "words"),
    [
        ("N1 is too full", 31.5, 30.3, "in³", "31.5 of 30.3 in³"),
        ("N1 has 30.3 in³, its contents need 31.5 in³", 31.5, 30.3, "in³", ""),
        ("saw + drill on C1 = 23 A of 20 A", 23.0, 20.0, "A", ""),
        ("saw on C1 takes 12.3 A of 12 A", 12.333, 12.0, "A", ""),
        ("E1 on C20 is a 5-20R of 23.", 23.0, 20.0, "A", "23 of 20 A"),
        ("a breaker of 17 A is no standard rating", 17.0, None, "A", ""),
        ("plug 5-15P does not go in", "5-15P", "6-20R", None, "5-15P of 6-20R"),
        ("one lamp circuit", None, 2.0, "circuits", "limit 2 circuits"),
    ],
)
def test_a_limit_is_told_once(says, found, limit, unit, words):
    """Not again where the sentence names both numbers; a number within a name does not count."""
    assert value_words(finding("a", says=says, found=found, limit=limit, unit=unit)) == words


@pytest.mark.parametrize("rule", sorted(RULES))
def test_a_rule_is_told_in_words(rule):
    text = " ".join(printed(rule_report, RULES[rule], width=90).split())
    for name in ("asks", "why", "source", "basis", "if it fires"):
        assert f" {name} " in text
    assert " ".join(RULES[rule].says.split()) in text
    assert ("from memory" in text) >= RULES[rule].rests_on_memory


def test_all_rules_are_listed_by_what_they_rest_on():
    text = printed(rules_report)
    heads = ["Law where", "Maker's instruction", "Habit, not law", "Claims of the plan"]
    at = [text.index(head) for head in heads]
    assert at == sorted(at)
    for name, rule in RULES.items():
        assert rule.title in text
        place = text.index(f"  {name} ")
        basis = ("code", "maker", "habit", "plan").index(rule.basis)
        assert at[basis] < place < [*at, len(text)][basis + 1], name
