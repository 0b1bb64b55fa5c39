"""Text as it stands on paper: a line in reading order becomes one in the order it is drawn in.

A PDF draws from left to right; Hebrew and Arabic are read from right to left, numbers in them from
left to right. Source: Unicode Standard Annex 9, rules W1 to L2 and L4, for a line that reads from
left to right as a whole and holds no marks of direction (`words.clean` takes them out). Letters of
Arabic script are joined by the forms that the standard's own data names initial, medial and final.
"""

import unicodedata
from collections.abc import Sequence
from functools import cache
from typing import Final

TURNED: Final = frozenset(("R", "AL"))
MIRRORED: Final = dict(zip("()[]{}<>«»‹›≤≥", ")(][}{><»«›‹≥≤", strict=True))
FORMS: Final = ("isolated", "final", "initial", "medial")
PRESENTATION_FORMS: Final = (range(0xFB50, 0xFE00), range(0xFE70, 0xFEFD))


def drawn_order(text: str) -> str:
    """The characters of a line from left to right; text without such letters stays as it is.

    >>> drawn_order("saw (\u05d0\u05d1\u05d2 12)") == "saw (12 \u05d2\u05d1\u05d0)"
    True
    """
    if text.isascii() or not any(unicodedata.bidirectional(char) in TURNED for char in text):
        return text
    clusters = _clusters(_joined_letters(text))
    levels = _levels([unicodedata.bidirectional(cluster[0]) for cluster in clusters])
    shown = [
        MIRRORED.get(cluster, cluster) if level == 1 else cluster
        for cluster, level in zip(clusters, levels, strict=True)
    ]
    for least in (2, 1):  # rule L2: from the highest level down
        shown, levels = _turned(shown, levels, least)
    return "".join(shown)


def _clusters(text: str) -> list[str]:
    """Characters, each with the marks that combine with it."""
    clusters: list[str] = []
    for char in text:
        if clusters and unicodedata.combining(char):
            clusters[-1] += char
        else:
            clusters.append(char)
    return clusters


def _levels(kinds: list[str]) -> list[int]:
    """0: left to right, 1: right to left, 2: a number among letters that read right to left."""
    kinds = _weak(kinds)
    levels = [{"L": 0, "R": 1, "EN": 2, "AN": 2}.get(kind, -1) for kind in kinds]
    strong = 0
    for place, level in enumerate(levels):  # rules N1, N2: what has no direction of its own
        if level >= 0:
            strong = min(level, 1)
            continue
        after = next((min(other, 1) for other in levels[place:] if other >= 0), 0)
        levels[place] = strong if strong == after else 0
    return levels


def _weak(kinds: list[str]) -> list[str]:
    """Rules W2 to W7: what numbers and the signs between and around them count as."""
    strong, told = "L", list(kinds)
    for place, kind in enumerate(told):
        if kind in ("L", "R", "AL"):
            strong = kind
        elif kind == "EN" and strong == "AL":
            told[place] = "AN"
    for place in range(1, len(told) - 1):
        before, here, after = told[place - 1 : place + 2]
        if before == after and (
            (here in ("ES", "CS") and before == "EN") or (here == "CS" and before == "AN")
        ):
            told[place] = before
    for numbers in (range(len(told)), reversed(range(len(told)))):
        near = ""
        for place in numbers:
            if told[place] == "ET" and near == "EN":
                told[place] = "EN"
            near = told[place]
    strong = "L"
    for place, kind in enumerate(told):
        if kind in ("L", "R", "AL"):
            strong = told[place] = "L" if kind == "L" else "R"
        elif kind == "EN" and strong == "L":
            told[place] = "L"
    return told


def _turned(shown: list[str], levels: list[int], least: int) -> tuple[list[str], list[int]]:
    """Every stretch at this level or higher, turned around."""
    order: list[int] = []
    stretch: list[int] = []
    for place, level in enumerate(levels):
        if level >= least:
            stretch.append(place)
            continue
        order += [*reversed(stretch), place]
        stretch = []
    order += reversed(stretch)
    return [shown[place] for place in order], [levels[place] for place in order]


@cache
def _letter_forms() -> dict[str, dict[str, str]]:
    """Of each letter, and of lam with an alef, its forms by name."""
    forms: dict[str, dict[str, str]] = {}
    for codes in PRESENTATION_FORMS:
        for char in map(chr, codes):
            form, *letters = unicodedata.decomposition(char).split() or [""]
            base = "".join(chr(int(letter, 16)) for letter in letters)
            if form.strip("<>") in FORMS and (len(base) == 1 or base[:1] == "\u0644"):
                forms.setdefault(base, {}).setdefault(form.strip("<>"), char)
    return {base: told for base, told in forms.items() if len(base) == 1 or _with_alef(base)}


def _with_alef(pair: str) -> bool:
    return len(pair) == 2 and pair[1] in "\u0622\u0623\u0625\u0627"


def _joined_letters(text: str) -> str:
    """Letters that join take the form that their neighbours ask for."""
    forms = _letter_forms()
    clusters = _clusters(text)
    for place in range(len(clusters) - 1, 0, -1):  # lam and alef are one letter
        if (pair := clusters[place - 1] + clusters[place]) in forms:
            clusters[place - 1 : place + 1] = [pair]
    return "".join(_form(clusters, place, forms) for place in range(len(clusters)))


def _form(clusters: Sequence[str], place: int, forms: dict[str, dict[str, str]]) -> str:
    """A letter by what stands before and after it."""
    cluster = clusters[place]
    letter = cluster if cluster in forms else cluster[0]
    mine = forms.get(letter, {})
    before = forms.get(_letter(clusters, place - 1, forms), {})
    after = forms.get(_letter(clusters, place + 1, forms), {})
    joins_before = "initial" in before and "final" in mine
    joins_after = "initial" in mine and "final" in after
    form = FORMS[joins_before + 2 * joins_after]
    return mine.get(form, letter) + cluster[len(letter) :]


def _letter(clusters: Sequence[str], place: int, forms: dict[str, dict[str, str]]) -> str:
    if not 0 <= place < len(clusters):
        return ""
    cluster = clusters[place]
    return cluster if cluster in forms else cluster[0]
