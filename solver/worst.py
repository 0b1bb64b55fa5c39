"""The state that loads a circuit most, as the plan says it: continuous loads at 125 %. [A]"""

from models.formulas.ampacity import ampacity_amps
from models.plan import CircuitPlan, Run, Worst
from models.shop import Panel
from solver.load import CONTINUOUS_SHARE, Loads
from solver.points import Points
from solver.wire_limits import terminals_c


def run_ampacity(run: Run, awg: str, panel: Panel) -> float:
    """Ampacity of a conductor size where a run of the plan lies. [A]"""
    return ampacity_amps(
        awg,
        terminal_c=terminals_c(panel, run.method),
        ambient_c=run.ambient_c,
        current_carrying=run.current_carrying,
    )


def worst_state(
    day: str, machines: tuple[str, ...], amps: float, breaker_amps: float, ampacity: float
) -> Worst:
    """A state of a day, and the lesser of breaker and conductor as its limit."""
    return Worst(
        day=day,
        state=machines,
        amps=round(amps, 3),
        limit_amps=round(min(breaker_amps, ampacity), 3),
        limited_by="breaker" if breaker_amps <= ampacity else "ampacity",
    )


def worst_of(points: Points, loads: Loads, circuit: CircuitPlan, ampacity: float) -> Worst | None:
    """The worst state of a circuit of the plan; None where nothing on it takes current."""
    weights = {
        name: points.amps[name] * (CONTINUOUS_SHARE if points.machines[name].lasting else 1.0)
        for name in circuit.machines
    }
    lit = loads.lights_amps
    day, state = loads.worst(weights)
    lights = sum(lit[name] for name in circuit.outlets if name in lit)
    amps = state.load + CONTINUOUS_SHARE * lights
    return worst_state(day, state.machines, amps, circuit.breaker.amps, ampacity) if amps else None
