"""Routes against SciPy's shortest paths, and what walls, openings and masonry allow."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from models.shop_edit import changed
from models.shop_file import read_shop
from solver.routes import Building, Ways, path_length_cft


@pytest.fixture
def garage(request):
    return read_shop(request.config.rootpath / "scenarios" / "one_bay_garage.yaml")


def plain_lengths(building):
    """Lengths between all places by SciPy on the plain graph, bends left out."""
    pieces = {}
    for (a, axis_a), (b, axis_b), data in building.cable_graph.edges(data=True):
        if axis_a == axis_b:
            pieces[a, b] = data["weight"] // 10_000
    points = sorted({point for pair in pieces for point in pair})
    index = {point: i for i, point in enumerate(points)}
    rows = [index[a] for a, _ in pieces]
    columns = [index[b] for _, b in pieces]
    size = (len(points), len(points))
    graph = csr_matrix((list(pieces.values()), (rows, columns)), size)
    places = {n: index[p] for n, p in building.places.items() if p in index}
    found = dijkstra(graph, directed=False, indices=list(places.values()))
    return {(a, b): found[i, places[b]] for i, a in enumerate(places) for b in places if a != b}


def test_cable_lengths_equal_scipy(garage):
    """scipy.sparse.csgraph.dijkstra on the same pieces of wall and ceiling."""
    ways, building = Ways(garage), Building(garage)
    lengths = plain_lengths(building)
    compared = 0
    for (start, end), length in lengths.items():
        cable = [way for way in ways.between(start, end) if way.method == "cable"]
        assert bool(cable) == bool(np.isfinite(length))
        if cable:
            assert cable[0].length_cft == length
            compared += 1
    assert compared > 50


def test_paths_start_and_end_at_the_places_and_their_pieces_are_square(garage):
    ways = Ways(garage)
    places = ways.building.places
    for start in places:
        for end in places:
            for way in ways.between(start, end):
                assert (way.path[0], way.path[-1]) == (places[start], places[end])
                assert path_length_cft(way.path) == way.length_cft
                for a, b in pairwise(way.path):
                    assert sum(p != q for p, q in zip(a, b, strict=True)) == 1


def test_no_cable_reaches_a_block_wall_but_the_raceways_do(garage):
    ways = Ways(garage)
    assert [way.method for way in ways.between("P", "E1")] == ["raceway"]
    assert ways.between("P", "E1")[0].raceways == ("R1", "R2")
    assert ways.between("P", "E1")[0].via == ("E2",)


def test_no_wall_run_crosses_a_door_below_its_head(garage):
    """From the west wall to the panel the house door (x 3 to 6 ft, 6 ft 8 in) is passed above."""
    path = Ways(garage).between("W3", "P")[0].path
    for (x0, y0, z0), (x1, y1, z1) in pairwise(path):
        on_north = y0 == y1 == 2400
        crosses = min(x0, x1) < 600 and max(x0, x1) > 300
        assert not (on_north and crosses and min(z0, z1) < 666)


def test_a_run_over_the_ceiling_is_in_the_attic_heat(garage):
    way = Ways(garage).between("S1", "L2")[0]
    assert way.ambient_c == 48.9
    surface = changed(garage, [("building.ceiling_runs", "surface")])
    assert Ways(surface).between("S1", "L2")[0].ambient_c == 30.0


def test_surface_runs_keep_clear_of_the_open_overhead_door(garage):
    """Its travel covers x 2.5 to 11.5 ft and y 0 to 9 ft under the ceiling."""
    surface = changed(garage, [("building.ceiling_runs", "surface")])
    ways = Ways(surface)
    path = ways.between("O1", "X1")[0].path
    for (x0, y0, z0), (x1, y1, z1) in pairwise(path):
        if z0 == z1 == 900:
            middle = (x0 + x1) / 2, (y0 + y1) / 2
            assert not (250 < middle[0] < 1150 and middle[1] < 900)
