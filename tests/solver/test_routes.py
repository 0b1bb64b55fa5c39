"""Routes against a grid that SciPy walks, lengths against shapely, and what a room allows."""

import random
from itertools import combinations, pairwise

import networkx as nx
import numpy as np
import pytest
from shapely import LineString, Point
from shapely.geometry import Polygon

from models.shop import Shop
from models.shop_edit import changed
from models.shop_file import parse_shop, read_shop
from solver.routes import MOST_CHAINS, Ways, path_length_cft
from tests.demo_shops import DEMO_SHOPS
from tests.solver.full_grid import FullGrid


def scenario(request, name):
    return read_shop(request.config.rootpath / "scenarios" / f"{name}.yaml")


@pytest.fixture
def garage(request):
    return scenario(request, "one_bay_garage")


@pytest.fixture(params=DEMO_SHOPS)
def shop(request):
    return scenario(request, request.param)


def test_shortest_cables_equal_scipy_on_the_full_grid(shop):
    """scipy.sparse.csgraph.dijkstra on a grid built by the test, for every pair of enclosures."""
    ways, grid = Ways(shop), FullGrid(shop).counts()
    compared = 0
    for start in ways.names:
        for end in ways.names:
            if start >= end:
                continue
            expected = grid.get((start, end), np.inf)
            if ways.places[start] == ways.places[end]:
                continue
            found = ways.cable_counts(start, end)
            assert (found is None) == (not np.isfinite(expected)), (start, end)
            if found is not None:
                assert found == pytest.approx(expected, abs=0.5), (start, end)
                compared += 1
    assert compared > 20


def test_paths_and_lengths_by_shapely(shop):
    """Every way: at its two ends, square, inside the outline, as long as shapely measures it."""
    ways = Ways(shop)
    outline = Polygon([(100 * x, 100 * y) for x, y in shop.building.corners])
    near = outline.buffer(1, join_style="mitre")
    draw = random.Random(1)
    pairs = [(a, b) for a in ways.names for b in ways.names if a != b]
    for start, end in draw.sample(pairs, min(600, len(pairs))):
        for way in ways.between(start, end):
            assert (way.path[0], way.path[-1]) == (ways.places[start], ways.places[end])
            length = 0.0
            for a, b in pairwise(way.path):
                assert sum(p != q for p, q in zip(a, b, strict=True)) == 1
                flat = LineString([a[:2], b[:2]]) if a[:2] != b[:2] else Point(a[:2])
                length += flat.length + abs(a[2] - b[2])
                buried = min(a[2], b[2]) < 0
                assert buried or near.contains(flat)
            if not way.raceways or len(way.raceways) == 1:
                assert length == way.length_cft
            pieces = ways.sections(way)
            assert round(100 * sum(piece.length_ft for piece in pieces)) == path_length_cft(
                way.path
            )
            assert way.ambient_c == max(
                (piece.ambient_c for piece in pieces), default=way.ambient_c
            )


def lengths(shop):
    ways = Ways(shop)
    return {(a, b): ways.cable_counts(a, b) for a in ways.names for b in ways.names if a != b}


TURNS = {"north": "west", "west": "south", "south": "east", "east": "north"}
MIRRORS = {"north": "north", "south": "south", "east": "west", "west": "east"}


def moved(data, point, swap, sides):
    """The plain data of a shop with every place moved; `point` moves (x, y)."""

    def number(text):
        return float(text.removesuffix(" ft"))

    def text(value):
        return f"{value:.4f} ft"

    def pair(xy):
        return [text(v) for v in point(number(xy[0]), number(xy[1]))]

    def walk(value, walls):
        if isinstance(value, list):
            return [walk(item, walls) for item in value]
        if not isinstance(value, dict):
            return value
        out = {}
        for key, item in value.items():
            if key in ("from", "to", "ceiling", "at") and isinstance(item, list):
                out[key] = pair(item)
            elif key == "by" and isinstance(item, list):
                out[key] = [[*pair(p[:2]), p[2]] for p in item]
            elif key == "faces":
                out[key] = sides[item]
            elif key == "joists":
                flip = {"north-south": "east-west", "east-west": "north-south"}
                out[key] = flip[item] if swap else item
            elif key == "between":
                x0, y0 = walls[value["wall"]]
                along_x = value["wall"] in level
                ends = [point(number(v), y0) if along_x else point(x0, number(v)) for v in item]
                axis = (0 if along_x else 1) if not swap else (1 if along_x else 0)
                out[key] = [text(end[axis]) for end in ends]
            elif key in ("x", "y") and "wall" in value:
                x0, y0 = walls[value["wall"]]
                new = point(number(item), y0) if key == "x" else point(x0, number(item))
                key_now = {"x": "y", "y": "x"}[key] if swap else key
                out[key_now] = text(new[0 if key_now == "x" else 1])
            else:
                out[key] = walk(item, walls)
        return out

    walls: dict[str, tuple[float, float]] = {}
    level: set[str] = set()
    building = data["building"]
    outer = building["walls"]
    for wall, following in zip(outer, [*outer[1:], outer[0]], strict=True):
        walls[wall["id"]] = tuple(map(number, wall["from"]))
        if wall["from"][1] == following["from"][1]:
            level.add(wall["id"])
    for wall in building.get("partitions", []):
        walls[wall["id"]] = tuple(map(number, wall["from"]))
        if wall["from"][1] == wall["to"][1]:
            level.add(wall["id"])
    return walk(data, walls)


def extent(shop):
    xs, ys = zip(*shop.building.corners, strict=True)
    return max(xs), max(ys)


def test_a_shop_turned_by_90_degrees_has_the_same_lengths(shop):
    """(x, y) becomes (depth + 50 - y, x): nothing outdoors comes below zero."""
    _, depth = extent(shop)
    data = moved(shop.canonical(), lambda x, y: (depth + 50 - y, x), True, TURNS)
    assert lengths(Shop.model_validate(data)) == lengths(shop)


def test_a_mirrored_shop_has_the_same_lengths(shop):
    """(x, y) becomes (width + 50 - x, y); the outline is listed the other way round."""
    width, _ = extent(shop)
    data = moved(shop.canonical(), lambda x, y: (width + 50 - x, y), False, MIRRORS)
    walls = data["building"]["walls"]
    corners = [wall["from"] for wall in walls]
    ends = [*corners[1:], corners[0]]
    data["building"]["walls"] = [
        {**wall, "from": end} for wall, end in zip(walls[::-1], ends[::-1], strict=True)
    ]
    assert lengths(Shop.model_validate(data)) == lengths(shop)


def test_other_ids_and_metres_give_the_same_lengths(garage, request):
    """Rename every box and raceway; write every length in millimetres."""
    text = (request.config.rootpath / "scenarios" / "one_bay_garage.yaml").read_text("utf-8")
    import re

    def metric(match):
        return f"{float(match[1]) * 304.8:.2f} mm"

    metres = parse_shop(re.sub(r"(\d+(?:\.\d+)?) ft(?! \d)", metric, text))
    assert lengths(metres) == lengths(garage)
    data = garage.canonical()
    renamed = re.sub(r"'(E1|W2|L1|X1)(\.left|\.right)?'", r"'Z\1\2'", repr(data))
    other = Shop.model_validate(eval(renamed))
    back = {
        tuple(name.removeprefix("Z") for name in pair): length
        for pair, length in lengths(other).items()
    }
    assert back == lengths(garage)


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


def test_a_cable_may_go_round_the_hot_attic(garage):
    """W1 to X2: the least way is over the ceiling; another stays in the walls and in 30 °C."""
    ways = Ways(garage).between("W1", "X2")
    assert [way.ambient_c for way in ways] == sorted((w.ambient_c for w in ways), reverse=True)
    cool = [way for way in ways if way.ambient_c == 30.0]
    assert cool
    assert all(z < 900 for _, _, z in cool[-1].path)


def test_surface_runs_keep_clear_of_the_open_overhead_door(garage):
    """Its travel covers x 2.5 to 11.5 ft and y 0 to 9 ft under the ceiling."""
    surface = changed(garage, [("building.ceiling_runs", "surface")])
    ways = Ways(surface)
    path = ways.between("O1", "X1")[0].path
    for (x0, y0, z0), (x1, y1, z1) in pairwise(path):
        if z0 == z1 == 900:
            middle = (x0 + x1) / 2, (y0 + y1) / 2
            assert not (250 < middle[0] < 1150 and middle[1] < 900)


def test_a_mesh_of_raceways_gives_the_shortest_chains_and_an_end(garage):
    """Twelve boxes, each joined to each: more chains than anybody could look through."""
    boxes = [
        {"id": f"M{n}", "ceiling": [f"{2 + 3 * (n % 4)} ft", f"{12 + 3 * (n // 4)} ft"],
         "yokes": ["duplex 5-20R"]}
        for n in range(12)
    ]  # fmt: skip
    raceways = [
        {"id": f"R{a}-{b}", "kind": "EMT", "trade_size": "1", "ends": [f"M{a}", f"M{b}"]}
        for a in range(12)
        for b in range(a)
    ]
    raceways.append({"id": "RP", "kind": "EMT", "trade_size": "1", "ends": ["M0", "P"]})
    data = garage.canonical()
    ways = Ways(changed(garage, [
        ("boxes", [*data["boxes"], *boxes]), ("routes.raceways", raceways)
    ]))  # fmt: skip
    found = [way for way in ways.between("M0", "P") if way.method == "raceway"]
    assert [way.raceways for way in found] == [("RP",)]
    chains = [way for way in ways.between("M5", "P") if way.method == "raceway"]
    assert len(chains) == MOST_CHAINS
    assert chains[0].raceways == ("R5-0", "RP")
    assert [way.length_cft for way in chains] == sorted(way.length_cft for way in chains)


def test_raceways_side_by_side_are_ways_of_their_own(garage):
    """A full raceway needs another: R1 has a twin."""
    data = garage.canonical()["routes"]["raceways"]
    twin = {**next(r for r in data if r["id"] == "R1"), "id": "R9", "trade_size": "3/4"}
    ways = Ways(changed(garage, [("routes.raceways", [*data, twin])]))
    assert {way.raceways for way in ways.between("P", "E1")} == {("R1", "R2"), ("R9", "R2")}


@pytest.mark.parametrize("name", ["one_bay_garage", "two_person_instrument_shop"])
def test_of_equal_paths_the_straightest_is_taken(name, request):
    """Networkx on the same edges with one node for each axis of arrival; a bend costs a little."""
    room = scenario(request, name)
    graph = Ways(room).cable.graph
    layered: nx.Graph[object] = nx.Graph()

    def piece(a, b, counts):
        axis = next((i for i in range(3) if a[i] != b[i]), None)
        layered.add_edge((a, axis), (b, axis), weight=counts * 1000)
        for end in (a, b):
            for other in range(3):
                layered.add_edge((end, "turn"), (end, other), weight=0.5)

    for (first, last), (counts, corners) in graph.edges.items():
        a, b = first[:3], last[:3]
        for corner in corners:
            middle = (*corner, a[2])
            part = round(counts * path_length_cft((a, middle)) / path_length_cft((a, middle, b)))
            piece(a, middle, part)
            piece(middle, b, counts - part)
        if not corners:
            piece(a, b, counts)
    ways = Ways(room)
    for start, end in combinations(ways.names, 2):
        least = ways.cable_counts(start, end)
        if least:
            source, target = (ways.places[start], "turn"), (ways.places[end], "turn")
            cost = nx.dijkstra_path_length(layered, source, target)
            bends = round(cost - 1000 * least) - 1
            assert len(ways.cable.path(start, end)) - 2 == bends, (start, end)
