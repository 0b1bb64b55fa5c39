"""Hazards: what stops a plan rather than footnoting it."""

from collections.abc import Iterator
from typing import Final

from models.plan import Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

HAZARDS = RuleText(
    "hazards",
    "Hazardous places",
    "Flammable vapour, combustible dust in quantity and wet work areas ask for more than this tool"
    " plans: the shop file answers for each.",
    "NEC articles 500 to 516 (screening)",
    "code",
    rests_on_memory=True,
)
RULES = registry(HAZARDS)
QUESTIONS: Final = {
    "flammable_vapour": "spraying or storing anything with flammable vapour",
    "combustible_dust": "combustible dust in quantity",
    "wet_process": "work that wets floor or people",
}


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a violation for each yes and a note for each question left open."""
    for key, words in QUESTIONS.items():
        answer = getattr(reading.shop.building.hazards, key)
        if answer is None:
            yield HAZARDS.finding(
                key,
                f"not answered: is there {words}?",
                edition=reading.edition,
                severity="note",
                fix=f"answer `building.hazards.{key}` with yes or no",
            )
        elif answer:
            yield HAZARDS.finding(
                key,
                f"there is {words}: beyond this tool",
                edition=reading.edition,
                fix="have the place classified and designed by someone qualified for it",
            )
