"""What a plan says in sum: how full a raceway is, what may still go in, what all new work takes;
today, and with all that room is kept for.

Apart from the plan's assembly, so that a finished plan is counted again without a solver.
"""

from collections.abc import Collection, Iterable, Sequence
from typing import Final

from models.changeovers import later_machine_of
from models.formulas.ampacity import bundling_factor
from models.formulas.conductors import copper_lb_per_kft
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, raceway_area_in2
from models.plan import (
    NOW,
    THEN,
    CircuitPlan,
    Content,
    LaterMachinePlan,
    Ledger,
    RoomLeft,
    TakeoffLine,
    Totals,
)
from solver.passages import carrying

ROOM_SIZES: Final = ("14", "12", "10", "8", "6")


def kept_in(raceway: str, later: Iterable[LaterMachinePlan]) -> tuple[Content, ...]:
    """What is drawn into a raceway when the machines come that room is kept for."""
    return tuple(
        Content(
            run=one.room.id,
            circuit=later_machine_of(one.machine),
            conductors=one.room.conductors,
        )
        for one in later
        if one.room is not None and raceway in one.room.raceways
    )


def ledgers(
    kind: str,
    trade_size: str,
    contents: tuple[Content, ...],
    kept: tuple[Content, ...] = (),
    counted_then: int = 0,
    mixed: Collection[str] = (),
) -> tuple[Ledger, ...]:
    """The ledger of today, and one of the day with what room is kept for, where it is for anything.

    `counted_then`: current-carrying conductors with everything done that is prepared; `mixed` as
    `carrying` has it.
    """
    counted = sum(carrying(content, mixed) for content in contents)
    left = _rooms_left(kind, trade_size, (*contents, *kept))
    today = _ledger(kind, trade_size, contents, counted, left, NOW)
    if not kept:
        return (today,)
    return today, _ledger(kind, trade_size, (*contents, *kept), counted_then, left, THEN)


def _ledger(
    kind: str,
    trade_size: str,
    contents: tuple[Content, ...],
    counted: int,
    left: tuple[RoomLeft, ...],
    stage: str,
) -> Ledger:
    wires = [conductor for content in contents for conductor in content.conductors]
    area = sum(conductor_area_in2(wire.awg, "THHN") for wire in wires)
    return Ledger(
        stage=stage,
        contents=contents,
        fill_percent=round(100 * area / raceway_area_in2(kind, trade_size), 2),
        limit_percent=round(100 * fill_limit(max(3, len(wires))), 2),
        current_carrying=counted,
        adjustment=bundling_factor(counted),
        room_left=left,
    )


def _rooms_left(kind: str, trade_size: str, contents: Iterable[Content]) -> tuple[RoomLeft, ...]:
    """How many more conductors of each size fit beside these."""
    wires = [conductor for content in contents for conductor in content.conductors]
    area = sum(conductor_area_in2(wire.awg, "THHN") for wire in wires)
    inside = raceway_area_in2(kind, trade_size)
    return tuple(
        RoomLeft(awg=awg, count=_room_left(awg, inside, area, len(wires))) for awg in ROOM_SIZES
    )


def totals_of(
    circuits: Sequence[CircuitPlan],
    takeoff: Iterable[TakeoffLine],
    later: Iterable[LaterMachinePlan] = (),
) -> Totals:
    """Sums over new work; circuits and spaces with those that are there."""
    runs = [run for circuit in circuits for run in circuit.runs if run.life == "new"]
    runs += [one.run for one in later if one.run is not None]
    cut = {run.id: run.length_ft + run.allowance_ft for run in runs}
    copper = sum(
        cut[run.id] * copper_lb_per_kft(wire.awg) / 1000 for run in runs for wire in run.conductors
    )
    return Totals(
        cable_ft=round(sum(cut[run.id] for run in runs if run.method == "cable"), 2),
        conductor_ft=round(sum(cut[run.id] * len(run.conductors) for run in runs), 2),
        copper_lb=round(copper, 2),
        material_cost_usd=round(sum(line.cost_usd for line in takeoff), 2),
        labour_cost_usd=None,
        circuits=len(circuits),
        spaces_used=len({(c.panel, s) for c in circuits for s in c.fed_from}),
    )


def _room_left(awg: str, inside: float, area: float, count: int) -> int:
    """How many more conductors of a size fit beside `count` that take `area` [in²]."""
    each = conductor_area_in2(awg, "THHN")
    fits = int((fill_limit(3) * inside - area) / each + 1e-9)
    if count + fits >= 3:
        return fits
    few = (n for n in (2, 1) if n > count and area + (n - count) * each <= fill_limit(n) * inside)
    return next(few, count) - count
