"""Voltage drop along the tree of a circuit, one current at a time. Volts, percent.

2·I·R·L/1000 for each run: two wires, one-way feet, stranded copper at 75 °C by NEC chapter 9
Table 8; currents as the machines draw them, so without the 125 % of continuous loads. For each
outlet the state that costs it most, and 12 A alone at the farthest receptacle of a 120 V circuit
(the plan's own assumption).
"""

from typing import Any

from tests.slow.slow_ampacity import smallest_hot
from tests.slow.slow_facts import by_id, cell, machine_amps, quantity
from tests.slow.slow_lengths import run_ft
from tests.slow.slow_loads import binding_days, every_state, machines_on

TOOL_AMPS = 12.0


def way_to(circuit, box_id):
    """Runs from the panel out to a box."""
    way: list[dict[str, Any]] = []
    at = box_id
    while at != circuit["panel"]:
        coming = [run for run in circuit["runs"] if run["end"] == at]
        if len(coming) != 1 or len(way) > len(circuit["runs"]):
            raise ValueError(f"{circuit['id']}: no one way to {box_id}")
        way.append(coming[0])
        at = coming[0]["start"]
    return way


def amps_at_boxes(plan, circuit, state):
    """(box, amperes) of everything that is on in a state, luminaires among it."""
    shop = plan["source"]["shop"]
    boxes, outlets, placed = by_id(shop["boxes"]), by_id(plan["outlets"]), by_id(plan["machines"])
    found = []
    for machine in machines_on(plan, circuit["id"]):
        if machine["id"] in state:
            where = placed[machine["id"]]
            outlet = where["outlet"]
            box = where["hard_wired_at"] if outlet is None else outlets[outlet]["box"]
            found.append((box, machine_amps(machine)))
    for outlet in plan["outlets"]:
        if outlet["circuit"] == circuit["id"] and outlet["kind"] == "luminaire":
            watts = quantity(boxes[outlet["box"]]["luminaire"])
            found.append((outlet["box"], watts / circuit["volts"]))
    return found


def lost_v(plan, circuit, loads, box_id):
    """Volts lost between panel and a box: each load along the part of its way that they share."""
    total = 0.0
    for box, amps in loads:
        shared = [run["id"] for run in way_to(circuit, box)]
        for run in way_to(circuit, box_id):
            if run["id"] in shared:
                ohm = float(cell("conductors", "copper_ohm_per_kft", awg=smallest_hot(run),
                                 stranding="stranded"))  # fmt: skip
                total += 2 * amps * ohm * run_ft(plan, circuit, run) / 1000
    return total


def worst_percent(plan, circuit):
    """The largest drop at any load, in any state and with one tool alone. [%]"""
    shop, most = plan["source"]["shop"], 0.0
    amps = {machine["id"]: machine_amps(machine) for machine in machines_on(plan, circuit["id"])}
    states = {
        tuple(sorted(amps.keys() & running))
        for day in binding_days(shop)
        for running in every_state(shop, amps, day)
    }
    for state in sorted(states):
        loads = amps_at_boxes(plan, circuit, state)
        for box, _ in loads:
            most = max(most, lost_v(plan, circuit, loads, box))
    for outlet in plan["outlets"]:
        here = outlet["circuit"] == circuit["id"] and outlet["kind"] == "receptacle"
        if here and circuit["volts"] == 120:
            alone = [(outlet["box"], TOOL_AMPS)]
            most = max(most, lost_v(plan, circuit, alone, outlet["box"]))
    return 100 * most / circuit["volts"]
