"""Remedies ranked and priced, with a planner made up for the test; no solver runs here."""

from solver.causes import Cause, Remedy
from solver.remedies import MOST_TRIALS, Trial, try_remedies

SPARE = Remedy("keep none spare", (("later.spare_spaces", None),))
PANEL = Remedy("a panel with 20 spaces", (("supply.panels[P].spaces", 20),))
NOTE = Remedy("another note", (("note", "x"),))


def cause(reason, *remedies):
    return Cause(reason, "P", reason, remedies)


def test_the_cheapest_is_named_and_the_rest_held_against_it(garage):
    """500 without spare spaces, 512.50 in a larger panel, which itself has no price."""
    costs = {12: 500.0, 20: 512.5}
    causes, least = try_remedies(
        garage, [cause("spaces", PANEL, SPARE)], lambda s: Trial(costs[s.panel().spaces])
    )
    assert [(r.says, r.cost_usd, r.more_usd) for r in causes[0].remedies] == [
        ("keep none spare", 500.0, 0.0),
        ("a panel with 20 spaces", 512.5, 12.5),
    ]
    assert least is not None
    assert least.says == ("keep none spare",)
    assert least.priced


def test_a_cause_that_needs_no_remedy_is_left_out(garage):
    """A plan exists as soon as no space is kept spare, whatever the note says."""

    def plans(shop):
        return Trial(None, "too few") if shop.later.spare_spaces else Trial(500.0)

    causes, least = try_remedies(garage, [cause("a", NOTE), cause("b", SPARE)], plans)
    assert [c.reason for c in causes] == ["b"]
    assert least is not None
    assert least.changes == SPARE.changes


def test_what_comes_to_light_is_a_cause_too(garage):
    """Only the note and the spare spaces together lead to a plan; at first one is seen."""
    hidden = cause("spaces", SPARE)

    def plans(shop):
        if shop.note != "x":
            return Trial(None, "note")
        return Trial(None, "spaces", (hidden,)) if shop.later.spare_spaces else Trial(500.0)

    causes, least = try_remedies(garage, [cause("note", NOTE)], plans)
    assert [c.reason for c in causes] == ["note", "spaces"]
    assert least is not None
    assert least.says == ("another note", "keep none spare")
    assert least.each_needed


def test_there_are_only_so_many_trials(garage):
    made = []

    def plans(shop):
        made.append(shop)
        return Trial(None, "no")

    many = [
        cause(f"c{n}", *(Remedy(f"{n}.{m}", (("note", f"{n}.{m}"),)) for m in range(4)))
        for n in range(20)
    ]
    causes, least = try_remedies(garage, many, plans)
    assert len(made) == MOST_TRIALS
    assert causes[-1].remedies[-1].works is None
    assert least is None


def test_what_lifts_a_cause_is_the_way_to_what_hides_behind_it(garage):
    """A larger panel ends the shortage of spaces, no spare ones do not; then a note is missing."""
    short, hidden = cause("spaces", SPARE, PANEL), cause("note", NOTE)

    def plans(shop):
        if shop.panel().spaces != 20:
            return Trial(None, "spaces", (short,))
        return Trial(700.0) if shop.note == "x" else Trial(None, "note", (hidden,))

    causes, least = try_remedies(garage, [short], plans)
    assert causes[0].remedies[0].says == "a panel with 20 spaces"
    assert [c.reason for c in causes] == ["spaces", "note"]
    assert least is not None
    assert least.says == ("a panel with 20 spaces", "another note")
