"""How values read on paper: cleaned names, lists in words, amperes, dollars.

Names come from people and files: control characters, characters that XML forbids and invisible
marks that turn the direction of the text around are taken out, everything else is kept. Lengths and
what else has units to choose is in `measures`.
"""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Final

from models.naming import called
from models.plan import FeederPlan, Plan

_ANSWERS: Final = {  # where a shop file has one word for it
    "either": "breaker or receptacle, whichever costs less",
    "attended": "what nobody is there to attend is left out",
    "interlocked": "only what a listed interlock keeps off is left out",
    "interlocked (not stated)": "only what a listed interlock keeps off is left out (not stated)",
}
_CELSIUS = re.compile(r"\b(\d+) C\b")  # as shop files say it
_BACKQUOTED = re.compile(r"`([^`]*)`")
_TURNS_DIRECTION = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f")


def clean(text: str) -> str:
    r"""A name that can be printed: one line, no control characters, no direction marks.

    >>> clean("saw\x1b[31m\n\u202eB")
    'saw�[31m B'
    """
    if text.isascii() and text.isprintable():
        return text
    kept = []
    for char in text:
        if char in "\t\n\r":
            kept.append(" ")
        elif char in _TURNS_DIRECTION:
            continue
        elif unicodedata.category(char) in ("Cc", "Cs") or ord(char) & 0xFFFE == 0xFFFE:
            kept.append("\ufffd")
        else:
            kept.append(char)
    return "".join(kept)


def on_paper(text: str) -> str:
    """A sentence for paper: what is to be written is in quotation marks, not in backquotes.

    >>> on_paper("say `starter: built in` or `manual`")
    'say “starter: built in” or “manual”'
    """
    return _BACKQUOTED.sub(r"“\1”", text)


def local_answer_words(plan: Plan) -> list[tuple[str, str]]:
    """The local answers that a plan rests on, each a question and what it is taken as; then the
    amendments of the shop file in its own words.
    """
    answers = [
        (clean(key).replace("_", " "), _ANSWERS.get(value, _CELSIUS.sub(r"\1 °C", clean(value))))
        for key, value in sorted(plan.made_by.local_answers.items())
    ]
    amendments = plan.source.shop.get("code", {}).get("amendments", ())
    return answers + [("local amendment, not checked", clean(text)) for text in amendments]


def fed_by_words(plan: Plan, feeder: FeederPlan) -> str:
    """What feeds a feeder: a panel of the plan, or the disconnect of the service by its name."""
    inside = any(panel.id == feeder.source for panel in plan.panels)
    return f"{'panel ' * inside}{clean(feeder.source)}"


def fahrenheit(celsius: float) -> str:
    """A temperature as people in the trade say it.

    >>> fahrenheit(30), fahrenheit(48.9)
    ('86 °F', '120 °F')
    """
    return f"{celsius * 9 / 5 + 32:.0f} °F"


def wall_words(wall: str) -> str:
    """A wall by its id.

    >>> wall_words("north"), wall_words("heat-wall")
    ('north wall', 'heat-wall')
    """
    return clean(wall) if wall.endswith("wall") else f"{clean(wall)} wall"


def joined(parts: Iterable[str], by: str = ", ", none: str = "") -> str:
    """Cleaned parts in one text.

    >>> joined(["saw", "charger"], " + ")
    'saw + charger'
    """
    return by.join(clean(part) for part in parts) or none


def some_of(parts: Sequence[str], most: int = 6) -> str:
    """The first of many, and how many more there are.

    >>> some_of(["N1", "N2", "N3"], most=2)
    'N1, N2 and 1 more'
    """
    more = f" and {len(parts) - most} more" if len(parts) > most else ""
    return joined(parts[:most]) + more


def plain(value: float, digits: int = 2) -> str:
    """Digits without trailing zeros.

    >>> plain(11.0), plain(12.333), plain(-0.001)
    ('11', '12.33', '0')
    """
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def amps(value: float | None) -> str:
    """A current with its unit, to 0.1 A; nothing for what was not computed.

    >>> amps(12.333), amps(20.0), amps(None)
    ('12.3 A', '20 A', '')
    """
    return "" if value is None else f"{plain(value, 1)} A"


def load_amps(value: float) -> str:
    """A load for a column of numbers, always to 0.1 A.

    >>> load_amps(12.0)
    '12.0 A'
    """
    return f"{value:.1f} A"


def life_words(life: str, known: str) -> list[str]:
    """What is said of a part that is not new.

    >>> life_words("existing", "believed"), life_words("new", "verified")
    (['existing', 'believed'], [])
    """
    return {"new": [], "existing": [life, known]}.get(life, [life])


def dollars(value: float | None) -> str:
    """Money with cents; nothing for what was not computed.

    >>> dollars(1234.5)
    '$1,234.50'
    """
    return "" if value is None else f"${value:,.2f}"


def percent(share: float) -> str:
    """A likelihood.

    >>> percent(0.072), percent(0.0004), percent(0), percent(0.996)
    ('7 %', 'under 1 %', '0 %', 'over 99 %')
    """
    share = round(share, 6)  # sums of likelihoods
    if 0 < share < 0.005:
        return "under 1 %"
    return "over 99 %" if 0.995 <= share < 1 else f"{100 * share:.0f} %"


def named_spaces_text(spaces: Sequence[int]) -> str:
    """Panel spaces with what they are.

    >>> named_spaces_text((2, 4)), named_spaces_text((5,))
    ('spaces 2, 4', 'space 5')
    """
    return f"{'space' if len(spaces) == 1 else 'spaces'} {spaces_text(spaces)}"


def spaces_text(spaces: Sequence[int]) -> str:
    """Panel spaces as a directory prints them; three and more in a row as from–to.

    >>> spaces_text((2, 4)), spaces_text((5,)), spaces_text((7, 8, 9, 10, 12))
    ('2, 4', '5', '7–10, 12')
    """
    rows: list[list[int]] = []
    for space in spaces:
        if rows and space == rows[-1][-1] + 1:
            rows[-1].append(space)
        else:
            rows.append([space])
    texts = [f"{row[0]}–{row[-1]}" if len(row) > 2 else ", ".join(map(str, row)) for row in rows]
    return ", ".join(texts)


def machine_words(plan: Plan) -> dict[str, str]:
    """What to call each machine: its name, with its id when two share a name."""
    return {key: clean(name) for key, name in called(plan.machines).items()}


def state_words(state: Iterable[str], names: dict[str, str], none: str = "lights only") -> str:
    """Machines that are on together, in words: "saw + charger"."""
    return joined((names.get(machine, machine) for machine in state), " + ", none)
