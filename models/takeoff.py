"""Takeoff: every new part of a plan, counted by its price book key. Feet and pieces.

Cable and conductors are counted by their cut length, raceways by their length. Luminaires and what
is there already are not counted.
"""

from collections import Counter
from collections.abc import Iterable, Iterator

from models.part_keys import box_key, breaker_key, device_key, raceway_key, single_key
from models.plan import BoxPlan, CircuitPlan, RacewayPlan, Run, YokePlan


def count_parts(
    circuits: Iterable[CircuitPlan], boxes: Iterable[BoxPlan], raceways: Iterable[RacewayPlan]
) -> dict[str, float]:
    """Quantities of all new parts by key, sorted by key [ft or pieces]."""
    counted: Counter[str] = Counter()
    hundredths: Counter[str] = Counter()  # lengths as whole hundredths of a foot, to add exactly
    for circuit in circuits:
        if circuit.life == "new":
            breaker = circuit.breaker
            counted[breaker_key(breaker.amps, breaker.poles, breaker.gfci)] += 1
        for run in circuit.runs:
            if run.life == "new":
                counted.update(["cable connector"] * 2 * (run.method == "cable"))
                for key in _lengths_of(run):
                    hundredths[key] += round(100 * run.length_ft) + round(100 * run.allowance_ft)
    for raceway in raceways:
        if raceway.life == "new":
            counted["raceway connector"] += 2
            hundredths[raceway_key(raceway.kind, raceway.trade_size)] += round(
                100 * raceway.length_ft
            )
    for box in boxes:
        if box.life == "new":
            counted.update(_parts_of(box))
    lengths = {key: length / 100 for key, length in hundredths.items()}
    return dict(sorted({**counted, **lengths}.items()))


def _lengths_of(run: Run) -> list[str]:
    """What is cut for a run: one cable, or every single conductor."""
    if run.method == "raceway":
        return [single_key(conductor.awg) for conductor in run.conductors]
    return [run.make]


def _parts_of(box: BoxPlan) -> Iterator[str]:
    """A box, its devices and what covers them."""
    yield box_key(box.box)
    if box.kind == "device":
        yield "cover in-use" if box.location == "wet" else f"trim {box.gangs} gang"
    for yoke in box.yokes:
        if yoke.device != "blank":
            yield _device_of(yoke)


def _device_of(yoke: YokePlan) -> str:
    """The device on a yoke."""
    return device_key(yoke.device, yoke.configuration, yoke.gfci)
