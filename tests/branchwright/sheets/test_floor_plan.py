"""The floor plan: runs beside each other, things in their true place, room for a crowd of boxes."""

import itertools

import pytest

from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Circle, Group, Polyline, Rect, Shape, Text
from branchwright.sheets.floor_frame import Frame
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.floor_runs import band_width, drawn_runs
from models.plan import Plan
from models.plan.later_machines import EmptyRaceway
from models.shop import Shop
from tests.plan_files import plan_on_file


@pytest.fixture
def crowded(four_box) -> Plan:
    """The four-box shed with 24 more receptacle boxes along its north wall, 4 in apart."""
    pattern = next(box for box in four_box.boxes if box.id == "N1")
    more = [
        pattern.model_copy(
            update={
                "id": f"N{10 + i}",
                "place": (round(1.2 + i / 3, 2), 8.0, 4.0),
                "conductors": (),
            }
        )
        for i in range(24)
    ]
    return four_box.model_copy(update={"boxes": (*four_box.boxes, *more)})


def layer(drawing, name: str) -> Group:
    return next(shape for shape in drawing.root.shapes if getattr(shape, "name", "") == name)


def shapes(group: Group) -> list[Shape]:
    found: list[Shape] = []
    for shape in group.shapes:
        found += shapes(shape) if isinstance(shape, Group) else [shape]
    return found


def run_segments(plan: Plan) -> list[tuple[str, bool, float, float, float]]:
    """Each straight piece of drawn run: colour, level, place across, from, to."""
    found: list[tuple[str, bool, float, float, float]] = []
    for line in shapes(layer(floor_plan(plan), "runs")):
        if not isinstance(line, Polyline) or line.closed:
            continue
        if line.style.stroke not in styles.CIRCUIT_COLOURS:
            continue
        for (x0, y0), (x1, y1) in itertools.pairwise(line.points):
            if y0 == y1:
                found.append((line.style.stroke, True, y0, min(x0, x1), max(x0, x1)))
            elif x0 == x1:
                found.append((line.style.stroke, False, x0, min(y0, y1), max(y0, y1)))
    return found


@pytest.mark.parametrize("name", ["four_box", "garage"])
def test_runs_that_share_a_line_do_not_lie_on_each_other(name, request):
    """Two pieces of runs closer than a line's width overlap by no more than a symbol's size."""
    segments = run_segments(request.getfixturevalue(name))
    assert len(segments) > 4
    for one, other in itertools.combinations(segments, 2):
        (_, level, across, low, high), (_, other_level, other_across, other_low, other_high) = (
            one,
            other,
        )
        if level == other_level and abs(across - other_across) < 1.9:
            assert min(high, other_high) - max(low, other_low) <= 16, (one, other)


def test_a_ceiling_box_stands_at_its_true_place(four_box):
    """L1 is at (5 ft, 4 ft) of a room of 10 ft by 8 ft: in its middle, halfway along each wall."""
    drawing = floor_plan(four_box)
    room = next(
        shape
        for shape in shapes(layer(drawing, "building"))
        if isinstance(shape, Polyline) and shape.style == styles.ROOM
    )
    xs, ys = [x for x, _ in room.points], [y for _, y in room.points]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    circles = [s.centre for s in shapes(layer(drawing, "symbols")) if isinstance(s, Circle)]
    assert any(abs(x - middle[0]) + abs(y - middle[1]) < 0.01 for x, y in circles)
    assert (max(xs) - min(xs)) / (max(ys) - min(ys)) == pytest.approx(10 / 8)


def test_runs_in_a_wall_stay_in_its_band(garage):
    """Every lane of every wall lies between the wall's two faces."""
    shop = Shop.model_validate(garage.source.shop)
    frame = Frame.of(shop.building, len(garage.boxes), 1.0, (0, 0), 0.0)
    runs = drawn_runs(garage, frame)
    band = band_width(runs)
    outs = [
        piece.shift[0] * piece.side.outward[0] + piece.shift[1] * piece.side.outward[1]
        for run in runs
        for piece in run.pieces
        if piece.side
    ]
    assert len(set(outs)) > 3
    assert min(outs) > 0
    assert max(outs) < band


def test_no_label_lies_on_a_symbol(garage):
    drawing = floor_plan(garage)
    symbols = [
        Bounds(s.centre[0] - s.radius, s.centre[1] - s.radius,
               s.centre[0] + s.radius, s.centre[1] + s.radius)
        if isinstance(s, Circle)
        else s.bounds
        for s in shapes(layer(drawing, "symbols"))
        if isinstance(s, Circle | Rect)
    ]  # fmt: skip
    labels = [s for s in shapes(layer(drawing, "labels")) if isinstance(s, Text)]
    assert len(symbols) > 10
    assert len(labels) > 20
    for label in labels:
        assert not any(label.bounds.overlaps(symbol) for symbol in symbols), label.text


def test_a_crowd_of_boxes_keeps_all_its_labels_apart(crowded):
    """28 boxes, 25 of them on one wall: each is named, and no two texts overlap."""
    drawing = floor_plan(crowded)
    texts = list(drawing.root.texts())
    said = [text.text for text in texts]
    assert all(said.count(box.id) == 1 for box in crowded.boxes)
    for one, other in itertools.combinations(texts, 2):
        assert not one.bounds.overlaps(other.bounds), (one.text, other.text)


def test_circuits_are_told_apart_without_colour():
    """Ten circuits in a row differ in the shape of their marks or in its filling."""
    looks = [styles.marker_style(index) for index in range(10)]
    assert len({(shape, style.fill == styles.PAPER) for shape, style in looks}) == 10


def test_where_a_run_lies_is_told_by_its_line():
    """Wall, ceiling and unknown differ in dash; a raceway is drawn as a tube."""
    assert len({styles.run_style(where, "k").dash for where in ("wall", "ceiling", "unknown")}) == 3
    assert styles.CASING_EDGE.width > styles.CASING_BODY.width > styles.run_style("wall", "k").width


def test_what_is_laid_now_for_a_machine_to_come_is_drawn():
    """A run that nothing uses yet by a line of its own; an empty raceway as a tube."""
    plan = plan_on_file("machines_to_come")
    spare = next(one for one in plan.later_machines or () if one.run is not None)
    drawn = [line for line in shapes(layer(floor_plan(plan), "runs")) if is_later(line)]
    assert drawn
    assert f"for {spare.machine}: spare, capped" in " ".join(label_texts(plan))

    tube = EmptyRaceway(kind="EMT", trade_size="1/2", length_ft=10)
    laid = spare.model_copy(update={"run": None, "raceway": tube})
    others = tuple(one for one in plan.later_machines or () if one is not spare)
    plan = plan.model_copy(update={"later_machines": (laid, *others)})
    found = shapes(layer(floor_plan(plan), "runs"))
    assert not any(is_later(line) for line in found)
    assert any(isinstance(line, Polyline) and line.style == styles.CASING_BODY for line in found)
    assert f"for {spare.machine}: 1/2 EMT, empty" in " ".join(label_texts(plan))


def is_later(shape: Shape) -> bool:
    return isinstance(shape, Polyline) and shape.style == styles.LATER_RUN


def label_texts(plan: Plan) -> list[str]:
    return [s.text for s in shapes(layer(floor_plan(plan), "labels")) if isinstance(s, Text)]
