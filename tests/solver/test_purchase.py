"""The purchase of a plan: every piece, whole lengths, and the least cost against simpler buying."""

from dataclasses import replace
from math import ceil

import pytest

from models.price_book import PriceBook
from models.rules import check_plan
from solver.purchase import purchase
from tests.plan_files import plan_on_file

BOOK = PriceBook.read()


@pytest.fixture(scope="module", params=["one_bay_garage", "two_changeovers", "taken_apart"])
def plan(request):
    return plan_on_file(request.param)


def test_all_that_is_pulled_is_bought_once_and_no_roll_gives_more_than_it_has(plan):
    lines = purchase(plan, BOOK)
    runs = {
        run.id: ceil(round(12 * (run.length_ft + run.allowance_ft), 4))
        for circuit in plan.circuits
        for run in circuit.runs
        if run.life == "new"
    }
    cables = [r for c in plan.circuits for r in c.runs if r.life == "new" and not r.raceways]
    cut = [piece for line in lines if line.key.startswith("NM-B") for piece in line.pieces]
    assert sorted((p.of, p.length_in) for p in cut) == sorted((r.id, runs[r.id]) for r in cables)
    for line in lines:
        used = [0] * line.packages
        for piece in line.pieces:
            used[piece.package - 1] += piece.length_in
        assert all(used)
        assert line.package_ft is None or max(used) <= 12 * line.package_ft


def test_the_rule_finds_nothing_and_finds_what_is_wrong(plan):
    def faults(lines):
        told = check_plan(plan.model_copy(update={"purchase": tuple(lines)}))
        return [f.key for f in told if f.rule == "purchase"]

    lines = purchase(plan, BOOK)
    if plan.made_by.price_book.sha256 == BOOK.sha256:
        assert plan.purchase in (None, lines)
    assert faults(lines) == []
    first = lines[0]
    piece = first.pieces[0]
    longer = (piece.model_copy(update={"length_in": piece.length_in + 1}), *first.pieces[1:])
    for wrong in (
        {"packages": first.packages + 1},
        {"cost_usd": first.cost_usd + 0.02},
        {"package": "a roll"},
        {"pieces": first.pieces[1:]},
        {"pieces": longer},
        {"pieces": (*first.pieces, piece)},
        {"colour": "mauve"},
        {"package_ft": 1.0, "package": "1 ft"},
    ):
        assert faults([first.model_copy(update=wrong), *lines[1:]]), wrong
    assert faults(lines[1:])


def test_one_roll_is_bought_where_it_is_cheaper_than_its_parts(plan):
    """No length alone, and no buying by the foot alone, is cheaper than what is bought."""
    for key in sorted({line.key for line in purchase(plan, BOOK)}):
        sold = BOOK.sold(key)
        bought = [line for line in purchase(plan, BOOK) if line.key == key]
        colours = {line.colour for line in bought}
        for colour in colours:
            mine = [line for line in bought if line.colour == colour]
            pieces = sorted((p.length_in for line in mine for p in line.pieces), reverse=True)
            paid = sum(line.cost_usd for line in mine)
            if sold.cut_cents is not None:
                assert paid <= sum(pieces) / 12 * sold.cut_cents / 100 + 0.005
            for feet, cents in sold.lengths:
                if 12 * feet >= pieces[0]:
                    assert paid <= first_fit(pieces, 12 * feet) * cents / 100 + 0.005


def first_fit(pieces, length):
    """How many lengths the longest-first, first-fit way takes."""
    left: list[int] = []
    for piece in pieces:
        at = next((n for n, room in enumerate(left) if room >= piece), None)
        if at is None:
            left.append(length - piece)
        else:
            left[at] -= piece
    return len(left)


def test_what_no_row_says_how_it_is_sold_is_bought_by_the_foot(plan):
    bare = replace(BOOK, rows={})
    for line in purchase(plan, bare):
        assert (line.package, line.package_ft) == ("by the foot", None)
        feet = sum(piece.length_in for piece in line.pieces) / 12
        assert line.cost_usd == pytest.approx(feet * BOOK.cents(line.key) / 100, abs=1e-3)
