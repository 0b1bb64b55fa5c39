"""Cover-plate labels: what is written at each place to plug in, to switch, or to open a box.

One label for each yoke; two where its halves are on different circuits.
"""

from collections.abc import Iterator

from branchwright.papers.paper import Field, Paper, Row
from branchwright.spaces import at_spaces, named_spaces
from branchwright.words import clean, plain
from models.plan import BoxPlan, CircuitPlan, OutletPlan, Plan

FIELDS = (
    Field("Box", 10), Field("At", 14), Field("Panel", 8), Field("Space", 9),
    Field("Breaker [A]", 11, 1), Field("Volts", 8), Field("Reset GFCI at", 26),
    Field("Circuit", 10), Field("Text", 46),
)  # fmt: skip


def cover_labels(plan: Plan) -> Paper:
    """A row for each label, box by box; none for luminaires, which have no cover plate."""
    rows = tuple(row for box in plan.boxes for row in _box(plan, box))
    note = "Panel, space, amperes, and where the protection is reset. Volts as at the outlet."
    return Paper("cover_labels", "Cover-plate labels", FIELDS, rows, note)


def _box(plan: Plan, box: BoxPlan) -> Iterator[Row]:
    circuits = {circuit.id: circuit for circuit in plan.circuits}
    if box.kind in ("junction", "pull"):
        inside = dict.fromkeys(conductor.circuit for conductor in box.conductors)
        for circuit in (circuits[key] for key in inside if key in circuits):
            yield _row(box, box.id, circuit, circuit.volts_text, at_spaces(plan, circuit), "")
        return
    outlets = [o for o in plan.outlets if o.box == box.id and o.kind != "luminaire"]
    seen: set[tuple[str, str, int, str | None]] = set()
    for outlet in outlets:
        label = (outlet.yoke or outlet.id, outlet.circuit, outlet.volts, outlet.protected_by)
        if label in seen or outlet.circuit not in circuits:
            continue
        seen.add(label)
        alike = {o.circuit for o in outlets if o.yoke == outlet.yoke}
        at = outlet.id if len(alike) > 1 else label[0]
        circuit = circuits[outlet.circuit]
        spaces = at_spaces(plan, circuit, circuit.fed_at(outlet.volts))
        reset = reset_words(plan, outlet, circuit)
        yield _row(box, at, circuit, str(outlet.volts), spaces, reset)
    places = {yoke.id: place for place, yoke in enumerate(box.yokes)}
    switches = [one for one in plan.switches if one.box == box.id]
    for switch in sorted(switches, key=lambda one: places.get(one.id, len(places))):
        if switch.circuit in circuits:
            circuit = circuits[switch.circuit]
            yield _row(box, switch.id, circuit, circuit.volts_text, at_spaces(plan, circuit), "")


def reset_words(plan: Plan, outlet: OutletPlan, circuit: CircuitPlan) -> str:
    """Where an outlet's ground-fault protection is reset; empty without any."""
    if outlet.protected_by == "breaker":
        return f"breaker, {named_spaces(plan, circuit, circuit.breaker.spaces)}"
    if outlet.protected_by in (outlet.yoke, outlet.id):
        return "here"
    return clean(outlet.protected_by or "")


def _row(box: BoxPlan, at: str, circuit: CircuitPlan, volts: str, where: str, reset: str) -> Row:
    panel = clean(circuit.panel)
    amps = circuit.breaker.amps
    says = f"{panel} {where} · {plain(amps, 1)} A" + (f" · reset {reset}" if reset else "")
    return (clean(box.id), clean(at), panel, where, amps, volts, reset, clean(circuit.id), says)
