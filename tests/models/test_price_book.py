"""Price books: read, refused with file and line, and complete for what is planned."""

import pytest

from models.part_keys import breaker_key, cable_key, single_key
from models.price_book import PriceBook, PriceBookError

HEAD = "# name: mine\n# date: 2026-01-15\n# invented: no\n"
GOOD = f"{HEAD}key,item,unit,price_usd\nswitch,toggle switch,each,2.50\n"


def test_a_book_is_read():
    book = PriceBook.parse(GOOD, "mine.csv")
    assert (book.name, book.dated, book.invented) == ("mine", "2026-01-15", False)
    assert book.cents("switch") == 250
    assert len(book.sha256) == 64


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (GOOD.replace("2.50", "2,50"), "mine.csv:5"),
        (GOOD.replace("2.50", "free"), "mine.csv:5"),
        (GOOD.replace("2.50", "-2.50"), "mine.csv:5"),
        (GOOD.replace(",each,", ",yard,"), "mine.csv:5"),
        (GOOD + "switch,other,each,3.00\n", "line 5"),
        (GOOD.replace("key,item", "keys,item"), "mine.csv:4"),
        (GOOD.replace("# date: 2026-01-15\n", ""), "date"),
        (GOOD.replace("2026-01-15", "last year"), "date"),
        (HEAD, "no prices"),
    ],
)
def test_what_is_wrong_is_named(text, words):
    with pytest.raises(PriceBookError, match=words):
        PriceBook.parse(text, "mine.csv")


def test_a_missing_price_names_key_file_and_next_step():
    with pytest.raises(PriceBookError) as error:
        PriceBook.parse(GOOD, "mine.csv").cents("swich")
    for word in ("mine.csv", "'swich'", "'switch'", "add a row"):
        assert word in str(error.value)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(PriceBookError, match=r"prices\.book"):
        PriceBook.read(tmp_path / "none.csv")


def test_the_invented_book_says_so_and_has_what_is_planned():
    book = PriceBook.read()
    assert book.invented
    for awg in ("14", "12", "10", "8", "6"):
        assert book.cents(cable_key(awg, 2)) > book.cents(single_key(awg))
    for amps in (15, 20, 30, 50, 60):
        assert book.cents(breaker_key(amps, 2, True)) > book.cents(breaker_key(amps, 2, False))
