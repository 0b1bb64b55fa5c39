"""Simpler ways to the capacitated tree and the checker of certificates."""

import csv
import json

import pytest

from benchmarks import capacitated_tree, recheck
from benchmarks.instances import read_known, read_tree
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
        [str(path), "--capacity", "3", "--seconds", "60", "--certificate", str(kept)]
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
    with pytest.raises(recheck.WrongError, match="does not follow"):
        recheck.recheck(read_tree(path), claims)


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
        with pytest.raises(recheck.WrongError, match="does not follow"):
            recheck.recheck(read_tree(file), {**claims, "bound": claims["bound"] + 1})
