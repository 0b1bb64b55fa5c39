"""The same plan under another edition: what comes, what goes, what stands elsewhere.

What the editions ask is from outside: since 2020 ground-fault protection covers garage receptacles
up to 250 V, before only 125 V 15 and 20 A (trade magazine on the changes of 2020); 210.23(A)(1)
became 210.23(B)(1) in 2023, when 10 A circuits were put in as (A) (trade course on 2023).
"""

import io
from pathlib import Path

import pytest
from rich.console import Console

from branchwright.edition_change import EditionChange
from branchwright.findings_report import edition_report
from models.plan import Plan
from models.plan_file import canonical_json, sha256_text
from models.rules import check_plan
from models.shop import Shop
from models.shop_edit import changed
from tests.models.rules.test_hand_plan import GARAGE, PLAN, edited

NO_GFCI_FOR_THE_SAW = [
    ("circuits[C3].gfci_at", []),
    ("circuits[C3].breaker.gfci", False),
    ("circuits[C3].breaker.kind", "plain"),
    ("outlets[E1].protected_by", None),
]


def plan_for(edition, edits=(), data=PLAN):
    """A plan for a shop of an edition, with some values changed."""
    shop = changed(Shop.model_validate(data["source"]["shop"]), [("code.edition", edition)])
    source = shop.canonical()
    data = edited(data, "made_by.edition", edition)
    data = edited(data, "source", {"shop": source, "sha256": sha256_text(canonical_json(source))})
    for path, value in edits:
        data = edited(data, path, value)
    return Plan.model_validate(data)


def report(plan, change, width=100):
    stream = io.StringIO()
    edition_report(Console(file=stream, width=width, highlight=False), Path("p"), plan, change)
    return " ".join(stream.getvalue().split())


@pytest.fixture
def saw_2017():
    """Made for 2017: the 240 V saw needs no protection there."""
    return plan_for(2017, NO_GFCI_FOR_THE_SAW)


@pytest.mark.parametrize("edition", [2020, 2023])
def test_protection_of_the_240_volt_saw_comes_after_2017(saw_2017, edition):
    change = EditionChange.of(saw_2017, edition)
    assert [(f.rule, f.where, f.severity) for f in change.comes] == [
        ("gfci-scope", "E1", "violation")
    ]
    assert change.goes == []
    assert change.states()["gfci-scope:E1"] == "new"
    text = report(saw_2017, change)
    for words in (f"Made for NEC 2017, its rules read again as NEC {edition}", "DO NOT BUILD"):
        assert words in text
    for words in (f"Comes with {edition} circuit C3", "nothing else of the code"):
        assert words in text


def test_protection_of_the_240_volt_saw_goes_with_2017():
    plan = plan_for(2023, NO_GFCI_FOR_THE_SAW)
    change = EditionChange.of(plan, 2017)
    assert [f.key for f in change.goes] == ["gfci-scope:E1"]
    assert change.comes == []
    assert change.states()["gfci-scope:E1"] == "absent"
    assert "gfci-scope:E1" not in {f.key for f in change.after}
    assert "Goes with 2017" in report(plan, change)


def test_what_stands_in_another_section_is_told_with_both():
    """A 13.8 A saw on a shared 20 A circuit with 15 A plugs: 12 A at most."""
    edits = [
        ("machines[band-saw].outlet", "W1.bottom"),
        ("machines[band-saw].circuit", "C4"),
        ("circuits[C4].breaker.amps", 15.0),
    ]
    plan = plan_for(2023, edits, GARAGE)
    change = EditionChange.of(plan, 2017)
    pair = next(pair for pair in change.renumbered if pair.now.key == "cord-load:band-saw")
    assert "210.23(B)(1)" in pair.was.source
    assert "210.23(A)(1)" in pair.now.source
    assert change.states()["cord-load:band-saw"] == "updated"
    text = report(plan, change)
    assert "Stays, under another section of 2017" in text
    assert "in 2023: NEC 210.21(B)(2), 210.23(B)(1)" in text
    document = change.document()
    assert document["made_for"] == 2023
    assert {"key": "cord-load:band-saw", "was": pair.was.source, "now": pair.now.source} in (
        document["renumbered"]
    )


def test_claims_of_the_plan_file_are_held_against_its_own_edition():
    """Grounds past four count a quarter more since 2020 (314.16(B)(5)): the fill differs by
    edition, and a plan that states the one of its own edition states nothing wrong.
    """
    ground = PLAN["circuits"][1]["runs"][0]["conductors"][-1]
    assert ground["role"] == "ground"
    plan = plan_for(2017, [("circuits[C2].runs[0].conductors", lambda c: [*c, *[ground] * 6])])
    other = {f.says for f in check_plan(plan, 2023) if f.rule == "box-make-up"}
    own = {f.says for f in check_plan(plan) if f.rule == "box-make-up"}
    assert other - own
    change = EditionChange.of(plan, 2023)
    assert {f.says for f in change.after if f.rule == "box-make-up"} == own
    assert change.comes == []


def test_under_its_own_edition_nothing_changes(saw_2017):
    change = EditionChange.of(saw_2017, 2017)
    assert (change.comes, change.goes, change.changed, change.renumbered) == ([], [], [], [])
    assert set(change.states().values()) == {"unchanged"}
    assert len(change.states()) == len(change.after)
    assert "No finding comes and none goes." in report(saw_2017, change)


def test_every_finding_has_one_state(saw_2017):
    change = EditionChange.of(saw_2017, 2023)
    keys = [f.key for f in (*change.after, *change.goes)]
    assert sorted(keys) == sorted(change.states())


def test_a_finding_that_differs_is_told_with_what_it_was(four_box):
    """As with fill: the same box is too full by other numbers."""
    was = check_plan(four_box)[0].model_copy(update={"severity": "violation", "says": "24 of 22"})
    now = was.model_copy(update={"says": "22.5 of 22", "edition": 2017})
    change = EditionChange(2023, 2017, (was,), (now,))
    assert [pair.now.says for pair in change.changed] == ["22.5 of 22"]
    assert change.renumbered == []
    text = report(four_box, change)
    assert text.index("Stays, but differs") < text.index("22.5 of 22") < text.index("in 2023: 24")
