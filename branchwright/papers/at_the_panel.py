"""Papers for the panel: its directory space by space, and the same short for the door."""

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Final

from branchwright.measures import gauge
from branchwright.papers.paper import Field, Paper, Row
from branchwright.sheets.breakers import OtherBreaker, other_breakers
from branchwright.sheets.circuit_directory import gfci_words, status_words
from branchwright.words import clean, joined, spaces_text
from models.changeovers import kept_words
from models.plan import CircuitPlan, PanelPlan, Plan, Space

LONG = (
    Field("Panel", 8), Field("Space", 7, 0), Field("Half", 5), Field("Leg", 5),
    Field("Circuit", 10), Field("Feeds", 52), Field("Breaker [A]", 11, 1), Field("Poles", 6, 0),
    Field("Volts", 8), Field("Conductor", 16), Field("GFCI", 14), Field("Status", 34),
)  # fmt: skip
DOOR = (
    Field("Panel", 8), Field("Left space", 8), Field("Feeds (left)", 44),
    Field("Breaker (left) [A]", 10, 1), Field("Right space", 8),
    Field("Feeds (right)", 44), Field("Breaker (right) [A]", 10, 1),
)  # fmt: skip

# Of a space on the door card: its number, what it feeds, its amperes.
DoorLine = tuple[str, str, float | None]
InSpace = tuple[Space, CircuitPlan | None, OtherBreaker | None]
FREE = "not used"
MANY: Final = 3  # spaces in a row that are not used, told together


def directory(plan: Plan) -> Paper:
    """A row for each space of each panel, and for each half of one that holds a tandem.

    Several in a row that are not used have one row, at the first of them.
    """
    rows = tuple(row for panel in plan.panels for row in _long(plan, panel))
    note = "In the order of the spaces; a breaker of two poles stands at both of its spaces."
    return Paper("circuit_directory", "Circuit directory", LONG, rows, note)


def door_card(plan: Plan) -> Paper:
    """A row for each pair of spaces, odd at the left and even at the right, as in the panel."""
    rows: list[Row] = []
    for panel in plan.panels:
        lines = door_lines(plan, panel)
        for left, right in zip(lines[::2], lines[1::2], strict=True):
            rows.append((clean(panel.id), *left, *right))
    return Paper("door_card", "Door card", DOOR, tuple(rows), "Left and right as in the panel.")


def door_lines(plan: Plan, panel: PanelPlan) -> list[DoorLine]:
    """Of each space from 1 up: its number, what it feeds, its amperes; an even count of them."""
    lines: dict[int, DoorLine] = {}
    for space, circuit, other in _spaces(plan, panel):
        says = _feeds(plan, space, circuit, other)
        amps = circuit.breaker.amps if circuit else other.amps if other else None
        if space.space in lines:  # the second half of a tandem
            number, before, first = lines[space.space]
            beside = f"{before} / {says}" + ("" if amps == first else f" ({amps:g} A)")
            lines[space.space] = number, beside, first
        else:
            lines[space.space] = str(space.space), says, amps
    last = max(lines, default=0)
    return [lines.get(n, (str(n), FREE, None)) for n in range(1, last + last % 2 + 1)]


def _spaces(plan: Plan, panel: PanelPlan) -> Iterator[InSpace]:
    """Each space with the circuit or the other breaker in it."""
    circuits = {circuit.id: circuit for circuit in plan.circuits}
    others = {n: breaker for breaker in other_breakers(plan, panel) for n in breaker.spaces}
    for space in sorted(panel.spaces, key=lambda space: (space.space, space.tandem or "")):
        circuit = circuits.get(space.circuit or "")
        yield space, circuit, None if circuit else others.get(space.space)


def _feeds(
    plan: Plan, space: Space, circuit: CircuitPlan | None, other: OtherBreaker | None
) -> str:
    if circuit:
        return clean(circuit.says)
    if other:
        return clean(other.says)
    return clean(kept_words(plan, space.reserved_for))


def _long(plan: Plan, panel: PanelPlan) -> Iterator[Row]:
    """The rows of one panel."""
    for says, group in groupby(_spaces(plan, panel), key=lambda one: _feeds(plan, *one)):
        together = list(group)
        if says == FREE and len(together) >= MANY:
            spaces = [space.space for space, _, _ in together]
            told = f"{FREE}: {spaces_text(spaces)}"
            yield (clean(panel.id), spaces[0], "", "", "", told, None, None, "", "", "", "")
        else:
            yield from _one_by_one(plan, panel, together)


def _one_by_one(plan: Plan, panel: PanelPlan, spaces: Iterable[InSpace]) -> Iterator[Row]:
    for space, circuit, other in spaces:
        place = (clean(panel.id), space.space, space.tandem or "", space.leg)
        says = _feeds(plan, space, circuit, other)
        if circuit:
            breaker, wire = circuit.breaker, circuit.conductor
            yield (
                *place, clean(circuit.id), says, breaker.amps, breaker.poles, circuit.volts_text,
                f"{gauge(wire.awg)} {clean(wire.insulation)}", gfci_words(circuit),
                joined(status_words(circuit)),
            )  # fmt: skip
        elif other:
            poles = len(other.spaces)
            yield (*place, "", says, other.amps, poles, "240", "", "", clean(other.under))
        else:
            yield (*place, "", says, None, None, "", "", "", "")
