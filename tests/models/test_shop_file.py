"""Reading shop files: every problem with its line and column, and one canonical shop."""

import copy
import io
import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from models.plan_file import canonical_json
from models.shop import ORDERED, Shop
from models.shop_file import LARGEST_SHOP_BYTES, ShopFileError, parse_shop, read_shop

ROOT = Path(__file__).parents[2]
FOUR_BOX = ROOT / "tests" / "shops" / "four_box.yaml"
GOOD_FILES = [
    FOUR_BOX,
    ROOT / "branchwright" / "starter.yaml",
    *sorted((ROOT / "scenarios").glob("*.yaml")),
]
GOOD = FOUR_BOX.read_text(encoding="utf-8")
JARGON = ("pydantic", "http", "Input should", "Field required", "value_error", "loc", "function-")


def edited(*edits: tuple[str, str]) -> str:
    """The good file with each first text replaced by the second."""
    text = GOOD
    for old, new in edits:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return text


def place_of_mark(text: str) -> str:
    """`line:column` of the only `@` in a text."""
    before, _ = text.split("@")
    lines = before.split("\n")
    return f"{len(lines)}:{len(lines[-1]) + 1}"


PANEL_TOP = """- id: P
      wall: west
      y: 2 ft
      height: 5 ft
"""
# Each row: text in the good file; what to write instead, `@` before the place that the message
# must point at; the thing it must name; words that it must hold.
BROKEN = [
    ("ceiling: 8 ft", "ceiling: @8", "building.ceiling", ["8 has no unit", "12 ft 6 in"]),
    ("ceiling: 8 ft", "ceiling: @8 A", "building.ceiling", ["unit 'A'", "ft"]),
    ("ceiling: 8 ft", "ceiling: @1,5 m", "building.ceiling", ["'1,5 m'", "12 ft 6 in"]),
    ("ceiling: 8 ft", "ceiling: @6 in 3 ft", "building.ceiling", ["larger unit first"]),
    ("ceiling: 8 ft", "ceiling: @3000 ft", "building.ceiling", ["'3000 ft'", "2000 ft"]),
    ("ceiling: 8 ft", "@ceiling:", "building.ceiling", ["is missing", "ceiling: 12 ft 6 in"]),
    ("ceiling: 8 ft", "ceiling: 8 ft\n  @colour: red", "building.colour", ["no key here"]),
    ("ceiling: 8 ft", "ceiling: 8 ft\n  @ceiling_ft: 9 ft", "building.ceiling_ft", ["no key"]),
    ("spare_spaces: 1", "@spare_space: 1", "later.spare_space", ["closest: 'spare_spaces'"]),
    ("spare_spaces: 1", "@machine: []", "later.machine", ["no key here", "'machines'"]),
    ("attached: yes", "@attachd: yes", "building.attachd", ["closest: 'attached'"]),
    ("attached: yes", "attached: @perhaps", "building.attached", ["'perhaps'", "yes nor no"]),
    ("attached: yes", "@dwelling: no", "building.dwelling", ["twice", "line 7"]),
    ("kind: garage", "kind: @shed", "building.kind", ["'shed'", "'garage'", "'basement'"]),
    ("bus: 60 A", "bus: @60 amp", "supply.panels[P].bus", ["'amp'", "A"]),
    (
        f"{PANEL_TOP}      bus: 60 A\n",
        f"- @{PANEL_TOP[2:]}",
        "supply.panels[P].bus",
        ["is missing", "bus: 20 A"],
    ),
    ("main: main lug", "main: @60", "supply.panels[P].main", ["60 has no unit", "'main lug'"]),
    ("main: main lug", "main: @lugs", "supply.panels[P].main", ["'lugs'", "20 A", "'main lug'"]),
    ("spaces: 6", "spaces: @7", "supply.panels[P].spaces", ["7", "multiple of 2"]),
    ("spaces: 6", "spaces: @six", "supply.panels[P].spaces", ["'six'", "whole number"]),
    ("length: 30 ft", "length: @30", "supply.panels[P].feeder.length", ["30 has no unit"]),
    ('hot: "8"', "hot: @9", "supply.panels[P].feeder.conductors.hot", ["9", "'8'"]),
    ("id: N1", "id: @N 1", "boxes[1].id", ["'N 1' is no id", "a letter"]),
    ("id: N1", "id: @1", "boxes[1].id", ["1 is no id", "a letter"]),
    ("{id: N1", "@{id: N1, ceiling: [1 ft, 1 ft]", "boxes[N1]", ["`wall`", "`ceiling: [x, y]`"]),
    ("{id: N1", "@{id: N1, luminaire: 5 W", "boxes[N1]", ["`yokes`", "`luminaire`"]),
    ("[duplex 5-20R]", "[@duplx 5-20R]", "boxes[N1].yokes[1]", ["'duplx 5-20R'", "'switch'"]),
    ("[duplex 5-20R]", "@duplex 5-20R", "boxes[N1].yokes", ["'duplex 5-20R'", "a list"]),
    ("[5 ft, 4 ft]", "@[5 ft]", "boxes[L1].ceiling[2]", ["is missing", "2 entries"]),
    ("name: Four-box shed", "name: @5", "name", ["5", "quotes"]),
    ("id: charger\n", "@id: charger\n    portable: yes\n", "machines[charger]", ["`plugs_into`"]),
    ("    at: [2 ft, 7 ft]\n", "", "machines[charger]", ["`at: [x, y]`"]),
    ("id: saw\n", "@id: saw\n    marked: 3 A\n", "machines[saw]", ["say one of"]),
    ("volts: 240 V", "volts: @240", "machines[saw].volts", ["240 has no unit", "120 V"]),
    ("motor: 2 hp", "motor: @2 horses", "machines[saw].motor", ["'horses'", "hp"]),
    ("edition: 2023", "edition: @2014", "code.edition", ["2014", "2017, 2020 or 2023"]),
    ("people: 1", "people: @-1", "use.days[usual].people", ["-1", "at least 0"]),
    ("{id: usual, people: 1}", "@usual", "use.days[1]", ["'usual'", "keys with values"]),
    ("  days:\n    - {id: usual, people: 1}", "  days: @[]", "use.days", ["at least 1"]),
    ("branchwright-shop/1", "@branchwright-shop/2", "format", ["branchwright-shop/1"]),
    ("spare_spaces: 1", "spare_spaces: @&a 1", "later.spare_spaces", ["anchor", "take it out"]),
    ("spare_spaces: 1", "spare_spaces: @*a", "later.spare_spaces", ["alias", "write the value"]),
    ("spare_spaces: 1", "spare_spaces: @!!int 1", "later.spare_spaces", ["tag", "take it out"]),
    ("spare_spaces: 1", "spare_spaces: 1@: 2", "text", ["not YAML"]),
    ("spare_spaces: 1", "? @[a]\n  : 1", "text", ["a key is a plain word"]),
    ("edition: 2023", "edition: 2023\n@---\na: 1", "file", ["second document"]),
]


def found_in(text: str, name: str = "shop.yaml") -> ShopFileError:
    """The error that a broken text gives."""
    with pytest.raises(ShopFileError) as caught:
        parse_shop(text, name)
    return caught.value


@pytest.mark.parametrize(("old", "new", "where", "words"), BROKEN)
def test_a_broken_file_says_where_and_what(old, new, where, words):
    """One line, at the right place, in plain words."""
    marked = edited((old, new))
    error = found_in(marked.replace("@", ""))
    (line,) = str(error).splitlines()
    if "@" in new:
        assert line.startswith(f"shop.yaml:{place_of_mark(marked)}: {where}: ")
    assert f": {where}: " in line
    assert [word for word in words if word not in line] == []
    assert [word for word in JARGON if word in line] == []


@pytest.mark.parametrize(
    ("key", "attribute"), [("ceiling: 8 ft", "ceiling_ft: 8 ft"), ("from: house", "source: house")]
)
def test_an_attribute_of_the_models_is_no_key(key, attribute):
    """The file, its schema and the starter know one word for each fact."""
    missing, unknown = str(found_in(edited((key, attribute)))).splitlines()
    assert f".{key.split(':')[0]}: is missing" in missing
    assert f".{attribute.split(':')[0]}: is no key here" in unknown


def test_all_problems_are_told_in_line_order():
    """Four mistakes in one file are four lines, from the top down."""
    text = edited(
        ("ceiling: 8 ft", "ceiling: 8"),
        ("bus: 60 A", "bus: 60"),
        ("motor: 2 hp", "motor: 2"),
        ("dwelling: yes", "dwelling: sometimes"),
    )
    lines = [int(line.split(":")[1]) for line in str(found_in(text)).splitlines()]
    assert lines == [7, 15, 26, 46]


def test_deep_nesting_is_refused_before_it_is_read():
    """Three thousand brackets are a message, not a crash."""
    assert "deeper than 20" in str(found_in("name: " + "[" * 3000))


@pytest.mark.parametrize(
    ("content", "place", "words"),
    [
        (b"", "1:1", "is empty"),
        (b"# only a comment\n", "1:1", "is empty"),
        (b"- a list\n", "1:1", "holds a list"),
        (b"just words\n", "1:1", "holds 'just words'"),
        (b"name: a\nnote: caf\xe9\n", "2:10", "0xe9 is not UTF-8"),
        (b"\xff\xfen\x00a\x00", "1:1", "0xff is not UTF-8"),
        (b"name: a\nnote: b\x07\n", "2:8", "not allowed in YAML"),
        (b"#" * (LARGEST_SHOP_BYTES + 1), "1:1", "larger than 256 kB"),
    ],
)
def test_a_file_that_is_no_shop(tmp_path, content, place, words):
    """Empty, something else, in another encoding, too large."""
    path = tmp_path / "x.yaml"
    path.write_bytes(content)
    with pytest.raises(ShopFileError) as caught:
        read_shop(path)
    assert str(caught.value).startswith(f"{path}:{place}: ")
    assert words in str(caught.value)


def test_a_file_that_is_not_there(tmp_path):
    """A wrong name and a folder are named, with the next step."""
    for path in (tmp_path / "none.yaml", tmp_path):
        with pytest.raises(ShopFileError, match="cannot be read") as caught:
            read_shop(path)
        assert "branchwright new" in str(caught.value)


def test_a_byte_order_mark_changes_nothing(tmp_path):
    """Some editors write one."""
    path = tmp_path / "x.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert read_shop(path) == read_shop(FOUR_BOX)


def test_sizes_may_be_written_as_numbers():
    """`hot: 8` is a size, as `hot: "8"` is."""
    assert parse_shop(edited(('hot: "8"', "hot: 8"))) == parse_shop(GOOD)


def test_what_the_file_says_is_what_the_shop_holds():
    """Read by eye from the file."""
    shop = read_shop(FOUR_BOX)
    assert [box.id for box in shop.boxes] == ["E1", "L1", "N1", "S1"]
    assert shop.panel().bus_amps == 60
    assert shop.building.corners == ((0, 0), (10, 0), (10, 8), (0, 8))
    saw = next(machine for machine in shop.machines if machine.id == "saw")
    assert (saw.volts, saw.motor_hp, saw.at, saw.cord_ft) == (240, 2, (7, 4), 6)


def test_a_portable_tool_needs_no_place():
    """It is carried to a receptacle; every other machine with a plug stands somewhere."""
    placed = "plugs_into: N1\n    at: [2 ft, 7 ft]\n    always_on: yes"
    shop = parse_shop(edited((placed, "portable: yes")))
    (tool,) = (machine for machine in shop.machines if machine.portable)
    assert (tool.id, tool.at, tool.plugs_into) == ("charger", None, None)


@pytest.mark.parametrize("name", ["prices.csv", "../prices.csv", ".", "", "a" * 300, "a\\0b"])
def test_a_price_book_that_is_not_there(tmp_path, name):
    """Told at its line of the shop file, before anything is planned."""
    path = tmp_path / "shop.yaml"
    marked = edited(("code:\n", f'prices: {{book: @"{name}"}}\ncode:\n'))
    path.write_text(marked.replace("@", ""), encoding="utf-8")
    with pytest.raises(ShopFileError) as caught:
        read_shop(path)
    (line,) = str(caught.value).splitlines()
    assert line.startswith(f"{path}:{place_of_mark(marked)}: prices.book: no price book ")
    assert "take `book` out" in line


def test_a_price_book_beside_the_shop_file(tmp_path):
    """A text that is in no file has nothing beside it, so its book is not looked for."""
    text = edited(("code:\n", "prices: {book: mine.csv}\ncode:\n"))
    (tmp_path / "mine.csv").touch()
    (tmp_path / "shop.yaml").write_text(text, encoding="utf-8")
    assert read_shop(tmp_path / "shop.yaml").prices.book == "mine.csv"
    assert parse_shop(text).prices.book == "mine.csv"


@pytest.mark.parametrize("path", GOOD_FILES, ids=lambda path: path.stem)
def test_the_canonical_shop_reads_back_as_itself(path):
    """Also as JSON text, the form that hashes are taken over."""
    shop = read_shop(path)
    text = canonical_json(shop.canonical())
    again = Shop.model_validate(json.loads(text))
    assert again == shop
    assert canonical_json(again.canonical()) == text


QUANTITIES = {
    "height": st.integers(0, 800).map(lambda n: f"{n / 100:.2f} ft"),
    "bus": st.integers(1, 1_000_000).map(lambda n: f"{n} mA"),
    "motor": st.tuples(st.integers(0, 99), st.integers(1, 63), st.integers(1, 64)).map(
        lambda parts: f"{parts[0]}-{parts[1]}/{parts[2]} hp"
    ),
    "luminaire": st.integers(1, 99_999).map(lambda n: f"{n} VA"),
    "attic": st.integers(-40, 185).map(lambda n: f"{n} F"),
}
WRITTEN = {
    "height": "height: 5 ft",
    "bus": "bus: 60 A",
    "motor": "motor: 2 hp",
    "luminaire": "luminaire: 40 W",
    "attic": "attic: 40 C",
}


@settings(max_examples=100, deadline=None)
@given(key=st.sampled_from(sorted(QUANTITIES)), data=st.data())
def test_every_quantity_survives_the_canonical_form(key, data):
    """Whatever is read is written so that it is read as the same again."""
    text = edited((WRITTEN[key], f"{key}: {data.draw(QUANTITIES[key])}"))
    try:
        shop = parse_shop(text)
    except ShopFileError:  # more than the limits of the field
        return
    assert Shop.model_validate(shop.canonical()) == shop


PLACES = {"by", "ends"}  # a raceway's points go from its first end to its second


def reversed_lists(data, key=""):
    """The same data with every list turned round whose order is no fact."""
    if isinstance(data, dict):
        return {name: reversed_lists(value, name) for name, value in data.items()}
    if not isinstance(data, list):
        return data
    items = data if key in PLACES else [reversed_lists(item) for item in data]
    return items if key in ORDERED | PLACES else items[::-1]


FULL = edited(
    (
        "boxes:\n",
        """existing:
  - {id: X2, panel: P, spaces: [4, 2], breaker: 20 A, conductor: 12, feeds: [E1]}
  - {id: X1, panel: P, spaces: [1], breaker: 20 A, conductor: 12, feeds: [S1, L1]}
routes:
  raceways:
    - {id: R2, kind: EMT, trade_size: 1, ends: [P, E1]}
    - {id: R1, kind: EMT, trade_size: 1/2, ends: [N1, P]}
  junction_boxes: [{id: J1, wall: north, x: 5 ft}]
pins: {apart: [[N1, E1], [S1, E1]], together: [[S1, N1]]}
boxes:
""",
    ),
    (
        "use:\n",
        """use:
  followers:
    - {machine: charger, follows: [saw, drill-press]}
  never_together: [{machines: [saw, drill-press]}]
""",
    ),
    ("people: 1}", "people: 1}\n    - {id: helper, people: 2, binds: no}"),
    ("terminals: 75 C", "terminals: 75 C\n      tandem_spaces: [5, 6]"),
)


GOOD_TEXTS = [FULL, *(path.read_text(encoding="utf-8") for path in GOOD_FILES)]


@pytest.mark.parametrize("text", GOOD_TEXTS)
def test_the_order_of_lists_in_the_file_never_matters(text):
    """Walls, yokes, coordinates and feeds keep their order; everything else may be turned round."""
    data = YAML(typ="safe", pure=True).load(text)
    turned = reversed_lists(copy.deepcopy(data))
    assert turned != data
    stream = io.StringIO()
    YAML().dump(turned, stream)
    assert parse_shop(stream.getvalue()) == parse_shop(text)


def test_comments_and_layout_never_matter():
    """A comment on every line and a blank line after it give the same shop."""
    noisy = "".join(f"{line}  # a comment: [1, {{\n\n" for line in GOOD.splitlines())
    assert parse_shop(noisy) == parse_shop(GOOD)


PIECES = [
    "", " ", "\n", ":", ": ", "- ", "[", "]", "{", "}", ",", "#", "&a ", "*a", "!t ", '"', "'",
    "|", ">", "%", "@", "`", "\t", "\\", "0", "-1", "1e9", "ft", "null", "yes", "~", "---", "?",
    "<<: ", "id: N1", "P", "\u2028", "é", "\x00", "9" * 30, "saw", '"\\UFFFFFFFF"', "\r", "N1, E1",
    "0 ft", "240 V",
]  # fmt: skip
EDITS = st.lists(
    st.tuples(
        st.integers(0, max(map(len, GOOD_TEXTS))),
        st.integers(0, 30),
        st.one_of(st.sampled_from(PIECES), st.text(max_size=5)),
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=300, deadline=None)
@given(text=st.sampled_from(GOOD_TEXTS), edits=EDITS)
def test_any_text_gives_a_shop_or_a_message(text, edits):
    """Random edits never give another exception, and every message names a place in the file."""
    for place, length, piece in edits:
        start = place % (len(text) + 1)
        text = text[:start] + piece + text[start + length :]
    try:
        shop = parse_shop(text)
    except ShopFileError as error:
        assert error.problems
        assert all(p.line >= 1 and p.column >= 1 and p.says for p in error.problems)
        assert len(str(error).splitlines()) == len(error.problems)
        assert not [word for word in JARGON[:4] if word in str(error)]
    else:
        assert Shop.model_validate(shop.canonical()) == shop
