"""What receptacles must be beyond their configuration: tamper-resistant, for damp and wet places.

A plan does not name devices so closely, so each rule gives one note with the boxes it is about.
Source: NFPA 70 (2017, 2020, 2023) 406.4(D), 406.9, 406.12. Feet, amperes.
"""

from collections.abc import Iterable, Iterator
from typing import Final

from models.formulas.receptacles import receptacle
from models.gfci import places
from models.naming import natural
from models.plan import Finding, OutletPlan
from models.reach import receptacle_place
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

OUT_OF_REACH_FT: Final = 5.5  # 406.12, exceptions
LARGEST_AMPS: Final = 20  # 406.9, 406.12 mean 15 and 20 A receptacles without lock
ALL: Final = "receptacles"

TAMPER = RuleText(
    "tamper-resistant",
    "Tamper-resistant receptacles",
    "On a dwelling's premises receptacles of 15 and 20 A without lock, 125 and 250 V, are"
    " tamper-resistant up to 5-1/2 ft above the floor. One alone for a machine that stays in its"
    " place need not be.",
    "NEC 406.12",
    "code",
)
WEATHER = RuleText(
    "damp-wet-receptacles",
    "Receptacles in damp and wet places",
    "In a damp place a cover that is weatherproof with nothing plugged in, in a wet place one that"
    " is so with a plug in; receptacles of 15 and 20 A without lock are weather-resistant.",
    "NEC 406.9(A), (B)",
    "code",
)
REPLACEMENT = RuleText(
    "receptacle-replacement",
    "What a replacement must be",
    "Whoever replaces a receptacle brings it up to what is asked for today: grounded or marked,"
    " GFCI, tamper-resistant, weather-resistant.",
    "NEC 406.4(D)",
    "code",
    rests_on_memory=True,
)
RULES = registry(TAMPER, WEATHER, REPLACEMENT)
HOOD: Final = {
    2017: "an extra-duty hood",
    2020: "an extra-duty hood",
    2023: "an extra-duty hood or another enclosure listed for it",
}


def check(reading: Reading) -> Iterator[Finding]:
    """Yield one note for each kind of receptacle that is asked for, with the boxes."""
    outlets = [outlet for outlet in reading.plan.outlets if outlet.configuration is not None]
    new = [outlet for outlet in outlets if outlet.life == "new"]
    yield from _tamper(reading, [outlet for outlet in new if _for_children(reading, outlet)])
    for place in ("wet", "damp"):
        yield from _weather(reading, place, [o for o in new if _place(reading, o) == place])
    yield from _replacement(reading, [outlet for outlet in outlets if outlet.life == "existing"])


def _for_children(reading: Reading, outlet: OutletPlan) -> bool:
    """Whether a receptacle must be tamper-resistant."""
    height_ft = receptacle_place(reading.shop, reading.box_of_shop(outlet))[2]
    return reading.shop.building.dwelling and _small(outlet) and height_ft <= OUT_OF_REACH_FT


def _small(outlet: OutletPlan) -> bool:
    """Whether a receptacle is one of 15 or 20 A without lock."""
    name = outlet.configuration or ""
    return not name.startswith("L") and receptacle(name).amps <= LARGEST_AMPS


def _place(reading: Reading, outlet: OutletPlan) -> str:
    """`wet`, `damp` or `dry`; outdoors everything is taken as wet."""
    here = set(places(reading.shop, reading.box_of_shop(outlet)))
    if here & {"outdoors", "wet place inside"}:
        return "wet"
    return "damp" if "damp place inside" in here else "dry"


def _boxes(outlets: Iterable[OutletPlan]) -> str:
    """The boxes of some outlets, each once."""
    return ", ".join(sorted({outlet.box for outlet in outlets}, key=natural))


def _tamper(reading: Reading, outlets: list[OutletPlan]) -> Iterator[Finding]:
    if outlets:
        yield TAMPER.finding(
            ALL,
            f"to be tamper-resistant: {_boxes(outlets)}",
            edition=reading.edition,
            severity="note",
            fix="buy tamper-resistant receptacles for these boxes",
        )


def _weather(reading: Reading, place: str, outlets: list[OutletPlan]) -> Iterator[Finding]:
    small = [outlet for outlet in outlets if _small(outlet)]
    large = [outlet for outlet in outlets if outlet not in small]
    hood = f" ({HOOD[reading.edition]})" if place == "wet" else ""
    plugged = "with a plug in" if place == "wet" else "with no plug in"
    cover = f"under a cover that is weatherproof {plugged}"
    for size, found, asked in (
        ("small", small, f"weather-resistant, {cover}{hood}"),
        ("large", large, cover),
    ):
        if found:
            yield WEATHER.finding(
                ALL,
                f"to be {asked}, in a {place} place: {_boxes(found)}",
                edition=reading.edition,
                severity="note",
                detail=f"{place} {size}",
                fix="buy receptacles and covers for these boxes by their marking",
            )


def _replacement(reading: Reading, outlets: list[OutletPlan]) -> Iterator[Finding]:
    """What is there already and would have to be of another kind today."""
    asked = {
        "grounded, or a GFCI marked that it has no ground": [
            o for o in outlets if not receptacle(o.configuration or "").ground
        ],
        "tamper-resistant": [o for o in outlets if _for_children(reading, o)],
        "weather-resistant": [
            o for o in outlets if _small(o) and _place(reading, o) in ("damp", "wet")
        ],
    }
    told = [f"{kind} in {_boxes(found)}" for kind, found in asked.items() if found]
    if told:
        yield REPLACEMENT.finding(
            ALL,
            f"when replaced, an existing receptacle is to be {'; '.join(told)}",
            edition=reading.edition,
            severity="note",
            fix="buy the kind asked for when one is replaced",
        )
