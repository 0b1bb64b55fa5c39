"""Voltage drop of two-wire runs, of three-wire runs and of trees of runs. Volts, feet, Ω/1000 ft.

Source: NFPA 70 (2017, 2020, 2023) chapter 9 Tables 8 and 9; Ohm's and Kirchhoff's laws. Limits are
a recommendation of NFPA 70 (210.19, informational note: 3 % for a branch circuit, 5 % with the
feeder), not a requirement. What is lost before the feeder, in the service and the transformer, is
not in it.
"""

from cmath import phase, rect
from collections.abc import Iterable, Sequence
from math import sqrt
from typing import Final

from models.tables import lookup

BRANCH_PERCENT: Final = 3.0
TOTAL_PERCENT: Final = 5.0
STEEL: Final = frozenset({"EMT", "RMC"})
MOST_SWEEPS: Final = 200
SETTLED: Final = 1e-12
NO_TREE: Final = "the runs are no tree: join every node by one way to one root"

RunTuple = tuple[str, str, float, complex]
LoadTuple = tuple[str, float, float]


class CollapseError(ValueError):
    """Loads that take more voltage than there is."""


def voltage_drop_v(amps: float, length_ft: float, ohm_per_kft: float) -> float:
    """Voltage lost out and back: 2·I·R·L/1000. [V]

    `length_ft` is one way, panel to outlet; `ohm_per_kft` from chapter 9 Table 8 at 75 °C. On a
    multiwire circuit with equal load on both legs the neutral carries nothing: half is lost.
    >>> round(voltage_drop_v(amps=4, length_ft=100, ohm_per_kft=4.99), 2)  # practice page, 16 AWG
    3.99
    """
    return 2 * amps * ohm_per_kft * length_ft / 1000


def drop_percent(drop_v: float, volts: float) -> float:
    """Voltage drop as a share of the circuit's voltage. [%]

    >>> round(drop_percent(4.43, 120), 2)
    3.69
    """
    return 100 * drop_v / volts


def neutral_amps(leg_amps: float, other_amps: float, *, same_leg: bool = False) -> float:
    """Current in the neutral that two 120 V loads share. [A]

    The difference where they are on opposite legs; the sum where they are, wrongly, on the same.
    >>> neutral_amps(2, 1), neutral_amps(1, 1), neutral_amps(2, 1, same_leg=True)
    (1, 0, 3)
    """
    return leg_amps + other_amps if same_leg else abs(leg_amps - other_amps)


def three_wire_drop_v(
    leg_amps: float,
    other_amps: float,
    length_ft: float,
    hot_ohm_per_kft: float,
    neutral_ohm_per_kft: float,
) -> float:
    """Voltage lost between one leg and neutral of a three-wire run: (I·R + (I − I′)·Rn)·L/1000. [V]

    `other_amps` is on the other leg, whose current comes back on this neutral the other way: with
    little on this leg the voltage may even rise. Between the legs the sum of both sides is lost.
    >>> three_wire_drop_v(16, 0, 70, 2, 2) == voltage_drop_v(16, 70, 2)
    True
    >>> three_wire_drop_v(16, 16, 70, 2, 2) == voltage_drop_v(16, 70, 2) / 2
    True
    """
    lost = leg_amps * hot_ohm_per_kft + (leg_amps - other_amps) * neutral_ohm_per_kft
    return lost * length_ft / 1000


def impedance_ohm_per_kft(awg: str, raceway: str | None, material: str = "copper") -> complex:
    """Alternating-current resistance and reactance, R + jX, chapter 9 Table 9. [Ω/1000 ft]

    To neutral, 75 °C, 60 Hz. `raceway` is its kind: EMT and RMC are steel; PVC, ENT and None, a
    cable, go by the PVC columns.
    >>> impedance_ohm_per_kft("6", "EMT"), impedance_ohm_per_kft("6", None, "aluminum")
    ((0.49+0.064j), (0.81+0.051j))
    """
    row = lookup("conductor_impedance", material=material, awg=awg)
    around = "steel" if raceway in STEEL else "pvc"
    return complex(
        row.number(f"resistance_{around}_ohm_per_kft"),
        row.number(f"reactance_{around}_ohm_per_kft"),
    )


def effective_ohm_per_kft(impedance_ohm_per_kft: complex, power_factor: float) -> float:
    """Effective impedance R·cos θ + X·sin θ at a lagging power factor. [Ω/1000 ft]

    Chapter 9 Table 9, note 2; the table prints two figures of it at 0.85.
    >>> round(effective_ohm_per_kft(1.2 + 0.05j, 0.85), 2)  # 10 AWG in PVC, printed 1.1
    1.05
    """
    return (impedance_ohm_per_kft * _turned(power_factor)).real


def tree_drops_v(
    source_v: float, runs: Sequence[RunTuple], loads: Iterable[LoadTuple]
) -> dict[str, float]:
    """Voltage lost from the root of a tree of two-wire runs to each node. [V]

    `runs`: (node, parent, length one way [ft], impedance of one conductor [Ω/1000 ft]); the root is
    the one parent that no run leads to. `loads`: (node, amperes, lagging power factor); a load
    draws the same current at any voltage, at this angle to the voltage where it is. Solved by
    sweeps: currents added up towards the root, then voltages worked out away from it, until
    nothing changes.
    >>> way = [("box", "panel", 50, 1.98), ("end", "box", 50, 1.98)]
    >>> drops = tree_drops_v(120, way, [("box", 8, 1), ("end", 4, 1)])
    >>> {node: round(volts, 3) for node, volts in drops.items()}
    {'box': 2.376, 'end': 3.168}
    """
    outwards = _outwards(runs)
    root = outwards[0][1]
    volts = dict.fromkeys((root, *(node for node, *_ in outwards)), complex(source_v))
    drawn = [(node, amps * _turned(power_factor)) for node, amps, power_factor in loads]
    for _ in range(MOST_SWEEPS):
        flow = dict.fromkeys(volts, 0j)
        for node, amps in drawn:
            flow[node] += amps * rect(1, phase(volts[node]))
        for node, parent, _, _ in reversed(outwards):
            flow[parent] += flow[node]
        before = dict(volts)
        for node, parent, length_ft, ohm_per_kft in outwards:
            volts[node] = volts[parent] - 2 * flow[node] * ohm_per_kft * length_ft / 1000
        if all(abs(volts[node] - before[node]) <= SETTLED * source_v for node in volts):
            return {node: source_v - abs(volts[node]) for node, *_ in outwards}
    raise CollapseError(f"these loads take more than the {source_v:g} V there are: lessen them")


def _turned(power_factor: float) -> complex:
    """A unit of current that lags its voltage by a power factor."""
    return complex(power_factor, -sqrt(1 - power_factor**2))


def _outwards(runs: Sequence[RunTuple]) -> list[RunTuple]:
    """The runs in an order in which each comes after the one that its parent is the node of."""
    nodes = {node for node, *_ in runs}
    roots = {parent for _, parent, *_ in runs} - nodes
    if len(nodes) != len(runs) or len(roots) != 1:
        raise ValueError(NO_TREE)
    from_parent: dict[str, list[RunTuple]] = {}
    for run in runs:
        from_parent.setdefault(run[1], []).append(run)
    ordered = list(from_parent[roots.pop()])
    for run in ordered:
        ordered += from_parent.get(run[0], [])
    if len(ordered) != len(runs):
        raise ValueError(NO_TREE)
    return ordered
