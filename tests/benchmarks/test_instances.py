"""Reading public instances: the traps of the format, and errors that name file and line."""

import json

import numpy as np
import pytest

from benchmarks import capacitated_tree
from benchmarks.instances import InstanceError, read_chains, read_known, read_tree

# Invented; not symmetric on purpose: the upper triangle counts, and the last node is the root.
TEXT = """NAME tiny
NODES 4
ROOT 4
DEMANDS
1 2 1 0
COSTS
0 3 9 8
7 0 2 6
9 9 0 5
1 1 1 0
"""


def written(tmp_path, text):
    path = tmp_path / "tiny.txt"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_upper_triangle_counts_and_the_root_is_last(tmp_path):
    instance = read_tree(written(tmp_path, TEXT))
    assert instance.root == 3
    assert instance.distances[1, 0] == 3
    problem = instance.problem(3)
    assert problem.home.tolist() == [8, 6, 5]
    assert problem.between[2].tolist() == [9, 2, 0]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("ROOT 4", "ROOT 5", "tiny.txt:3: ROOT 5 is beyond the 4 nodes"),
        ("1 2 1 0\nC", "1 2 1 1\nC", "tiny.txt:5: the root demands 1"),
        ("7 0 2 6", "7 0 x 6", "tiny.txt:8: cost 2, 3: 'x' is no whole number"),
        ("7 0 2 6", "7 0 -2 6", "tiny.txt:8: cost 2, 3: -2 is less than 0"),
        ("1 1 1 0\n", "1 1 1\n", "tiny.txt:10: the file ends where cost 4, 4 should come"),
        ("1 1 1 0\n", "1 1 1 0 7\n", "tiny.txt:10: '7' comes after the last cost"),
        ("NODES", "KNOTS", "tiny.txt:2: NODES should come here, not 'KNOTS'"),
    ],
)
def test_a_bad_file_is_told_with_its_line(tmp_path, old, new, message):
    with pytest.raises(InstanceError) as told:
        read_tree(written(tmp_path, TEXT.replace(old, new)))
    assert message in str(told.value)


def test_one_json_line_whose_parents_are_a_tree(tmp_path, capsys):
    """By hand: nodes 1 and 2 for 6 + 3, node 3 for 5; 2 and 3 with 1 alone 15, all alone 19."""
    path = written(tmp_path, TEXT)
    capacitated_tree.main([str(path), "--capacity", "3", "--seconds", "300"])
    line = json.loads(capsys.readouterr().out)
    assert line["value"] == line["bound"] == 14
    assert line["proved"] == "global"
    assert line["parents"][3] is None
    cost = np.array([[0, 3, 9, 8], [3, 0, 2, 6], [9, 2, 0, 5], [8, 6, 5, 0]])
    assert sum(cost[node, up] for node, up in enumerate(line["parents"][:3])) == 14


def test_a_node_heavier_than_the_capacity_is_told(tmp_path):
    with pytest.raises(SystemExit, match="a node demands 2, more than the capacity of 1"):
        capacitated_tree.main([str(written(tmp_path, TEXT)), "--capacity", "1"])


def test_public_trees_of_16_nodes_are_proved(benchmark_data, capsys):
    """te16, against the values of optima.csv (proved there by enumeration)."""
    known = {row.capacity: row.value for row in read_known(benchmark_data / "cmst")
             if row.instance == "te16"}  # fmt: skip
    assert sorted(known) == [3, 5, 10]
    for capacity, value in known.items():
        file = benchmark_data / "cmst" / "te16.txt"
        capacitated_tree.main([str(file), "--capacity", str(capacity), "--seconds", "300"])
        line = json.loads(capsys.readouterr().out)
        assert (line["value"], line["bound"], line["proved"]) == (value, value, "global")


def test_public_chains_are_read(benchmark_data):
    """E-n22-k4: the first two customers' distance, by hand from their coordinates in the file."""
    instance = read_chains(benchmark_data / "ovrp" / "E-n22-k4.vrp")
    assert instance.distances[1, 2] == round(1e6 * (8**2 + 3**2) ** 0.5)
    assert len(instance.others) == 21
