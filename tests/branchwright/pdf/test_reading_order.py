"""Letters that read from right to left: examples of the Unicode Standard, Annex 9, and its data."""

import unicodedata

import pytest

from branchwright.pdf.reading_order import drawn_order

# Annex 9 writes letters that read right to left as capitals; here each is a Hebrew letter.
HEBREW = {letter: chr(0x05D0 + place) for place, letter in enumerate("ABCDEFGHIJKLMNOPQRSTUV")}


def hebrew(text: str) -> str:
    return "".join(HEBREW.get(char, char) for char in text)


@pytest.mark.parametrize(
    ("said", "drawn"),
    [
        ("car means CAR.", "car means RAC."),  # Annex 9, rule L2, first example
        ("CAR", "RAC"),
        ("saw 12", "saw 12"),
        # By rules W7, N1, I1, L2 as the annex states them: a number after such letters keeps its
        # own order and stands to their left, signs between letters go with them, mirrored (L4).
        ("ABC 123", "123 CBA"),
        ("x ABC 12-3 DEF y", "x FED 12-3 CBA y"),
        ("AB (CD) EF", "FE (DC) BA"),
        ("12 AB", "12 BA"),
        ("AB, cd", "BA, cd"),
        ("AB 1,5 %", "1,5 BA %"),
    ],
)
def test_lines_of_the_annex(said, drawn):
    assert drawn_order(hebrew(said)) == hebrew(drawn)


def test_marks_stay_after_their_letter():
    """Rule L3: bet with dagesh, then gimel."""
    assert drawn_order("\u05d1\u05bc\u05d2") == "\u05d2\u05d1\u05bc"


def test_arabic_letters_join():
    """`salam`: seen begins, lam and alef are one final letter, meem stands alone.

    By the joining types of the Unicode Standard, section 9.2; the forms by name of its data.
    """
    names = [unicodedata.name(char) for char in reversed(drawn_order("\u0633\u0644\u0627\u0645"))]
    assert names == [
        "ARABIC LETTER SEEN INITIAL FORM",
        "ARABIC LIGATURE LAM WITH ALEF FINAL FORM",
        "ARABIC LETTER MEEM ISOLATED FORM",
    ]


@pytest.mark.parametrize("text", ["", "Ω ½ → ″ 4 × 12", "<a href='x'>", "naïve £5"])
def test_other_text_is_as_it_was(text):
    assert drawn_order(text) == text
