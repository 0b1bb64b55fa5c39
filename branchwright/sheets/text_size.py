"""How much room a text takes: advance widths of DejaVu Sans, in units of the font size.

DejaVu Sans is wider than the common sans-serif faces, so a text set in one of those stays inside
the measured box. Source: the font's own `hmtx` table, version 2.37, 1/2048 em (text_widths.csv).
Characters outside the table are taken as a full em, wide ones as 1.4 em, combining ones as 0.
"""

import csv
import re
import unicodedata
from functools import cache, lru_cache
from importlib import resources
from typing import Final

UNITS_PER_EM: Final = 2048
ASCENT_EM: Final = 0.93
DESCENT_EM: Final = 0.24
FULL_EM: Final = 1.0
WIDE_EM: Final = 1.4
ELLIPSIS: Final = "…"
NO_BREAK_SPACE: Final = "\u00a0"
_UNITS: Final = "A|V|VA|ft|in|in³|AWG|%|°F|°C|m|mm|cm³|Ω"
_BREAK: Final = re.compile(
    " (?<![×←] )(?!×)"  # `3 × 12` and the arrow to the next box
    rf"(?!(?<=\d )(?:{_UNITS})(?![\w/]))"
    r"(?!(?<=ft )\d[\d/-]* in\b)"
    r"(?!(?:(?<=[A-Z]{3} )|(?<=NM-B )|(?<=space )|(?<=spaces ))\d)"  # `THHN 12`, `space 4`
    r"(?!(?:(?<=spaces \d, )|(?<=spaces \d\d, ))\d)"  # `spaces 13, 15`
)
SIZE_STEP: Final = 0.5


@cache
def _widths(bold: bool) -> dict[str, float]:
    """Advance width of each character in the table [em]."""
    text = (resources.files("branchwright.sheets") / "text_widths.csv").read_text("utf-8")
    column = "bold" if bold else "regular"
    return {
        chr(int(row["codepoint"][2:], 16)): int(row[column]) / UNITS_PER_EM
        for row in csv.DictReader(text.splitlines())
    }


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of one line of text set at `size` [same unit as size].

    >>> round(text_width("W1", 2048)), text_width("", 11)
    (3328, 0)
    """
    return size * _width_em(text, bold)


@lru_cache(maxsize=40_000)
def _width_em(text: str, bold: bool) -> float:
    """Width of one line of text [em]."""
    widths = _widths(bold)
    return sum([widths[char] if char in widths else _other_em(char) for char in text])


def _other_em(char: str) -> float:
    """A careful width for a character outside the table [em]."""
    if unicodedata.combining(char) or unicodedata.category(char) == "Cf":
        return 0.0
    wide = unicodedata.east_asian_width(char) in "WF"
    return WIDE_EM if wide else FULL_EM


def fitted(text: str, width: float, size: float, bold: bool = False) -> str:
    """The text, or as much of its beginning as fits, closed with an ellipsis.

    >>> fitted("air compressor", 60, 10)
    'air compr…'
    """
    if text_width(text, size, bold) <= width:
        return text
    while text and text_width(text.rstrip() + ELLIPSIS, size, bold) > width:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS


def wrapped(text: str, width: float, size: float, lines: int, bold: bool = False) -> list[str]:
    """The text in at most so many lines, broken at spaces; what is left over ends in an ellipsis.

    A no-break space holds its two words together.
    >>> wrapped("air compressor, table saw", 90, 10, 2)
    ['air compressor,', 'table saw']
    """
    told: list[str] = []
    words = [word for word in text.split(" ") if word]
    while words and len(told) < lines - 1:
        taken = 1
        while taken < len(words) and text_width(" ".join(words[: taken + 1]), size, bold) <= width:
            taken += 1
        if text_width(words[0], size, bold) > width:
            break
        told.append(" ".join(words[:taken]))
        words = words[taken:]
    return [*told, fitted(" ".join(words), width, size, bold)] if words else told


def unbroken(text: str) -> list[str]:
    """What a line is not broken within: words, numbers with their unit, names of sizes.

    >>> unbroken("leg A has 12 A of 20 A")
    ['leg', 'A', 'has', '12 A', 'of', '20 A']
    >>> unbroken("B spaces 13, 15"), unbroken("NEC 310.15 asks")
    (['B', 'spaces 13, 15'], ['NEC 310.15', 'asks'])
    >>> unbroken("3 × THHN 12, 30 ft 10 in through R8")
    ['3 × THHN 12,', '30 ft 10 in', 'through', 'R8']
    """
    return _BREAK.split(text)


def held(text: str) -> str:
    r"""The text with no-break spaces where a line is not broken.

    >>> held("12 A of 20 A").split(" ")
    ['12\xa0A', 'of', '20\xa0A']
    """
    return " ".join(part.replace(" ", NO_BREAK_SPACE) for part in unbroken(text))


def folded(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """The whole text in as many lines as it takes: broken at spaces, and within a word too long.

    A number and its unit stay together.
    >>> folded("air compressor, table saw", 60, 10)
    ['air', 'compressor', ', table saw']
    >>> folded("the planned load is 12 A", 120, 10)
    ['the planned load is', '12 A']
    """
    lines: list[str] = []
    line = ""
    for word in unbroken(text):
        longer = f"{line} {word}" if line else word
        if text_width(longer, size, bold) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while text_width(line, size, bold) > width and len(line) > 1:
            most = _fitting(line, width, size, bold)
            lines.append(line[:most])
            line = line[most:]
    return [*lines, line] if line or not lines else lines


def set_within(
    text: str, width: float, height: float, sizes: tuple[float, float], bold: bool = False
) -> tuple[list[str], float]:
    """The text in lines, and their size: the largest of `sizes` (largest, least) that holds it all.

    Where none does, as much as fits at the least, closed with an ellipsis.
    >>> set_within("air compressor", 90, 12, (10, 5)), set_within("air compressor", 50, 20, (10, 5))
    ((['air compressor'], 10), (['air', 'compressor'], 8.5))
    """
    size, least = sizes
    while True:
        lines = folded(text, width, size, bold)
        most = max(1, int(height / ((ASCENT_EM + DESCENT_EM) * size)))
        if len(lines) <= most:
            return lines, size
        if size <= least:
            last = fitted(f"{lines[most - 1]}{ELLIPSIS}", width, size, bold)
            return [*lines[: most - 1], last], size
        size = max(least, size - SIZE_STEP)


def _fitting(word: str, width: float, size: float, bold: bool) -> int:
    """How many of its first characters fit; at least one."""
    taken = 0.0
    for place, char in enumerate(word):
        taken += text_width(char, size, bold)
        if taken > width:
            return max(1, place)
    return len(word)
