"""The table reader: every file loads, every row has a source, a bad cell names file and line."""

from pathlib import Path

import pytest

import models.tables
from models.tables import (
    BASES,
    NotInTableError,
    TableError,
    lookup,
    parse_table,
    read_table,
    tables_hash,
)

FOLDER = Path(models.tables.__file__).parent
NAMES = sorted(path.stem for path in FOLDER.glob("*.csv"))
SOURCES = ("NFPA 70", "NEMA WD 6", "UL 489", "UL 498", "one cable", "typical", "common practice,")
GOOD = "awg,allowance_in3,source,basis\n14,2.00,NFPA 70,confirmed\n12,2.25,NFPA 70,confirmed\n"


@pytest.mark.parametrize("name", NAMES)
def test_every_row_names_its_source_and_basis(name: str) -> None:
    """A source is a standard and its table, never a web address."""
    for row in read_table(name):
        source = row.text("source")
        assert source.startswith(SOURCES)
        assert "://" not in source
        assert "www." not in source
        assert row.text("basis") in BASES


@pytest.mark.parametrize("name", NAMES)
def test_no_row_is_printed_twice(name: str) -> None:
    rows = [tuple(row.cells.values()) for row in read_table(name)]
    assert len(set(rows)) == len(rows)


@pytest.mark.parametrize(
    ("find", "put", "says"),
    [
        ("2.25", "2,25", "x.csv:3: 5 cells under 4 columns"),
        ("2.25", "two", "x.csv:3: allowance_in3 'two' is not a number"),
        ("2.25", "-2.25", "x.csv:3: allowance_in3 '-2.25' is not a positive number"),
        ("2.25", "nan", "x.csv:3: allowance_in3 'nan' is not a positive number"),
        ("12,", " ,", "x.csv:3: awg is blank"),
        ("\n14,2.00,NFPA 70,confirmed", "\n14,2.00,,confirmed", "x.csv:2: source is blank"),
        ("12,2.25,NFPA 70,confirmed", "12,2.25,NFPA 70,sure", "x.csv:3: basis 'sure' is not one"),
        ("12,2.25", '"12,2.25', "x.csv:3: unexpected end of data"),
        ("source,basis", "basis,source", "x.csv:1: the header"),
        ("awg,allowance_in3", "awg,awg", "x.csv:1: the header"),
        (GOOD.partition("\n")[2], "", "x.csv: no rows"),
        (GOOD, "", "x.csv:1: the header"),
    ],
)
def test_a_bad_cell_is_reported_with_file_and_line(find: str, put: str, says: str) -> None:
    assert find in GOOD
    with pytest.raises(TableError) as caught:
        parse_table(GOOD.replace(find, put), "x.csv")
    assert str(caught.value).startswith(says)


def test_a_cell_read_as_what_it_is_not() -> None:
    """Text as a number, a blank as a number and a fraction as a whole number are refused."""
    blank, half = parse_table(
        "awg,most_amps,source,basis\n14,,NFPA 70,confirmed\n12,2.5,NFPA 70,confirmed\n", "x.csv"
    )
    assert blank.number_or_none("most_amps") is None
    with pytest.raises(TableError, match=r"x\.csv:2: most_amps is blank"):
        blank.number("most_amps")
    with pytest.raises(TableError, match=r"x\.csv:2: awg is a text column"):
        blank.number("awg")
    with pytest.raises(TableError, match=r"x\.csv:3: most_amps is a number column"):
        half.text("most_amps")
    with pytest.raises(TableError, match=r"x\.csv:3: most_amps 2\.5 is not a whole number"):
        half.whole("most_amps")


def test_a_missing_value_is_answered_with_what_is_listed() -> None:
    with pytest.raises(NotInTableError, match=r"ampacity: no awg '13'; listed: '14', '12', "):
        lookup("ampacity", awg="13", material="copper")
    with pytest.raises(NotInTableError, match=r"no awg '10' for material 'aluminum'"):
        lookup("ampacity", material="aluminum", awg="10")
    with pytest.raises(NotInTableError, match=r"no box '4 x 1-1/2'; closest: '4 x 1-1/2 square'"):
        lookup("box_volumes", box="4 x 1-1/2")
    with pytest.raises(NotInTableError, match=r"no circuit_amps 25; listed: 15, 20, 30, 40, 50"):
        lookup("receptacle_ratings", circuit_amps=25)


def test_the_hash_is_of_the_files_and_of_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same files give the same hash elsewhere; one changed digit or name gives another."""
    monkeypatch.setattr(models.tables, "files", lambda _package: tmp_path)
    digest = tables_hash.__wrapped__
    for name in NAMES:
        (tmp_path / f"{name}.csv").write_bytes((FOLDER / f"{name}.csv").read_bytes())
    (tmp_path / "notes.txt").write_text("not a table")
    assert digest() == tables_hash()

    table = tmp_path / "box_allowances.csv"
    text = table.read_text()
    table.write_text(text.replace("2.25", "2.26"))
    changed = digest()
    table.write_text(text)
    table.rename(tmp_path / "box_allowance.csv")
    renamed = digest()
    assert len({tables_hash(), changed, renamed}) == 3
