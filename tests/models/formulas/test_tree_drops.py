"""Voltage drop along trees of runs against a power-flow library, linear algebra and hand sums.

power-grid-model solves symmetrical three-phase networks, a run here is single phase, out and back.
The two are one: in a symmetrical network each phase is a circuit by itself whose current comes
back through a neutral that loses nothing. So a run of R + jX Ω out and as much back becomes a line
of 2·(R + jX) Ω per phase; a source of V volts becomes one of √3·V between phases, V in each; a load
of I amperes becomes three of them, 3·V·I at rated voltage, of its constant-current kind. That
library, like ours, keeps the angle of such a load to the voltage where it is.
"""

import random
from math import sqrt

import numpy as np
import pytest
from power_grid_model import (
    ComponentType,
    DatasetType,
    LoadGenType,
    PowerGridModel,
    initialize_array,
)
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve

from models.formulas.conductors import awg_sizes
from models.formulas.motor_start import motor_start_dip_v, start_power_factor
from models.formulas.voltage_drop import (
    CollapseError,
    LoadTuple,
    RunTuple,
    impedance_ohm_per_kft,
    tree_drops_v,
    voltage_drop_v,
)

ROOT = "source"


def random_tree(rng, nodes, *, resistive=False):
    """Runs of random lengths and sizes, joined to any node before; and loads at some of them.

    The loads are as large as lets the farthest lose up to about a tenth of the voltage.
    """
    names = [ROOT]
    runs: list[RunTuple] = []
    loads: list[LoadTuple] = []
    for number in range(nodes):
        awg = rng.choice(awg_sizes())
        steel, length_ft = rng.choice(["EMT", None]), rng.uniform(3, 80)
        impedance = impedance_ohm_per_kft(awg, steel)
        name = f"n{number}"
        runs.append(
            (name, rng.choice(names), length_ft, impedance.real if resistive else impedance)
        )
        names.append(name)
        for _ in range(rng.choice([0, 1, 1, 2]) if loads else 1):
            power_factor = 1.0 if resistive else rng.choice([1.0, 0.95, 0.85, 0.6, 0.4])
            loads.append((name, rng.uniform(0.5, 12), power_factor))
    rng.shuffle(runs)
    rng.shuffle(loads)
    heaviest = max(tree_drops_v(1e6, runs, loads).values())
    return runs, [(node, amps * 12 / heaviest, pf) for node, amps, pf in loads]


def by_power_grid_model(source_v, runs, loads):
    """The same tree in power-grid-model."""
    ids = {name: number for number, name in enumerate([ROOT, *(run[0] for run in runs)])}
    made = initialize_array

    node = made(DatasetType.input, ComponentType.node, len(ids))
    node["id"] = list(ids.values())
    node["u_rated"] = sqrt(3) * source_v

    line = made(DatasetType.input, ComponentType.line, len(runs))
    line["id"] = [1000 + number for number in range(len(runs))]
    line["from_node"] = [ids[parent] for _, parent, _, _ in runs]
    line["to_node"] = [ids[name] for name, _, _, _ in runs]
    line["from_status"] = line["to_status"] = 1
    line["r1"] = [2 * complex(z).real * feet / 1000 for _, _, feet, z in runs]
    line["x1"] = [2 * complex(z).imag * feet / 1000 for _, _, feet, z in runs]
    line["c1"] = line["tan1"] = 0.0

    load = made(DatasetType.input, ComponentType.sym_load, len(loads))
    load["id"] = [5000 + number for number in range(len(loads))]
    load["node"] = [ids[name] for name, _, _ in loads]
    load["status"] = 1
    load["type"] = LoadGenType.const_current
    load["p_specified"] = [3 * source_v * amps * pf for _, amps, pf in loads]
    load["q_specified"] = [3 * source_v * amps * sqrt(1 - pf**2) for _, amps, pf in loads]

    source = made(DatasetType.input, ComponentType.source, 1)
    source["id"], source["node"], source["status"], source["u_ref"] = 9000, ids[ROOT], 1, 1.0
    source["sk"] = 1e15  # as good as no impedance behind it

    model = PowerGridModel(
        {
            ComponentType.node: node,
            ComponentType.line: line,
            ComponentType.sym_load: load,
            ComponentType.source: source,
        }
    )
    found = model.calculate_power_flow(error_tolerance=1e-10)[ComponentType.node]
    volts = dict(zip(found["id"].tolist(), found["u_pu"].tolist(), strict=True))
    return {name: source_v * (1 - volts[ids[name]]) for name, _, _, _ in runs}


@pytest.mark.parametrize("seed", range(12))
def test_trees_agree_with_a_power_flow_library(seed):
    """power-grid-model 1.12, constant-current loads: every node's drop to 0.1 %."""
    rng = random.Random(seed)
    runs, loads = random_tree(rng, nodes=rng.randrange(1, 40))
    source_v = rng.choice([120.0, 240.0])
    ours, theirs = tree_drops_v(source_v, runs, loads), by_power_grid_model(source_v, runs, loads)
    assert ours.keys() == theirs.keys()
    assert max(ours.values()) > 0.03 * source_v
    for node, volts in ours.items():
        assert volts == pytest.approx(theirs[node], rel=0.001, abs=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_direct_current_agrees_with_linear_algebra(seed):
    """Conductance matrix of the network (Kirchhoff's current law), solved by SciPy."""
    runs, loads = random_tree(random.Random(100 + seed), nodes=25, resistive=True)
    at = {name: number for number, (name, *_) in enumerate(runs)}
    rows, columns, values = [], [], []
    for name, parent, length_ft, ohm in runs:
        conductance = 1000 / (2 * ohm * length_ft)
        ends = [at[end] for end in (name, parent) if end in at]
        for one in ends:
            for other in ends:
                rows.append(one)
                columns.append(other)
                values.append(conductance if one == other else -conductance)
    drawn = np.zeros(len(runs))
    for name, amps, _ in loads:
        drawn[at[name]] += amps
    matrix = coo_array((values, (rows, columns)), shape=(len(runs), len(runs))).tocsc()
    solved = spsolve(matrix, drawn)
    drops = tree_drops_v(120, runs, loads)
    assert [drops[name] for name in at] == pytest.approx(solved.tolist(), rel=1e-9)


def test_one_run_is_the_plain_formula():
    """License study page: 12 AWG, 16 A, 70 ft, K = 12.9: 4.43 V."""
    ohm = 1000 * 12.9 / 6530
    drops = tree_drops_v(120, [("far", ROOT, 70, ohm)], [("far", 16, 1)])
    assert drops["far"] == pytest.approx(4.43, abs=0.01)
    assert drops["far"] == pytest.approx(voltage_drop_v(16, 70, ohm))


def test_the_shared_way_carries_both_loads():
    """By hand: 2 Ω/kft; 50 ft with 12 A lose 2.4 V, 25 ft more with 4 A 0.4 V."""
    runs = [("far", "near", 25, 2.0), ("near", ROOT, 50, 2.0), ("idle", "near", 99, 2.0)]
    drops = tree_drops_v(120, runs, [("near", 8, 1), ("far", 4, 1)])
    assert drops == pytest.approx({"near": 2.4, "far": 2.8, "idle": 2.4})


@pytest.mark.parametrize(
    "runs",
    [
        [("a", "b", 1, 1.0), ("b", "a", 1, 1.0)],
        [("a", "one root", 1, 1.0), ("b", "another", 1, 1.0)],
        [("a", ROOT, 1, 1.0), ("b", ROOT, 1, 1.0), ("b", "a", 1, 1.0)],
        [("a", ROOT, 1, 1.0), ("b", "c", 1, 1.0), ("c", "b", 1, 1.0)],
        [],
    ],
)
def test_what_is_no_tree_is_refused(runs):
    with pytest.raises(ValueError, match="no tree"):
        tree_drops_v(120, runs, [])


def test_more_than_there_is_cannot_be_lost():
    """A short circuit is no load: 100 A over 2 x 1000 ft of 14 AWG would lose 620 V of 120."""
    with pytest.raises(CollapseError, match="more than the 120 V there are"):
        tree_drops_v(120, [("far", ROOT, 1000, 3.1)], [("far", 100, 1)])


def test_the_start_of_a_motor_by_hand():
    """Motor of 3 hp, 240 V: 17 A by NEC Table 430.248, six times that at the start: 102 A.

    140 ft of 2 AWG aluminum and 60 ft of 10 AWG copper in PVC (chapter 9 Table 9): R = 0.14 x 0.32
    + 0.06 x 1.2 = 0.1168 Ω, X = 0.14 x 0.045 + 0.06 x 0.050 = 0.0093 Ω, out and back twice. At a
    power factor of 0.9: 2 x 102 x (0.9 x 0.1168 + 0.4359 x 0.0093) = 22.3 V, 9.3 %.
    """
    way = [
        ("panel", ROOT, 140, impedance_ohm_per_kft("2", "PVC-40", "aluminum")),
        ("motor", "panel", 60, impedance_ohm_per_kft("10", None)),
    ]
    assert motor_start_dip_v(240, way, 102) == pytest.approx(22.3, rel=0.01)


@pytest.mark.parametrize("awg", awg_sizes())
def test_no_other_start_loses_more(awg):
    """Over all power factors that a start may have, the one taken loses most, to 0.1 %."""
    impedance = impedance_ohm_per_kft(awg, "EMT")
    way = [("motor", ROOT, 100, impedance)]
    taken = tree_drops_v(240, way, [("motor", 20, start_power_factor(impedance))])["motor"]
    for percent in range(40, 91):
        other = tree_drops_v(240, way, [("motor", 20, percent / 100)])["motor"]
        assert other <= taken * 1.001
