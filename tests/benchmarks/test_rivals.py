"""Simpler ways to the capacitated tree and the checker of certificates."""

import csv
import json

import pytest

from benchmarks import capacitated_tree, recheck
from benchmarks.instances import read_chains, read_known, read_tree
from benchmarks.recheck_trees import WrongError
from benchmarks.rivals import RIVALS, esau_williams
from tests.benchmarks.test_instances import TEXT, written
from tests.solver.kernel.every_partition import invented, least


@pytest.mark.parametrize("way", ["CP-SAT, arcs", "HiGHS, flows"])
@pytest.mark.parametrize("seed", range(6))
def test_the_plain_models_find_the_least_of_all_partitions(way, seed):
    problem = invented(seed, 5)
    found = RIVALS[way](problem, 30.0)
    assert found is not None
    assert problem.cost(found.parents) == found.bound == least(problem)
    assert all(problem.may(frozenset(one)) for one in problem.branches(found.parents))


@pytest.mark.parametrize("seed", range(4))
def test_the_search_that_plans_shops_finds_the_least_of_all_partitions(seed):
    problem = invented(seed, 7)
    found = RIVALS["planner's search"](problem, 1.0)
    assert found is not None
    assert found.bound <= problem.cost(found.parents) == least(problem)
    assert all(problem.may(frozenset(one)) for one in problem.branches(found.parents))


def test_the_savings_rule_gives_what_others_got_with_it(benchmark_data):
    """The column esau_williams of optima.csv, written by code that is not ours."""
    folder = benchmark_data / "cmst"
    with (folder / "optima.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) > 50
    for row in rows:
        problem = read_tree(folder / f"{row['instance']}.txt").problem(int(row["capacity"]))
        found = esau_williams(problem, 0.0)
        assert found is not None
        assert problem.cost(found.parents) == int(row["esau_williams"])


@pytest.fixture
def certified(tmp_path):
    """The tiny instance, and its certificate as written: 14, by hand in `test_instances.py`."""
    path = written(tmp_path, TEXT)
    kept = tmp_path / "certificate.json"
    capacitated_tree.main(
        [str(path), "--capacity", "3", "--seconds", "300", "--certificate", str(kept)]
    )
    return path, kept


def test_a_certificate_is_confirmed(certified, capsys):
    capsys.readouterr()
    recheck.main([str(one) for one in certified])
    told = capsys.readouterr().out
    assert "the plan costs 14, and each of its subtrees demands 3 at most" in told


@pytest.mark.parametrize(
    ("key", "value", "message"),
    [
        ("value", 13, "the plan costs 14, not 13"),
        ("parents", [3, 3, 3, 3], "every node but the root has a parent"),
        ("parents", [1, 0, 3, None], "node 0 does not lead to the root"),
        ("parents", [1, 2, 3, None], "a subtree demands 4, more than 3"),
        ("bound", 15, "that no plan costs less than 15 does not follow"),
        ("bound", 13, "said to be proved, with a bound below its cost"),
    ],
)
def test_a_wrong_claim_is_not_confirmed(certified, key, value, message):
    path, kept = certified
    claims = json.loads(kept.read_text(encoding="utf-8"))
    kept.write_text(json.dumps({**claims, key: value}), encoding="utf-8")
    with pytest.raises(SystemExit, match=message):
        recheck.main([str(path), str(kept)])


def test_prices_that_are_too_high_prove_less(certified):
    path, kept = certified
    claims = json.loads(kept.read_text(encoding="utf-8"))
    claims["prices"] = [100 * price + 9_000 for price in claims["prices"]]
    assert recheck.recheck(read_tree(path), claims)  # then listing says the rest
    claims["bound"] = 15
    with pytest.raises(WrongError, match="does not follow"):
        recheck.recheck(read_tree(path), claims)


# Invented: a root and four customers on a line each way; demands in units of 50.
CHAINS = """NAME : line
EDGE_WEIGHT_TYPE : EUC_2D
CAPACITY : 120
NODE_COORD_SECTION
1 0 0
2 3 4
3 6 8
4 -3 4
5 -6 8
DEMAND_SECTION
1 0
2 50
3 50
4 50
5 50
DEPOT_SECTION
1
-1
EOF
"""


@pytest.fixture
def chained(tmp_path):
    """By hand: out to (3, 4) and on to (6, 8), 5 + 5, and the same the other way."""
    path = tmp_path / "line.vrp"
    path.write_text(CHAINS, encoding="utf-8")
    kept = tmp_path / "certificate.json"
    capacitated_tree.main(
        [str(path), "--capacity", "120", "--chains", "2", "--seconds", "300",
         "--certificate", str(kept)]
    )  # fmt: skip
    return path, kept


def test_a_certificate_of_chains_is_confirmed(chained, capsys):
    capsys.readouterr()
    recheck.main([str(one) for one in chained])
    told = capsys.readouterr().out
    assert "the plan costs 20.0, and each of its 2 chains or fewer demands 120 at most" in told
    assert "no plan costs less than 20" in told


@pytest.mark.parametrize(
    ("key", "value", "message"),
    [
        ("value", 19.0, "the plan costs 20, not 19"),
        ("chains", 1, "2 chains, more than 1"),
        ("parents", [None, 0, 0, 0, 3], "3 chains, more than 2"),
        ("bound", 20.5, "that no plan costs less than 20.5 does not follow"),
        ("memories", [[], [], [], [], []], None),
    ],
)
def test_a_wrong_claim_of_chains_is_not_confirmed(chained, key, value, message):
    """With no memory at all the prices prove less, and the listed chains the rest."""
    path, kept = chained
    claims = json.loads(kept.read_text(encoding="utf-8"))
    kept.write_text(json.dumps({**claims, key: value}), encoding="utf-8")
    if message is None:
        recheck.main([str(path), str(kept)])
        return
    if key == "parents":
        claims["value"] = 20 + 5  # 10 instead of 5 to the far one
        kept.write_text(json.dumps({**claims, key: value}), encoding="utf-8")
    with pytest.raises(SystemExit, match=message):
        recheck.main([str(path), str(kept)])


def test_a_tree_is_no_plan_of_chains(chained):
    path, kept = chained
    claims = json.loads(kept.read_text(encoding="utf-8"))
    claims.update(capacity=200, parents=[None, 0, 1, 1, 3], value=5 + 5 + 6 + 5)
    kept.write_text(json.dumps(claims), encoding="utf-8")
    with pytest.raises(SystemExit, match="node 1 has 2 children, a chain has one"):
        recheck.main([str(path), str(kept)])


def test_public_chains_are_proved_and_rechecked(benchmark_data, tmp_path):
    """E-n22-k4: the published optimum, to the 6 decimals it is given in."""
    known = next(one for one in read_known(benchmark_data / "ovrp") if one.instance == "E-n22-k4")
    file, kept = benchmark_data / "ovrp" / "E-n22-k4.vrp", tmp_path / "certificate.json"
    capacitated_tree.main(
        [str(file), "--capacity", str(known.capacity), "--chains", str(known.chains),
         "--certificate", str(kept)]
    )  # fmt: skip
    claims = json.loads(kept.read_text(encoding="utf-8"))
    assert claims["proved"] == "global"
    assert claims["value"] == pytest.approx(known.value, abs=2e-5)
    assert recheck.recheck(read_chains(file), claims)
    claims["bound"] += 0.01
    with pytest.raises(WrongError, match="does not follow"):
        recheck.recheck(read_chains(file), claims)


def test_known_values_are_never_undercut_by_a_certificate(benchmark_data, tmp_path):
    """te16 (proved by enumeration, optima.csv): confirmed, and one more is not."""
    folder = benchmark_data / "cmst"
    for row in read_known(folder):
        if row.instance != "te16":
            continue
        kept = tmp_path / "certificate.json"
        file = folder / "te16.txt"
        capacitated_tree.main(
            [str(file), "--capacity", str(row.capacity), "--certificate", str(kept)]
        )
        claims = json.loads(kept.read_text(encoding="utf-8"))
        assert claims["bound"] == row.value
        assert recheck.recheck(read_tree(file), claims)
        with pytest.raises(WrongError, match="does not follow"):
            recheck.recheck(read_tree(file), {**claims, "bound": claims["bound"] + 1})
