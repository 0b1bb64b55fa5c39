"""Random edits of good shop files: each is read, surveyed and drawn, or refused in clear words."""

import random
import re

import pytest

from branchwright.sheets.shop_plan import shop_plan
from models.price_book import PriceBook
from models.shop_file import ShopFileError, parse_shop
from solver.survey import survey

SHOPS = {
    "tests/shops/four_box.yaml": 500,
    "scenarios/one_bay_garage.yaml": 60,
    "scenarios/heron_slip.yaml": 25,
    "scenarios/two_person_instrument_shop.yaml": 25,
    "scenarios/half_wired_metal_shop.yaml": 25,
    "scenarios/ninety_box_makerspace.yaml": 10,
}
LONG = 12
MESSAGE = re.compile(r"shop\.yaml:[1-9]\d*:[1-9]\d*: (?:[^:'\"]|'[^']*'|\"[^\"]*\")+: \S.{5,}")
WORDS = (
    "0 ft", "-3 ft", "1000 ft", "1 in", "yes", "no", "null", "[]", "{}", "''", "12", "1e9", "NaN",
    "20 A", "240 V", "60 %", "P", "north", "east", "masonry", "buried", "attic", "\U0001f4a1", "\t",
    "[0 ft, 0 ft]", "[[1 ft, 1 ft, 1 ft]]", "&a b", "*a", "!!int 1", "# ", "? :", "- - -", "|",
)  # fmt: skip


def edited(text, draw):
    """One to three edits of lines, numbers, words and characters."""
    for _ in range(draw.randint(1, 3)):
        lines = text.split("\n")
        at = draw.randrange(len(lines))
        kind = draw.randrange(8)
        if kind == 0:
            del lines[at]
        elif kind == 1:
            lines.insert(at, lines[draw.randrange(len(lines))])
        elif kind == 2:
            other = draw.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        elif kind == 3:
            numbers = list(re.finditer(r"\d+", lines[at]))
            if numbers:
                found = draw.choice(numbers)
                new = draw.choice(["0", "1", "7", "44", "999", str(draw.randrange(60))])
                lines[at] = lines[at][: found.start()] + new + lines[at][found.end() :]
        elif kind == 4:
            parts = re.split(r"([:,\[\]{} ]+)", lines[at])
            parts[draw.randrange(len(parts))] = draw.choice(WORDS)
            lines[at] = "".join(parts)
        elif kind == 5:
            place = draw.randrange(len(lines[at]) + 1)
            odd = draw.choice(
                ["{", "}", "[", "]", ":", "'", '"', "#", "\x07", "é", "\u202e", ",", "-"]
            )
            lines[at] = lines[at][:place] + odd + lines[at][place:]
        elif kind == 6:
            lines[at] = (" " * draw.randrange(9)) + lines[at].lstrip()
        else:
            lines = lines[:at] if draw.random() < 0.1 else lines
        text = "\n".join(lines)
    return text


def try_out(text, draw, book):
    """Read, look at, and now and then draw; whether it was a shop."""
    try:
        shop = parse_shop(text)
    except ShopFileError as error:
        lines = str(error).splitlines()
        assert lines
        for line in lines:
            assert MESSAGE.fullmatch(line), line
        numbers = [int(line.split(":")[1]) for line in lines]
        assert numbers == sorted(numbers)
        assert max(numbers) <= text.count("\n") + 1
        return False
    found = survey(shop, book)
    if draw.random() < 0.05:
        assert shop_plan(shop, found).svg().startswith("<svg")
    return True


@pytest.mark.parametrize("name", SHOPS)
def test_edits(name, request):
    """A few hundred in every run."""
    _edit(name, request, SHOPS[name], 1)


@pytest.mark.long
@pytest.mark.parametrize("name", SHOPS)
def test_many_edits(name, request):
    """Thousands."""
    _edit(name, request, LONG * SHOPS[name], 2)


def _edit(name, request, count, seed):
    text = (request.config.rootpath / name).read_text("utf-8")
    draw, book = random.Random(seed), PriceBook.read()
    read = 0
    for number in range(count):
        new = edited(text, draw)
        try:
            read += try_out(new, draw, book)
        except Exception as error:
            raise AssertionError(f"edit {number} of {name}:\n{new}") from error
    assert read < count
