"""Writing one value into a shop file: everything else stays, byte for byte."""

import difflib
import random

import pytest

from models.marked_yaml import read_marked
from models.shop_file import ShopFileError, read_shop
from models.shop_writer import WriteError, with_ids, with_item, with_value, write_ids, write_pin
from tests.demo_shops import DEMO_SHOPS


def changed_lines(old, new):
    """How many lines were taken out and how many put in."""
    lines = list(difflib.unified_diff(old.splitlines(), new.splitlines(), n=0, lineterm=""))[2:]
    return sum(line[0] == "-" for line in lines), sum(line[0] == "+" for line in lines)


@pytest.fixture(params=DEMO_SHOPS)
def text(request):
    path = request.config.rootpath / "scenarios" / f"{request.param}.yaml"
    return path.read_text("utf-8")


def test_a_value_changed_is_a_line_changed(text):
    """Six values of every demo shop: one line differs, and only that value."""
    marked = read_marked(text)
    scalars = [
        path for path, (begin, end) in marked.spans.items()
        if path in marked.values and "\n" not in text[begin:end] and path not in marked.flow
        and not isinstance(_at(marked.data, path), dict | list)
    ]  # fmt: skip
    for path in random.Random(3).sample(scalars, 6):
        new = with_value(text, path, "'a new value'")
        assert changed_lines(text, new) == (1, 1)
        assert _at(read_marked(new).data, path) == "a new value"


def _at(data, path):
    for step in path:
        data = data[step]
    return data


def test_ids_are_written_once_for_each_row(text):
    """Each row is a line longer or wider; comments stay; the second time nothing is left."""
    new, rows = with_ids(text)
    data = read_marked(text).data
    unnamed = [row["id"] for row in data.get("rows", []) if "ids" not in row]
    assert rows == unnamed
    removed, added = changed_lines(text, new)
    assert removed <= added == len(rows)
    assert with_ids(new) == (new, [])
    comments = [line.split("#", 1)[1] for line in text.splitlines() if "#" in line]
    assert [line.split("#", 1)[1] for line in new.splitlines() if "#" in line] == comments


@pytest.mark.parametrize(
    ("old", "path", "value", "new"),
    [
        ("a: 1\n", ("b",), "2", "a: 1\nb: 2\n"),
        ("a: 1", ("b",), "2", "a: 1\nb: 2\n"),
        ("a:\n  x: 1 # why\n\n  # more\nb: 3\n", ("a", "y"), "2",
         "a:\n  x: 1 # why\n  y: 2\n\n  # more\nb: 3\n"),
        ("a: {x: 1, }\n", ("a", "y"), "2", "a: {x: 1, y: 2}\n"),
        ("a: {x: 1 } # c\n", ("a", "y"), "2", "a: {x: 1, y: 2} # c\n"),
        ("a:\nb: 1\n", ("a",), "2", "a: 2\nb: 1\n"),
        ("a: 'x' # c\n", ("a",), "2", "a: 2 # c\n"),
        ("a:\r\n  x: 1\r\n", ("a", "y"), "2", "a:\r\n  x: 1\r\n  y: 2\r\n"),
        ("a:\n  - b: |\n      text\n    c: 1\n", ("a", 0, "d"), "2",
         "a:\n  - b: |\n      text\n    c: 1\n    d: 2\n"),
    ],
)  # fmt: skip
def test_a_key_is_added_where_its_mapping_ends(old, path, value, new):
    assert with_value(old, path, value) == new


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("a: [1, 2] # c\n", "a: [1, 2, 3] # c\n"),
        ("a: []\n", "a: [3]\n"),
        ("a:\n- 1\n- 2\nb: 1\n", "a:\n- 1\n- 2\n- 3\nb: 1\n"),
        (
            "a:\n  - {x: 1} # one\n  - {x: 2} # two\n",
            "a:\n  - {x: 1} # one\n  - {x: 2} # two\n  - 3\n",
        ),
        ("a:\n  - [1,\n     2]\nb: 1\n", "a:\n  - [1,\n     2]\n  - 3\nb: 1\n"),
    ],
)
def test_an_item_is_added_at_the_end_of_its_list(old, new):
    assert with_item(old, ("a",), "3") == new


def test_what_cannot_be_written_by_itself_is_refused():
    with pytest.raises(WriteError):
        with_value("a: {}\n", ("a", "b"), "2")
    with pytest.raises(WriteError):
        with_value("a: # why\n  x: 1 # one\nb: 2\n", ("a",), "{x: 2}")
    with pytest.raises(WriteError):
        with_value("a: 1\nb: 2\n", ("a",), "1\nc: 3")


def test_ids_added_to_those_there_leave_comments_between_them(request):
    """A block of ids with comments: only the new line is added."""
    text = (request.config.rootpath / "tests" / "shops" / "four_box.yaml").read_text("utf-8")
    row = (
        "rows:\n  - id: R\n    wall: east\n    from: 1 ft\n    to: 3 ft\n    every: 2 ft\n"
        "    height: 2 ft\n    yokes: [duplex 5-20R]\n    ids:\n      R1: 1 ft # one\n"
        "      # about the row\n\n# the machines\n"
    )
    text = text.replace("machines:\n", row + "machines:\n", 1)
    new, rows = with_ids(text)
    assert rows == ["R"]
    assert new == text.replace("# one\n", "# one\n      R2: 3 ft\n")


@pytest.fixture
def garage(request, tmp_path):
    """A copy of the garage with Windows line ends, a byte-order mark, and a mode of its own."""
    source = request.config.rootpath / "scenarios" / "one_bay_garage.yaml"
    copy = tmp_path / "garage.yaml"
    content = source.read_bytes().replace(b"\n", b"\r\n")
    copy.write_bytes(b"\xef\xbb\xbf" + content)
    copy.chmod(0o640)
    return copy


def test_line_ends_mark_mode_and_links_stay(garage, tmp_path):
    before = garage.read_bytes()
    link = tmp_path / "link.yaml"
    link.symlink_to(garage)
    write_pin(link, "together", ("W1", "W3"))
    assert garage.read_bytes() == before + b"\r\npins:\r\n  together:\r\n    - [W1, W3]\r\n"
    assert garage.stat().st_mode & 0o777 == 0o640
    assert link.is_symlink()
    write_pin(garage, "apart", ("W2.left", "W2.right"))
    assert read_shop(garage).pins.apart == (("W2.left", "W2.right"),)
    assert write_ids(garage) == []


def test_a_file_that_is_not_sound_is_left_alone(garage):
    spoilt = garage.read_bytes().replace(b"edition: 2023", b"edition: 2024")
    garage.write_bytes(spoilt)
    for write in (lambda: write_pin(garage, "apart", ("W1", "W3")), lambda: write_ids(garage)):
        with pytest.raises(ShopFileError):
            write()
    assert garage.read_bytes() == spoilt


def test_a_pin_that_does_not_fit_is_not_written(garage):
    before = garage.read_bytes()
    with pytest.raises(WriteError, match="closest: 'W3'"):
        write_pin(garage, "apart", ("W1", "W33"))
    assert garage.read_bytes() == before
