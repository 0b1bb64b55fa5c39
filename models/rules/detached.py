"""A separate building: its one supply, what disconnects it, and what grounds it. Amperes."""

from collections.abc import Iterator
from typing import Final

from models.formulas.feeders import MOST_DISCONNECTS, building_disconnect_amps
from models.plan import Finding
from models.rules.reading import Reading, amps_text
from models.rules.rule import RuleText, registry
from models.shop import Panel

SUPPLY = RuleText(
    "one-supply",
    "One supply to a building",
    "A separate building has one feeder; since 2020 up to six from one place, each with a single"
    " disconnect.",
    "NEC 225.30",
    "code",
    {2020: "NEC 225.30(B)", 2023: "NEC 225.30(B)"},
)
DISCONNECT = RuleText(
    "building-disconnect",
    "Disconnect of the building",
    "Something at the building disconnects all hots of its feeder: one main, or the breakers of its"
    " panel while they are no more than six.",
    "NEC 225.31, 225.32, 225.33",
    "code",
    {2023: "NEC 225.31, 225.33"},
)
RATING = RuleText(
    "building-disconnect-rating",
    "Rating of the building's disconnect",
    "It is rated 15 A for one circuit, 30 A for two of two wires, 60 A otherwise, at least.",
    "NEC 225.39",
    "code",
)
GROUNDING = RuleText(
    "building-grounding",
    "Grounding of the building",
    "A separate building with a feeder has a grounding electrode of its own; its panel keeps"
    " neutral and ground apart.",
    "NEC 250.32(A), 250.32(B), 250.142(B)",
    "code",
)
RULES = registry(SUPPLY, DISCONNECT, RATING, GROUNDING)
SINGLE: Final = ("main breaker", "back-fed breaker", "separate switch")
BELOW: Final = 2  # the space below another one in its column
NAME_ONE: Final = (
    "name a disconnect: a main breaker, a back-fed breaker with a hold-down (two spaces), or a"
    " separate switch"
)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each panel of a separate building that something is missing for."""
    if reading.shop.building.attached:
        return
    inside = {panel.id for panel in reading.shop.supply.panels}
    fed = [p for p in reading.shop.supply.panels if p.feeder.source not in inside]
    yield from _supplies(reading, fed)
    for panel in fed:
        yield from _disconnect(reading, panel)
        yield from _room_for_main(reading, panel)
        yield from _rating(reading, panel)
        yield GROUNDING.finding(
            panel.id,
            f"the shop file does not say whether the building of {panel.id} has a grounding"
            " electrode, nor whether neutral and ground are apart in the panel",
            edition=reading.edition,
            severity="not-checked",
            fix="look for ground rods or another electrode, and that no bonding screw joins neutral"
            " and enclosure",
        )


def _added_amps(reading: Reading, panel: Panel) -> float | None:
    """Rating of the back-fed main that the plan adds to a panel; None when it adds none. [A]"""
    plan = next((p for p in reading.plan.panels if p.id == panel.id), None)
    return plan.main.amps if plan and plan.main.kind == "back-fed" else None


def _single(reading: Reading, panel: Panel) -> str | None:
    """The one thing that disconnects a building; None when there is none."""
    if panel.main != "main lug" or _added_amps(reading, panel) is not None:
        return "main breaker"
    return panel.disconnect if panel.disconnect in SINGLE[1:] else None


def _handles(reading: Reading, panel: Panel) -> list[list[float]]:
    """Handles to throw in a panel without a main, each with its breakers' ratings. [A]"""
    tied: dict[frozenset[str], list[float]] = {}
    for circuit in reading.plan.circuits:
        if circuit.panel == panel.id:
            together = frozenset({circuit.id, circuit.multiwire_with or circuit.id})
            tied.setdefault(together, []).append(circuit.breaker.amps)
    return list(tied.values())


def _supplies(reading: Reading, fed: list[Panel]) -> Iterator[Finding]:
    """More than one feeder to the building."""
    sources = {panel.feeder.source for panel in fed}
    grouped = (
        reading.edition >= 2020
        and len(sources) == 1
        and len(fed) <= MOST_DISCONNECTS
        and all(_single(reading, panel) for panel in fed)
    )
    if len(fed) > 1 and not grouped:
        names = ", ".join(panel.id for panel in fed)
        yield SUPPLY.finding(
            fed[0].id,
            f"{len(fed)} feeders come to the building, to panels {names}",
            edition=reading.edition,
            found=len(fed),
            limit=1,
            unit="feeders",
            fix="one feeder to one panel, and the others fed from it",
        )


def _disconnect(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """No main, and more breakers than may stand in for one."""
    if _single(reading, panel):
        return
    handles = len(_handles(reading, panel))
    if handles > MOST_DISCONNECTS:
        said = "has none" if panel.disconnect else "names none"
        yield DISCONNECT.finding(
            panel.id,
            f"{handles} breakers of {panel.id} would have to be thrown to disconnect the building,"
            f" {MOST_DISCONNECTS} at most; the panel has main lugs and the shop file {said}",
            edition=reading.edition,
            found=handles,
            limit=MOST_DISCONNECTS,
            unit="handles",
            fix=NAME_ONE,
        )
    else:
        yield DISCONNECT.finding(
            panel.id,
            f"the {handles} breakers of {panel.id} are the disconnect of the building: a seventh"
            " may not come to them",
            edition=reading.edition,
            severity="note",
            fix=f"mark each with what it feeds (NEC 225.34), or {NAME_ONE}",
        )


def _room_for_main(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A back-fed main without two spaces, one below the other, left for it."""
    if _single(reading, panel) != "back-fed breaker":
        return
    plan = next((p for p in reading.plan.panels if p.id == panel.id), None)
    free = {space.space for space in plan.spaces if space.circuit is None} if plan else set()
    if not any(space + BELOW in free for space in free):
        yield DISCONNECT.finding(
            panel.id,
            f"the back-fed main of {panel.id} takes two spaces, one below the other: none are free",
            edition=reading.edition,
            detail="spaces",
            fix="a larger panel, fewer circuits, or a panel with a main breaker",
        )


def _rating(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A disconnect of too small a rating, or of one that nobody gave."""
    circuits = [c for c in reading.plan.circuits if c.panel == panel.id]
    two_wire = all(circuit.multiwire_with is None for circuit in circuits)
    least = building_disconnect_amps(len(circuits), all_two_wire=two_wire)
    single = _single(reading, panel)
    if single in SINGLE[1:]:
        yield RATING.finding(
            panel.id,
            f"the rating of the {single} at {panel.id} is not in the shop file: {least} A at least",
            edition=reading.edition,
            severity="not-checked",
            limit=float(least),
            unit="A",
            fix="read it on the disconnect",
        )
        return
    handles = _handles(reading, panel)
    if panel.main != "main lug":
        rated = panel.main
    elif (added := _added_amps(reading, panel)) is not None:
        rated = added
    elif len(handles) <= MOST_DISCONNECTS:
        rated = sum(min(amps) for amps in handles)
    else:
        return  # no disconnect at all
    if rated < least:
        yield RATING.finding(
            panel.id,
            f"what disconnects the building of {panel.id} is rated {amps_text(rated)},"
            f" {least} A is the least",
            edition=reading.edition,
            found=rated,
            limit=float(least),
            unit="A",
            fix="a disconnect of a larger rating",
        )
