"""Public Steiner problems: reading them, and how near the trees of circuits come."""

from pathlib import Path

import pytest

from benchmarks import steiner
from benchmarks.instances import InstanceError

# Invented: a star of three terminals around node 4, and a dearer ring; node 5 is of no use.
TEXT = """33D32945 STP File, STP Format Version 1.0
SECTION Graph
Nodes 5
Edges 7
E 1 4 2
E 2 4 2
E 4 3 2
E 1 2 3
E 2 3 3
E 3 1 4
E 3 5 1
END
SECTION Terminals
Terminals 3
T 1
T 2
T 3
END
EOF
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "star.stp"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_star_is_cheaper_than_its_ring(tmp_path, capsys):
    """By hand: 5 by way of node 4; the ring, or node 4 on the way from 1 or 2 to 3, takes 6."""
    graph = steiner.read_graph(written(tmp_path, TEXT.replace("E 4 3 2", "E 4 3 1")))
    costs = graph.costs()
    assert costs["0001"]["0005"] == 4
    assert steiner.joined(graph, costs).cost == 5
    assert steiner.joined(graph, costs, junctions=False).cost == 6
    (tmp_path / "optima.csv").write_text("instance,best_known\nstar,5\n", encoding="utf-8")
    steiner.main(["--data", str(tmp_path)])
    told = capsys.readouterr().out
    assert "| star | 3 | 5 | 5 | 0.00 % | 6 (20.00 %) |" in told
    assert "| mean, 1 of 1 optimal |" in told


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("Edges 7", "Edges 6", "Edges: 6 are announced, 7 are there"),
        ("T 3\n", "", "Terminals: 3 are announced, 2 are there"),
        ("E 3 1 4", "E 2 1 4", "star.stp:10: edge 2, 1 is no new one"),
        ("E 3 5 1", "E 3 6 1", "a node is beyond the 5 announced"),
        ("E 3 5 1", "E 3 5 x", "star.stp:11: 'E 3 5 x' has no whole number"),
    ],
)
def test_a_bad_file_is_told(tmp_path, old, new, message):
    with pytest.raises(InstanceError) as told:
        steiner.read_graph(written(tmp_path, TEXT.replace(old, new)))
    assert message in str(told.value)


def test_public_graphs_are_joined_within_a_hundredth_of_the_optimum(benchmark_data):
    """SteinLib B, against the published optima; none is below, junction boxes matter."""
    rows = steiner.rows(benchmark_data / "steinlib_b", "")
    assert len(rows) > 10
    assert all(row.optimum <= row.value <= row.plain for row in rows)
    assert max(row.gap(row.value) for row in rows) <= 1.0
    assert sum(row.gap(row.plain) for row in rows) / len(rows) > 10.0
