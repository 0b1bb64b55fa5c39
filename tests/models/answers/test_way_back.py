"""The way back to the panel on the one-bay garage: read off its runs by eye, and cut by cut.

C4 goes P, W2, W1, O1; C7 goes P, W3, W2; C1 and C2 share the box E2 with C3 and what passes.
"""

import networkx as nx
import pytest

from models.answers.way_back import stops
from models.rules.reading import Reading
from models.shop import Shop
from tests.plan_files import plan_on_file

NAMES = ("four_box", "one_bay_garage", "every_section", "taken_apart", "two_changeovers")


def read(name: str) -> Reading:
    plan = plan_on_file(name)
    return Reading(plan, Shop.model_validate(plan.source.shop))


def test_the_far_end_comes_first_and_each_box_before_the_one_that_feeds_it():
    garage = read("one_bay_garage")
    way = stops(garage, garage.circuits["C4"])
    assert [stop.way for stop in way] == [
        ("O1", "W1", "W2", "P"), ("W1", "W2", "P"), ("W2", "P"),
    ]  # fmt: skip
    assert [stop.run.id for stop in way if stop.run] == ["C4.3", "C4.2", "C4.1"]
    assert [{outlet.box for outlet in stop.dead} for stop in way] == [
        {"O1"}, {"O1", "W1"}, {"O1", "W1", "W2"},
    ]  # fmt: skip
    assert [stop.beside for stop in way] == [(), (), ("C7",)]


def test_what_only_passes_a_box_is_beside_too():
    """C1.1 passes E2 on its way to E1."""
    garage = read("one_bay_garage")
    (stop,) = stops(garage, garage.circuits["C2"])
    assert (stop.box, stop.beside) == ("E2", ("C1", "C3"))


@pytest.mark.parametrize("name", NAMES)
def test_what_goes_dead_is_what_a_cut_parts_from_the_panel(name):
    """Against networkx: without the run, these outlets have no way to the panel, others have."""
    reading = read(name)
    for circuit in reading.plan.circuits:
        runs = reading.runs_of(circuit)
        boxes = {outlet.box for outlet in reading.outlets_on(circuit)}
        seen = []
        for stop in stops(reading, circuit):
            seen.append(stop.box)
            assert stop.way[0] == stop.box
            if stop.run is None:
                continue
            assert stop.way[-1] == circuit.panel
            graph = nx.Graph((run.start, run.end) for run in runs if run is not stop.run)
            graph.add_nodes_from([circuit.panel, *boxes])
            live = nx.node_connected_component(graph, circuit.panel)
            mine = {outlet.box for outlet in stop.dead if outlet.circuit == circuit.id}
            assert mine == boxes - live
        assert boxes <= set(seen)
        assert len(seen) == len(set(seen))
        ends = [run.end for run in runs]
        fed_by = {run.end: run.start for run in runs}
        for box in ends:
            if fed_by[box] in seen:
                assert seen.index(box) < seen.index(fed_by[box])


def test_a_box_whose_way_nobody_knows_is_told_all_the_same():
    garage = read("one_bay_garage")
    circuit = garage.circuits["X-light"].model_copy(update={"runs": ()})
    plan = garage.plan.model_copy(
        update={
            "circuits": tuple(c if c.id != "X-light" else circuit for c in garage.plan.circuits)
        }
    )
    (stop,) = stops(Reading(plan, garage.shop), circuit)
    assert (stop.box, stop.run, stop.way, stop.feeder) == ("X2", None, ("X2",), "")
    assert {outlet.id for outlet in stop.dead} == {"X2"}
