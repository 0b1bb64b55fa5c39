"""Certificates of bounds: rechecked, and with every kind of thing in them changed."""

import json

import pytest

from models.plan_file import canonical_json, sha256_text
from models.price_book import PriceBook
from solver.bound.certificate import CERTIFICATE_FORMAT
from solver.bound.least import least
from solver.bound.recheck import CertificateError, recheck
from solver.candidate import MONEY
from solver.plan import plan_shop
from solver.solve import Control
from tests.solver.conftest import circuits_of


@pytest.fixture(scope="module")
def certified():
    """A plan with its bound, and the certificate as JSON holds it."""
    from tests.slow.test_least_plan import readable

    shop = readable(7)
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    found = least(circuits_of(shop), Control())
    assert plan is not None
    assert found is not None
    bounded = plan.objective.model_copy(update={"lower_bound": round(found.bound / MONEY, 2)})
    plan = plan.model_copy(update={"objective": bounded})
    return plan, json.loads(json.dumps(found.document(plan)))


@pytest.fixture
def again(certified, tmp_path):
    """Recheck a certificate that was changed."""
    plan, document = certified

    def rechecked(change=lambda _: None, book=None, plan=plan):
        copy = json.loads(json.dumps(document))
        copy = change(copy) or copy
        file = tmp_path / "bound.json"
        file.write_text(copy if isinstance(copy, str) else json.dumps(copy), "utf-8")
        return recheck(plan, file, book or PriceBook.read())

    return rechecked


def test_what_is_claimed_is_shown(certified, again):
    plan, document = certified
    found = again()
    assert document["format"] == CERTIFICATE_FORMAT
    assert found.shown
    assert found.claimed == plan.objective.lower_bound
    assert found.found == document["bound"] / MONEY
    assert found.rows == len(document["prices"]) > 5


def test_a_plan_that_claims_more_than_that_is_not_shown(certified, again):
    plan, _ = certified
    more = plan.objective.model_copy(update={"lower_bound": plan.objective.lower_bound + 0.02})
    assert not again(plan=plan.model_copy(update={"objective": more})).shown


@pytest.mark.parametrize("factor", [0, 0.5, 1.5, -1])
def test_every_price_that_is_changed_is_found_or_shows_no_more(certified, again, factor):
    """Whatever the prices are, what they show is true: so it can only be less, and is told."""
    _, document = certified
    for number in range(0, len(document["prices"]), 2):

        def change(copy, number=number):
            copy["prices"][number][1] = int(factor * copy["prices"][number][1])

        try:
            found = again(change)
        except CertificateError as error:
            assert "bound.json" in str(error)
        else:
            assert found.found == pytest.approx(document["bound"] / MONEY, abs=0.01)


def test_a_bound_that_is_raised_is_found(again):
    with pytest.raises(CertificateError, match="some number in it was changed"):
        again(lambda copy: copy.update(bound=copy["bound"] + 1))


@pytest.mark.parametrize("key", ["shop_sha256", "price_book_sha256", "tables_sha256", "tool"])
def test_a_certificate_of_something_else_is_refused(again, key):
    with pytest.raises(CertificateError, match="of another"):
        again(lambda copy: copy.update({key: "0"}))


def test_a_shop_that_was_changed_in_the_plan_is_refused(certified, again):
    plan, _ = certified
    source = plan.source.model_copy(update={"shop": {**plan.source.shop, "name": "Another"}})
    with pytest.raises(CertificateError, match="changed after planning"):
        again(plan=plan.model_copy(update={"source": source}))


def test_another_price_book_is_refused(again, tmp_path):
    book = PriceBook.parse(
        "# name: mine\n# date: 2026-01-15\n# invented: yes\nkey,item,unit,price_usd\n"
        "switch,toggle,each,2.50\n",
        "mine.csv",
    )
    with pytest.raises(CertificateError, match="--prices FILE"):
        again(book=book)


def rename(copy, word, name):
    """Name a row otherwise, the first whose name begins with a word."""
    next(row for row in copy["prices"] if row[0][0] == word)[0][:] = name


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda copy: "{", "not JSON"),
        pytest.param(lambda copy: "9" * 5000, "not JSON", id="endless number"),
        (lambda copy: "[]", "format is None"),
        (lambda copy: copy.update(format="branchwright-bound/2"), "this version reads"),
        (lambda copy: copy.update(bound=str(copy["bound"])), "bound"),
        (lambda copy: copy.update(bound=True), "bound"),
        (lambda copy: copy.update(more=1), "more"),
        (lambda copy: copy.pop("prices") and None, "prices"),
        (lambda copy: copy["prices"].append(["size", 3]), "no name and whole price"),
        (lambda copy: copy["prices"].append([["size", "B0"], 3.5]), "no name and whole price"),
        (lambda copy: copy["prices"].append(copy["prices"][0]), "named twice"),
        (lambda copy: rename(copy, "size", ["size", "B9"]), "no row"),
        (lambda copy: rename(copy, "size", ["size", {}]), "no name"),
        (lambda copy: rename(copy, "size", ["enter", 99, [["B0", "12", 0]], None]), "no row"),
        (lambda copy: rename(copy, "size", ["enter", 0, [["P", "12", 0]], None]), "no row"),
        (lambda copy: rename(copy, "size", ["enter", 0, [["B0", "12", 0]], "R9"]), "that is bough"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_said_in_words(again, change, words):
    with pytest.raises(CertificateError, match=words):
        again(change)


def test_a_certificate_that_is_not_there_is_told(certified, tmp_path):
    with pytest.raises(CertificateError, match="cannot be read"):
        recheck(certified[0], tmp_path / "bound.json", PriceBook.read())


def test_cuts_are_rechecked_too(certified, make_shop, tmp_path):
    """Of a shop with so many boxes that cuts are priced; the plan is asked for its claims only."""
    shop, (plan, _) = make_shop(3, boxes=12), certified
    found = least(circuits_of(shop), Control())
    assert found is not None
    assert sum(key[0] == "enter" for key in found.prices) > 1
    told = json.loads(json.dumps(shop.canonical()))
    origin = {"shop": told, "sha256": sha256_text(canonical_json(told))}
    source = plan.source.model_copy(update=origin)
    claims = plan.objective.model_copy(update={"lower_bound": round(found.bound / MONEY, 2)})
    plan = plan.model_copy(update={"source": source, "objective": claims})
    file = tmp_path / "bound.json"
    document = json.loads(json.dumps(found.document(plan)))
    file.write_text(json.dumps(document), "utf-8")
    again = recheck(plan, file, PriceBook.read())
    assert again.shown
    assert again.found == found.bound / MONEY
    name = next(row[0] for row in document["prices"] if row[0][0] == "enter" and len(row[0][2]) > 1)
    del name[2][0]  # another set of places, so another cut
    file.write_text(json.dumps(document), "utf-8")
    try:
        assert recheck(plan, file, PriceBook.read()).found <= found.bound / MONEY
    except CertificateError as error:
        assert "some number in it was changed" in str(error)
