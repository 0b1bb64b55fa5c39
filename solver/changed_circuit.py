"""A circuit after the changeover of a machine on it: breaker, conductors by role, what it feeds.

Alone on its circuit the machine takes both conductors: the white of a cable becomes a hot, marked
at its ends, or a neutral again (200.7(C)(1)); in a raceway the spare takes its place and what it
replaces is capped. Beside other outlets the spare is the second hot as far as the machine, and two
hots and a neutral serve both (210.4(C), exception 2); a neutral with no outlet beyond is capped.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from models.changeovers import SPARE_MARK
from models.plan import BreakerPlan, ChangeoverPlan, CircuitPlan, Conductor, OutletPlan, Role, Run
from solver.devices import BREAKER

HOT_MARK: Final = "black"  # of a white that serves as a hot, as `draft` marks it
LINE_TO_LINE: Final = 240


def is_alone(outlets: Iterable[OutletPlan]) -> bool:
    """Whether a circuit feeds one yoke and nothing else."""
    return len({(outlet.box, outlet.yoke) for outlet in outlets}) == 1


def way_to(circuit: CircuitPlan, box: str) -> list[Run]:
    """The runs of a circuit from the panel to a box."""
    above = {run.end: run for run in circuit.runs}
    found: list[Run] = []
    while box in above:
        found.insert(0, above[box])
        box = above[box].start
    return found


def circuit_after(
    old: CircuitPlan, draft: ChangeoverPlan, at: OutletPlan, after: Sequence[OutletPlan]
) -> CircuitPlan:
    """The circuit, without what its loads come to.

    `at`: the machine's outlet before; `after`: every outlet of the circuit then.
    """
    volts = max(outlet.volts for outlet in after)
    mixed = {outlet.volts for outlet in after} != {volts}
    if is_alone(after):
        runs = [_alone(run, volts) for run in old.runs]
    else:
        way = {run.id for run in way_to(old, at.box)}
        found = (_shared(run, run.id in way) for run in old.runs)
        runs = [_without_idle_neutral(old, run, after) for run in found]
    breaker = breaker_after(old, draft, volts)
    spares = max(sum(wire.role == "spare" for wire in run.conductors) for run in runs)
    wires = max(sum(w.role not in ("ground", "spare") for w in run.conductors) for run in runs)
    return old.model_copy(
        update={
            "volts": volts,
            "breaker": breaker,
            "hot_space": (old.hot_space or old.breaker.spaces[0]) if mixed else None,
            "conductor": old.conductor.model_copy(update={"count": wires, "spares": spares}),
            "outlets": tuple(sorted(outlet.id for outlet in after)),
            "runs": tuple(runs),
            "gfci_at": (BREAKER,) if breaker.gfci else (),
        }
    )


def breaker_after(old: CircuitPlan, draft: ChangeoverPlan, volts: int) -> BreakerPlan:
    """The breaker of the day, in the spaces kept for it or in those of the one there."""
    poles: Final = 2 if volts == LINE_TO_LINE else 1
    spaces = draft.panel_spaces or old.breaker.spaces[:poles]
    gfci = bool(draft.breaker_gfci)
    return old.breaker.model_copy(
        update={
            "amps": float(draft.breaker_amps or old.breaker.amps),
            "poles": poles,
            "spaces": spaces,
            "kind": "gfci" if gfci else "plain",
            "gfci": gfci,
        }
    )


# -- runs


def _alone(run: Run, volts: int) -> Run:
    """A run of a circuit that feeds the machine alone: the two conductors that it then takes."""
    old, new = ("neutral", "hot2") if volts == LINE_TO_LINE else ("hot2", "neutral")
    spare = any(wire.role == "spare" for wire in run.conductors)
    if not spare:
        marks: Mapping[str, str | None] = {"hot2": HOT_MARK, "neutral": None}
        return _with(run, {old: {"role": new, "marked": marks[new]}})
    put_to_use = {"role": new, "marked": None}
    return _with(run, {old: {"role": "spare", "marked": SPARE_MARK}, "spare": put_to_use})


def _shared(run: Run, on_the_way: bool) -> Run:
    """A run of a circuit with other outlets: on the way the spare is the second hot."""
    put_to_use = {"role": "hot2", "marked": None}
    return _with(run, {"spare": put_to_use}) if on_the_way and not _carries_both(run) else run


def _carries_both(run: Run) -> bool:
    """Whether an earlier changeover has brought the second hot here."""
    return any(wire.role == "hot2" for wire in run.conductors)


def _without_idle_neutral(circuit: CircuitPlan, run: Run, outlets: Iterable[OutletPlan]) -> Run:
    """A run with its neutral capped where nothing beyond takes it."""
    served = {outlet.box for outlet in outlets if outlet.volts != LINE_TO_LINE}
    if any(run.id in {one.id for one in way_to(circuit, box)} for box in served):
        return run
    return _with(run, {"neutral": {"role": "spare", "marked": SPARE_MARK}})


def _with(run: Run, changes: Mapping[Role | str, Mapping[str, str | None]]) -> Run:
    """A run with the conductors of some roles changed."""
    wires: tuple[Conductor, ...] = tuple(
        wire.model_copy(update=dict(changes.get(wire.role, {}))) for wire in run.conductors
    )
    return run.model_copy(update={"conductors": wires})


def left_capped(old: CircuitPlan, new: CircuitPlan) -> Iterator[str]:
    """Runs with a conductor that was in use before a day, and is capped after it."""
    before = {run.id: {w.role for w in run.conductors} for run in old.runs}
    for run in new.runs:
        roles = {wire.role for wire in run.conductors}
        if "spare" in roles and roles != before[run.id]:
            yield run.id
