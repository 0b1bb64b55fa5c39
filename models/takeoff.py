"""The takeoff: counting what a plan asks to buy, by the keys of the price book.

Only new work counts. Cable and conductors are counted at their cut length in feet; a raceway at
its own length when some run lies in it, or when it is laid for a machine to come or room is kept in
it. Luminaires
themselves are not counted.
"""

from collections import Counter
from collections.abc import Iterable

from models.box_sizes import is_pull_box
from models.building_main import main_parts
from models.part_keys import (
    CABLE_CONNECTOR,
    HANDLE_TIE,
    PULL_STRING,
    RACEWAY_CONNECTOR,
    box_key,
    breaker_key,
    by_size,
    cable_key,
    device_key,
    raceway_key,
    single_key,
    tandem_key,
)
from models.plan import BoxPlan, CircuitPlan, LaterMachinePlan, PanelPlan, RacewayPlan, Run

SECOND_POLE = 2


def count_parts(
    circuits: Iterable[CircuitPlan],
    boxes: Iterable[BoxPlan],
    raceways: Iterable[RacewayPlan],
    panels: Iterable[PanelPlan] = (),
    later: Iterable[LaterMachinePlan] = (),
) -> dict[str, float]:
    """Quantities of everything new, in feet or pieces, by kind and size."""
    count: Counter[str] = Counter()  # hundredths, so that sums of lengths stay exact
    used: set[str] = set()
    tandems: dict[tuple[str, int], list[float]] = {}
    for circuit in circuits:
        if circuit.breaker.kind == "tandem" and circuit.life == "new":
            place = circuit.panel, circuit.breaker.spaces[0]
            tandems.setdefault(place, []).append(circuit.breaker.amps)
        used.update(raceway for run in circuit.runs for raceway in run.raceways)
        _count_circuit(circuit, count)
    for one, other in tandems.values():
        count[tandem_key(one, other)] += 100
    for box in boxes:
        if box.life == "new":
            _count_box(box, count)
    for coming in later:
        _count_later(coming, count)
        used.update(coming.room.raceways if coming.room else ())
    for raceway in raceways:
        if raceway.life == "new" and raceway.id in used:
            key = raceway_key(raceway.kind, raceway.trade_size)
            count[key] += round(100 * raceway.length_ft)
            count[RACEWAY_CONNECTOR] += 200
    for panel in panels:
        if panel.main.kind == "back-fed" and panel.main.amps is not None:
            count.update(dict.fromkeys(main_parts(panel.main.amps), 100))
    return {key: count[key] / 100 for key in sorted(count, key=by_size)}


def _count_circuit(circuit: CircuitPlan, count: Counter[str]) -> None:
    """A breaker, new or exchanged, and the runs that are pulled."""
    breaker = circuit.breaker
    bought = (circuit.life == "new" and breaker.kind != "tandem") or breaker.exchanged
    if bought and circuit.pole != SECOND_POLE:  # the breaker of a pair counts with its first pole
        count[breaker_key(breaker.amps, breaker.poles, breaker.gfci)] += 100
    if bought and breaker.handle_tie:
        count[HANDLE_TIE] += 50  # one for two breakers
    for run in circuit.runs:
        if run.life == "new":
            _count_run(run, count)


def _count_run(run: Run, count: Counter[str]) -> None:
    """Cable with its connectors, or single conductors."""
    cut = round(100 * run.length_ft) + round(100 * run.allowance_ft)
    if run.method == "raceway":
        for conductor in run.conductors:
            count[single_key(conductor.awg, wet=run.wet)] += cut
        return
    insulated = [conductor for conductor in run.conductors if conductor.insulated]
    count[cable_key(insulated[0].awg, len(insulated))] += cut
    count[CABLE_CONNECTOR] += 200


def _count_later(coming: LaterMachinePlan, count: Counter[str]) -> None:
    """What is pulled, laid or kept now for a machine to come."""
    if coming.run is not None:
        _count_run(coming.run, count)
    if coming.raceway is not None:
        key = raceway_key(coming.raceway.kind, coming.raceway.trade_size)
        count[key] += round(100 * coming.raceway.length_ft)
        count[RACEWAY_CONNECTOR] += 200
        if coming.raceway.string_ft is not None:
            count[PULL_STRING] += round(100 * coming.raceway.string_ft)
    if coming.room is not None:
        cut = round(100 * coming.room.length_ft) + round(100 * coming.room.allowance_ft)
        count[PULL_STRING] += cut


def _count_box(box: BoxPlan, count: Counter[str]) -> None:
    """A box, what covers it, and its devices."""
    count[box_key(box.box)] += 100
    if box.kind == "device" and not is_pull_box(box.box):
        count["cover in-use" if box.location == "wet" else f"trim {box.gangs} gang"] += 100
    for yoke in box.yokes:
        if yoke.device != "blank":
            count[device_key(yoke.device, yoke.configuration, yoke.gfci)] += 100
