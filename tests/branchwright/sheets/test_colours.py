"""Colours of the drawings: dark enough to read, told apart without colour and by colour-blind eyes.

Contrast and lightness by WCAG 2.2 (1.4.3, relative luminance) and CIE 1976 L*a*b* (D65). How those
see who lack one kind of cone: Machado, Oliveira and Fernandes, "A physiologically-based model for
simulation of color vision deficiency" (2009), matrices of severity 1.0, on linear sRGB.
"""

import itertools
import math

import pytest

from branchwright.sheets import styles

USUAL = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
EYES = {
    "usual": USUAL,
    "without red cones": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "without green cones": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
}
TO_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
WHITE = (0.95047, 1.0, 1.08883)
LEAST_CONTRAST = 4.5  # WCAG 2.2, 1.4.3, text of usual size
APART = 10.0  # in L*a*b*; about 2 is just noticed side by side
DARKER = 15.0  # in L*
SYMBOLS = (styles.INK, styles.SOFT, styles.ALERT)


def linear(colour: str) -> tuple[float, ...]:
    """A colour (sRGB) as light."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    return tuple(v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts)


def turned(matrix, light) -> tuple[float, ...]:
    seen = (sum(a * b for a, b in zip(row, light, strict=True)) for row in matrix)
    return tuple(min(1.0, max(0.0, value)) for value in seen)


def lab(light) -> tuple[float, float, float]:
    x, y, z = (
        sum(a * b for a, b in zip(row, light, strict=True)) / white
        for row, white in zip(TO_XYZ, WHITE, strict=True)
    )
    f = [t ** (1 / 3) if t > (6 / 29) ** 3 else t / (3 * (6 / 29) ** 2) + 4 / 29 for t in (x, y, z)]
    return 116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])


def contrast(colour: str, ground: str) -> float:
    one, other = (
        0.05 + sum(a * b for a, b in zip((0.2126, 0.7152, 0.0722), linear(c), strict=True))
        for c in (colour, ground)
    )
    return max(one, other) / min(one, other)


def test_the_measures_are_those_of_their_sources():
    """WCAG 2.2: white on black is 21:1; L* of white is 100, of black 0 (CIE 15)."""
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert lab(linear("#ffffff")) == pytest.approx((100, 0, 0), abs=0.02)
    assert lab(linear("#000000"))[0] == pytest.approx(0)
    for matrix in EYES.values():  # grey stays grey
        assert [sum(row) for row in matrix] == pytest.approx([1, 1, 1], abs=1e-5)


@pytest.mark.parametrize("colour", [*styles.CIRCUIT_COLOURS, *SYMBOLS])
def test_words_and_lines_stand_out_from_the_paper(colour):
    assert contrast(colour, styles.PAPER) >= LEAST_CONTRAST


@pytest.mark.parametrize("eyes", EYES)
def test_circuits_are_told_apart(eyes):
    seen = [lab(turned(EYES[eyes], linear(colour))) for colour in styles.CIRCUIT_COLOURS]
    for one, other in itertools.combinations(seen, 2):
        assert math.dist(one, other) >= APART


def test_neighbours_are_dark_and_light_by_turns():
    """In black and white: each circuit against the next, the first after the last too."""
    lightness = [lab(linear(colour))[0] for colour in styles.CIRCUIT_COLOURS]
    for one, other in zip(lightness, [*lightness[1:], lightness[0]], strict=True):
        assert abs(one - other) >= DARKER


def test_other_circuits_on_a_circuits_sheet_are_still_seen():
    """They are meant to be pale; WCAG 2.2, 1.4.11 asks nothing of what only stands behind."""
    assert contrast(styles.FAINT, styles.PAPER) >= 2.0
