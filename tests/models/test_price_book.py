"""Price books: what they hold, and what is said when they do not."""

import hashlib
from pathlib import Path

import pytest

from models.price_book import PriceBook, PriceBookError, book_path

HEAD = "# name: Mine\n# date: 2026-01-15\n# invented: no\nkey,item,unit,price_usd\n"
ROW = "switch,toggle switch,each,2.5\n"

# The keys that a takeoff may count, written out from their grammar.
TAKEOFF_KEYS = [
    *(f"NM-B {awg}-2" for awg in ("14", "12", "10", "8", "6")),
    *(f"THHN {awg}" for awg in ("14", "12", "10", "8", "6")),
    *(
        f"{kind} {size}"
        for kind in ("EMT", "PVC-40", "PVC-80", "ENT", "RMC")
        for size in ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2")
    ),
    *(f"box {depth}" for depth in ("4 x 1-1/2 square", "4 x 2-1/8 square")),
    *("box 4-11/16 x 2-1/8 square", "box 4 x 1-1/2 octagonal", "box 4 x 2-1/8 octagonal"),
    *("box FS single gang", "box FD single gang", "trim 1 gang", "trim 2 gang", "cover in-use"),
    *("duplex 5-15R", "duplex 5-20R", "GFCI duplex 5-15R", "GFCI duplex 5-20R", "switch"),
    *(f"single {c}" for c in ("5-20R", "6-15R", "6-20R", "6-30R", "L6-30R", "6-50R", "14-50R")),
    "single L5-30R",
    *(f"breaker {amps} A 1-pole{gfci}" for amps in (15, 20, 30) for gfci in ("", " GFCI")),
    *(
        f"breaker {amps} A 2-pole{gfci}"
        for amps in (15, 20, 25, 30, 35, 40, 45, 50, 60)
        for gfci in ("", " GFCI")
    ),
    *("cable connector", "raceway connector"),
]


@pytest.mark.parametrize("key", TAKEOFF_KEYS)
def test_the_invented_book_has_a_price_for_every_takeoff_key(key):
    """Wire and raceway by the foot, everything else by the piece."""
    price = PriceBook.read().price(key)
    by_foot = key.startswith(("NM-B", "THHN", "EMT", "PVC", "ENT", "RMC"))
    assert price.unit == ("ft" if by_foot else "each")
    assert price.cents > 0


def test_the_invented_book_says_that_it_is_invented():
    """Its name, date and mark go into every plan that uses it."""
    book = PriceBook.read()
    assert (book.invented, book.dated) == (True, "2026-01-15")
    assert "Invented" in book.name


def test_invented_prices_keep_the_order_that_prices_have():
    """More copper costs more, and a GFCI device is cheaper than a GFCI breaker."""
    cents = PriceBook.read().cents
    for kind in ("NM-B {}-2", "THHN {}"):
        prices = [cents(kind.format(awg)) for awg in ("14", "12", "10", "8", "6")]
        assert prices == sorted(set(prices))
    assert cents("GFCI duplex 5-20R") < cents("breaker 20 A 1-pole GFCI")
    assert cents("breaker 20 A 1-pole GFCI") < cents("breaker 20 A 2-pole GFCI")
    assert cents("duplex 5-20R") < cents("GFCI duplex 5-20R")


@pytest.mark.parametrize(
    ("text", "cents"), [("2", 200), ("2.5", 250), ("0.07", 7), ("12.34", 1234), ("0", 0)]
)
def test_prices_are_read_exactly(text, cents):
    """Dollars and cents without a rounding on the way."""
    assert PriceBook.parse(f"{HEAD}a,thing,each,{text}\n", "mine.csv").cents("a") == cents


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        (HEAD, "mine.csv:", ["no prices"]),
        (HEAD + ROW + ROW, "mine.csv:6:", ["'switch' is in line 5"]),
        (HEAD + "a,thing,each,0.125\n", "mine.csv:5:", ["'0.125'", "whole cents"]),
        (HEAD + "a,thing,each,-1\n", "mine.csv:5:", ["'-1'"]),
        (HEAD + "a,thing,each,$2\n", "mine.csv:5:", ["'$2'"]),
        (HEAD + "a,thing,roll,2\n", "mine.csv:5:", ["'roll'", "ft, each"]),
        (HEAD + ROW + "a,thing,each\n", "mine.csv:6:", ["price_usd is empty"]),
        (HEAD + 'a,"thing,each,2\n', "mine.csv:5:", ["quotes"]),
        (HEAD.replace("price_usd", "price") + ROW, "mine.csv:4:", ["'price_usd'"]),
        (HEAD.replace("unit", "key") + ROW, "mine.csv:4:", ["'unit'"]),
        (HEAD.replace("# name: Mine\n", "") + ROW, "mine.csv:", ["# name:"]),
        (HEAD.replace("2026-01-15", "last May") + ROW, "mine.csv:", ["'last May'"]),
        (HEAD.replace("invented: no", "invented: perhaps") + ROW, "mine.csv:", ["'perhaps'"]),
    ],
)
def test_a_broken_book_names_the_line(text, place, words):
    """File, line, what is there, and what to write."""
    with pytest.raises(PriceBookError) as caught:
        PriceBook.parse(text, "mine.csv")
    assert str(caught.value).startswith(place)
    assert [word for word in words if word not in str(caught.value)] == []


def test_a_missing_price_names_the_key_the_file_and_what_to_do():
    """With the nearest key, as a typing mistake is the usual cause."""
    book = PriceBook.parse(HEAD + ROW, "mine.csv")
    with pytest.raises(PriceBookError) as caught:
        book.cents("switches")
    assert str(caught.value).startswith("mine.csv: no price for 'switches' (closest: 'switch')")
    assert "add a row" in str(caught.value)


def test_a_book_from_a_spreadsheet(tmp_path):
    """Byte-order mark, CRLF, commas after the comments, a column of the owner's own."""
    text = HEAD.replace("no\n", "no,,,,\n").replace("price_usd", "price_usd,shelf") + "a,b,ft,1,9\n"
    path = tmp_path / "mine.csv"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    book = PriceBook.read(path)
    assert (book.name, book.invented, book.cents("a")) == ("Mine", False, 100)


def test_the_hash_is_that_of_the_text(tmp_path):
    """So that a plan can say which prices it used."""
    path = tmp_path / "mine.csv"
    path.write_text(HEAD + ROW, encoding="utf-8")
    assert PriceBook.read(path).sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


def test_a_book_that_cannot_be_read(tmp_path):
    """Not there, or in another encoding."""
    with pytest.raises(PriceBookError, match=r"none\.csv: cannot be read .*prices\.book"):
        PriceBook.read(tmp_path / "none.csv")
    path = tmp_path / "old.csv"
    path.write_bytes(HEAD.encode() + b"a,caf\xe9,each,1\n")
    with pytest.raises(PriceBookError, match=r"old\.csv:5: not UTF-8"):
        PriceBook.read(path)


def test_a_book_is_looked_for_beside_the_shop_file():
    """A shop without a book uses the invented one."""
    assert book_path(Path("shops/mine.yaml"), "prices.csv") == Path("shops/prices.csv")
    assert book_path(Path("shops/mine.yaml"), None) is None
