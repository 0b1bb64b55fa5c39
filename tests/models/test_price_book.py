"""Price books: read, refused with file and line, and complete for what is planned."""

import hashlib
from pathlib import Path

import pytest

from models.part_keys import breaker_key, cable_key, single_key
from models.price_book import PriceBook, PriceBookError, book_path

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
        (GOOD.replace("2.50", "0.125"), "mine.csv:5: .*whole cents"),
        (GOOD.replace("2.50", ""), "mine.csv:5: price_usd is empty"),
        (GOOD.replace("toggle", '"toggle'), "mine.csv:5: .*quotes"),
        (GOOD.replace("item,unit", "item,item"), "mine.csv:4: no column 'unit'"),
        (GOOD.replace("invented: no", "invented: perhaps"), "'perhaps'"),
        (GOOD + "EMT 1,EMT,10 ft,24.00\n", "mine.csv:6: 'EMT 1' is sold as 10 ft, .*unit ft"),
        (GOOD + "EMT 1,EMT,0 ft,24.00\n", "mine.csv:6: .*'0 ft'"),
        (GOOD + "EMT 1,EMT,99999 ft,24.00\n", "mine.csv:6: .*10000 ft"),
        (GOOD + "switch,toggle,cut ft,24.00\n", "mine.csv:6: .*no row with unit ft"),
        (GOOD + "EMT 1,EMT,ft,2.40\n" + 2 * "EMT 1,EMT,10 ft,24.00\n", "mine.csv:8: .*line 7"),
    ],
)
def test_what_is_wrong_is_named(text, words):
    with pytest.raises(PriceBookError, match=words):
        PriceBook.parse(text, "mine.csv")


def test_how_a_key_is_sold_is_told_by_further_rows():
    rows = "EMT 1,EMT,ft,2.40\nEMT 1,EMT,10 ft,23.00\nEMT 1,EMT,20 ft,44.00\n"
    sold = PriceBook.parse(GOOD + rows, "mine.csv").sold("EMT 1")
    assert (sold.lengths, sold.cut_cents) == (((10, 2300), (20, 4400)), None)
    sold = PriceBook.parse(GOOD + rows + "EMT 1,EMT,cut ft,2.90\n", "mine.csv").sold("EMT 1")
    assert sold.cut_cents == 290
    sold = PriceBook.parse(GOOD + "EMT 1,EMT,ft,2.40\n", "mine.csv").sold("EMT 1")
    assert (sold.lengths, sold.cut_cents) == ((), 240)


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


@pytest.mark.parametrize(
    ("text", "cents"), [("2", 200), ("2.5", 250), ("0.07", 7), ("12.34", 1234), ("0", 0)]
)
def test_prices_are_read_exactly(text, cents):
    """Dollars and cents without a rounding on the way."""
    assert (
        PriceBook.parse(f"{HEAD}key,item,unit,price_usd\na,thing,each,{text}\n", "mine.csv").cents(
            "a"
        )
        == cents
    )


def test_a_book_from_a_spreadsheet(tmp_path):
    """Byte-order mark, CRLF, commas after the comments, a column of the owner's own."""
    text = GOOD.replace("no\n", "no,,,,\n").replace("usd\n", "usd,shelf\n") + "a,b,ft,1,9\n"
    path = tmp_path / "mine.csv"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    book = PriceBook.read(path)
    assert (book.name, book.invented, book.cents("a")) == ("mine", False, 100)


def test_the_hash_is_that_of_the_text(tmp_path):
    """So that a plan can say which prices it used."""
    path = tmp_path / "mine.csv"
    path.write_text(GOOD, encoding="utf-8")
    assert PriceBook.read(path).sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


def test_a_book_in_another_encoding_names_the_line(tmp_path):
    """As an old spreadsheet writes it."""
    path = tmp_path / "old.csv"
    path.write_bytes(GOOD.encode() + b"a,caf\xe9,each,1\n")
    with pytest.raises(PriceBookError, match=r"old\.csv:6: not UTF-8"):
        PriceBook.read(path)


def test_a_book_is_looked_for_beside_the_shop_file():
    """A shop without a book uses the invented one."""
    assert book_path(Path("shops/mine.yaml"), "prices.csv") == Path("shops/prices.csv")
    assert book_path(Path("shops/mine.yaml"), None) is None
