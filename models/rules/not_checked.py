"""Not checked: what this version leaves to the electrician and the inspector, said plainly."""

from collections.abc import Iterator
from typing import Final

from models.plan import Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

NOT_CHECKED = RuleText(
    "not-checked",
    "What is not checked",
    "These questions are open: the plan neither answers them nor claims to.",
    "see each",
    "plan",
)
RULES = registry(NOT_CHECKED)
OPEN: Final = {
    "feeder load calculation": "load of feeder and service by NEC article 220 is not calculated;"
    " only what runs at once is added up",
    "feeder conductors": "size, voltage drop and raceway of the feeder",
    "grounding and bonding": "grounding electrode, bonding, and separate neutral and ground bars",
    "bundling": "cables lying together for more than 24 in (310.15(C)(1)) or through one sealed"
    " hole (334.80): keep them apart",
    "support and protection": "staples, straps, nail plates, bushings and protection of exposed"
    " cable (300.4, 334.30, 358.30)",
    "motors": "overload protection, disconnects in sight, controllers, and starting current on the"
    " breaker (article 430)",
    "fault current": "interrupting rating of breakers against the current available (110.9)",
    "breaker types": "which breakers the panel's label allows (110.3(B)), and terminal torque",
    "required outlets": "receptacles and lighting outlets that every garage or accessory building"
    " must have (210.52(G), 210.70)",
    "receptacle types": "tamper-resistant and weather-resistant receptacles and covers (406.9,"
    " 406.12)",
    "arc-fault protection": "whether a local rule asks for it (210.12 does not list garages)",
    "working order": "continuity, polarity, grounds and GFCI test after building",
}


def check(reading: Reading) -> Iterator[Finding]:
    """Yield one finding for each question that stays open."""
    for where, says in OPEN.items():
        yield NOT_CHECKED.finding(
            where,
            says,
            edition=reading.edition,
            severity="not-checked",
            fix="ask the electrician",
        )
