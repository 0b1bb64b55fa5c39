"""Pages before they are drawn: no text on another or off the page, true scales, nothing lost."""

import itertools
import math
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from branchwright.papers.paper import Field, Paper
from branchwright.pdf.drawing_page import (
    circuit_pages,
    drawing_pages,
    floor_pages,
    largest_of_all,
)
from branchwright.pdf.flow import Flow
from branchwright.pdf.grid import (
    WRITTEN_EM,
    Grid,
    Head,
    column_widths,
    grid_of_paper,
    runs_on,
    set_row,
)
from branchwright.pdf.packet import packet_pages, paper_pages
from branchwright.pdf.page import PAPERS, OnPaper, Page, foot_of
from branchwright.pdf.scales import scale_for
from branchwright.sheet_set import DRAWINGS
from branchwright.sheet_set import PAPERS as PAPERS_OF_THE_SET
from branchwright.sheet_set import _Made as Made
from branchwright.sheets.display import Bounds, Drawing, Group, Polyline, Shape, Text
from branchwright.sheets.styles import BODY, ROOM
from branchwright.sheets.text_size import folded
from branchwright.sheets.title_block import Block
from models.plan import Plan
from models.shop import Shop
from tests.branchwright.conftest import HOSTILE
from tests.branchwright.sheets.test_text_boxes import LONG, QUICK, planned
from tests.plan_files import plan_on_file

SIZES = (OnPaper("letter", "tabloid"), OnPaper("a4", "a3"), OnPaper("letter", "letter"))
INCH = 72
# Smallest letters of a drawing on paper [pt]; our own limit, common practice, no source.
LEAST_LETTERS = 6.0
DRAWN_ON = (OnPaper("letter", "tabloid"), OnPaper("a4", "a3"))


def all_pages(plan: Plan, on: OnPaper) -> list[Page]:
    made = Made(plan, on)
    pages = [page for name in (*DRAWINGS, *PAPERS_OF_THE_SET) for page in made.pages(name)]
    return pages + packet_pages(plan, on.paper, made.pages)


def sizes_on(page: Page) -> Iterator[tuple[float, str]]:
    """The size of every text of a page's drawings, in points on paper."""
    for part in page.parts:
        for text in part.drawing.root.texts():
            if text.text.strip() and (part.clip is None or text.bounds.inside(part.clip)):
                yield part.factor * text.lettering.size, text.text


def small_letters(plan: Plan, on: OnPaper) -> list[tuple[str, float, str]]:
    """Texts of drawings in letters too small."""
    made = Made(plan, on)
    pages = [page for name in DRAWINGS for page in made.pages(name)]
    return [
        (page.title, size, text)
        for page in pages
        for size, text in sizes_on(page)
        if size < LEAST_LETTERS - 0.001
    ]


def on_page(page: Page, block: Block) -> list[tuple[str, Bounds]]:
    """Every text of a page with its box in points of the page, its foot included."""
    found = []
    foot = Group("", list(foot_of(page, block, 8, 88, {"\U0001fa9a"})))
    for text in foot.texts():
        found.append((text.text, text.bounds))
    for part in page.parts:
        for text in part.drawing.root.texts():
            left, top, right, bottom = (part.factor * edge for edge in text.bounds)
            if part.clip is None or text.bounds.inside(part.clip):
                x, y = part.at
                found.append((text.text, Bounds(x + left, y + top, x + right, y + bottom)))
    return [(text, box) for text, box in found if text.strip()]


def assert_apart(page: Page, block: Block) -> None:
    texts = on_page(page, block)
    paper = Bounds(0.25 * INCH, 0.25 * INCH, page.size[0] - 18, page.size[1] - 18)
    for text, box in texts:
        assert box.inside(paper), (page.title, text)
    texts.sort(key=lambda one: one[1].top)
    for place, (text, box) in enumerate(texts):
        for other, beside in itertools.islice(texts, place + 1, None):
            if beside.top > box.bottom:
                break
            assert not box.overlaps(beside), (page.title, text, other)


@pytest.mark.parametrize("on", SIZES, ids=lambda on: f"{on.paper}-{on.drawings}")
def test_no_text_lies_on_another_or_leaves_the_paper(plan, on):
    block = Block.of(plan, "0" * 64)
    pages = all_pages(plan, on)
    assert len(pages) > 25
    for page in pages:
        assert_apart(page, block)
        assert sorted(page.size) in (sorted(PAPERS[on.paper]), sorted(PAPERS[on.drawings]))


@pytest.mark.long
@pytest.mark.parametrize("shop", [*QUICK, *LONG])
def test_every_page_of_every_demo_shop(shop):
    plan = planned(shop)
    block = Block.of(plan, "0" * 64)
    for on in SIZES:
        for page in all_pages(plan, on):
            assert_apart(page, block)


@pytest.mark.parametrize("on", DRAWN_ON, ids=lambda on: on.drawings)
@pytest.mark.parametrize("name", ["one_bay_garage", "every_section", "machines_to_come"])
def test_letters_of_drawings_are_large_enough(name, on):
    assert small_letters(plan_on_file(name), on) == []


@pytest.mark.long
@pytest.mark.parametrize("shop", [*QUICK, *LONG])
def test_letters_of_drawings_of_every_demo_shop_are_large_enough(shop):
    plan = planned(shop)
    for on in DRAWN_ON:
        assert small_letters(plan, on) == []


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_lie_apart_too(name, renamed):
    plan = renamed(name)
    block = Block.of(plan, "0" * 64)
    for page in all_pages(plan, SIZES[0]):
        assert_apart(page, block)


def test_a_stop_keeps_clear_of_what_is_on_the_page(violated):
    block = Block.of(violated, "0" * 64)
    for page in all_pages(violated, SIZES[0]):
        assert_apart(page, block)


def outlines(shape: Shape) -> Iterator[Polyline]:
    """Every closed line."""
    if isinstance(shape, Group):
        for inner in shape.shapes:
            yield from outlines(inner)
    elif isinstance(shape, Polyline) and shape.closed:
        yield shape


@pytest.mark.parametrize("on", SIZES, ids=lambda on: f"{on.paper}-{on.drawings}")
def test_the_stated_scale_and_the_bar_are_true(request, on):
    """A wall and the scale bar, measured on paper: feet times 864 points, by the ratio stated."""
    plan = plan_on_file("one_bay_garage")
    building = Shop.model_validate(plan.source.shop).building
    wide_ft = max(x for x, _ in building.corners) - min(x for x, _ in building.corners)
    page = Made(plan, on).pages("floor")[0]
    ratio = int(page.scale.split("1:")[1].rstrip(")"))
    texts = dict(on_page(page, Block.of(plan, "0" * 64)))
    zero, end = texts["0"], texts["4 ft"]
    bar = ((end.left + end.right) - (zero.left + zero.right)) / 2
    assert bar == pytest.approx(4 * 12 * INCH / ratio, rel=1e-6)
    (room,) = (one for one in outlines(page.parts[0].drawing.root) if one.style == ROOM)
    xs = [x for x, _ in room.points]
    drawn = page.parts[0].factor * (max(xs) - min(xs))
    assert drawn == pytest.approx(wide_ft * 12 * INCH / ratio, rel=1e-6)


@given(st.floats(0.5, 300), st.floats(0.1, 1.3), st.booleans())
def test_a_scale_is_near_the_largest_and_says_what_it_is(points_per_ft, most, metric):
    factor, words = scale_for(points_per_ft, most, metric=metric)
    assert factor <= most * (1 + 1e-6)
    paper, true = words.removesuffix(")").split("(")[-1].split(":")
    assert factor * points_per_ft * float(true) / float(paper) == pytest.approx(864)
    assert factor > most / 2 - 1e-6


def many_labels(wide: float, high: float, circuits: int = 20) -> Drawing:
    """A floor plan with labels all over, its head and its legend."""
    drawing = Drawing(wide + 300, high, "many labels", points_per_ft=20.0)
    drawing.layer("head").add(Text((30, 20), "Floor plan", BODY))
    layer = drawing.layer("labels")
    for row, column in itertools.product(range(int(high / 40)), range(int(wide / 100))):
        text = Text((30 + column * 98, 40 + row * 39), f"label {row}.{column}", BODY)
        layer.add(Group("", [text]))
    legend = (Text((wide + 10, 40 + row * 20), f"circuit {row}", BODY) for row in range(circuits))
    drawing.layer("legend").add(*legend)
    drawing.layer("scale").add(Text((wide + 10, 500), "0", BODY))
    return drawing


def shown_on(pages: list[Page]) -> set[str]:
    return {
        text for page in pages for size, text in sizes_on(page) if size >= LEAST_LETTERS - 0.001
    }


@pytest.mark.parametrize("on", SIZES, ids=lambda on: f"{on.paper}-{on.drawings}")
def test_large_floor_plans_come_in_parts_that_lose_no_text(on):
    """Texts all over a sheet three times as wide and high as the paper."""
    drawing = many_labels(3000, 2400)
    labels = {text.text for text in drawing.root.texts() if text.text.startswith("label")}
    assert len(labels) == 1800
    whole, legend, *parts = floor_pages("Floor plan", drawing, on)
    assert [page.begins for page in (whole, legend, parts[0])] == [True, False, False]
    assert len(parts) > 1
    if on.drawings != "letter":
        assert all(size >= LEAST_LETTERS - 0.001 for page in parts for size, _ in sizes_on(page))
        assert shown_on(parts) >= labels
    assert not shown_on([whole]) >= labels
    assert shown_on([legend]) == {f"circuit {row}" for row in range(20)}
    for page in (whole, legend, *parts):
        assert_apart(page, Block("shop", "NEC 2023", "0" * 12, ""))


def test_a_floor_plan_is_whole_without_its_legend_where_that_does():
    """Lower than its legend, beside which its letters would be too small."""
    whole, legend = floor_pages("Floor plan", many_labels(1500, 1100, circuits=60), OnPaper())
    assert len(shown_on([whole])) > 27 * 15
    assert (legend.title, legend.begins) == ("Floor plan, legend", False)
    (page,) = floor_pages("Floor plan", many_labels(900, 700), OnPaper())
    assert {"Floor plan", "circuit 0"} <= shown_on([page])


def test_a_circuit_on_a_large_plan_comes_enlarged_too():
    """The second page shows where it runs, larger."""
    about = Bounds(200, 300, 900, 800)
    drawing = many_labels(3000, 2400)
    whole, near = circuit_pages("Circuit C1", drawing, OnPaper(), about, ["20 A 120 V."])
    assert (near.title, near.begins) == ("Circuit C1, enlarged", False)
    assert near.parts[0].factor > 2 * whole.parts[0].factor
    assert near.parts[0].clip is not None
    assert about.inside(near.parts[0].clip)
    assert "20 A 120 V." in shown_on([whole])
    (page,) = circuit_pages("Circuit C1", many_labels(900, 700), OnPaper(), about, ["20 A 120 V."])
    assert "circuit 0" in shown_on([page])


def test_raceway_sections_are_of_one_scale():
    """Of sheets as high as they come, the factor with which all fit."""
    low, high = Drawing(1000, 500, "a"), Drawing(1000, 900, "b")
    for drawing in (low, high):
        corners = Text((20, 30), "corner", BODY), Text((900, drawing.height - 20), "corner", BODY)
        drawing.layer("sections").add(*corners)
    most = largest_of_all([low, high], OnPaper())
    pages = [next(drawing_pages("x", one, OnPaper(), most=most)) for one in (low, high)]
    assert pages[0].parts[0].factor == pages[1].parts[0].factor == pytest.approx(most)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_full_sheet_of_labels_fits_the_paper_at_its_size(request, paper):
    plan = plan_on_file("one_bay_garage")
    row, box = plan.outlets[0], plan.boxes[0]
    ids = [f"Z{n}" for n in range(30)]
    many = plan.model_copy(update={
        "boxes": tuple(box.model_copy(update={"id": one}) for one in ids),
        "outlets": tuple(
            row.model_copy(update={"id": one, "box": one, "yoke": None}) for one in ids
        ),
        "switches": (),
    })  # fmt: skip
    (page,) = Made(many, OnPaper(paper)).pages("label-sheets")
    assert page.size == PAPERS[paper]
    assert page.parts[0].factor == 1
    assert_apart(page, Block.of(many, "0" * 64))


def words_of(pages: list[Page]) -> str:
    texts = [t.text for page in pages for part in page.parts for t in part.drawing.root.texts()]
    return "".join("".join(texts).split())


cells = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cf")), max_size=300)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(cells, cells, st.integers(0, 10**9)), min_size=1, max_size=12))
def test_no_character_of_a_table_is_lost(rows):
    """Whatever the cells hold, their characters come back from the pages, cell by cell."""
    fields = (Field("First", 20), Field("Second", 40), Field("Number", 8, 0))
    pages = paper_pages(Paper("x", "Table", fields, tuple(rows)), "letter")
    told = words_of(pages)
    for first, second, number in rows:
        assert f"{number:,}" in told
        for cell in (first, second):
            assert "".join(cell.split()) in told


def test_a_row_longer_than_a_page_goes_on_with_its_headings():
    rows = (("word " * 9000, "end"), ("next", "row"))
    paper = Paper("x", "Table", (Field("Long", 60), Field("Short", 10)), rows)
    pages = paper_pages(paper, "letter")
    assert len(pages) > 4
    texts = [[t.text for t in page.parts[0].drawing.root.texts()] for page in pages]
    assert all({"Long", "Short"} <= set(page) for page in texts)
    assert sum(text.split().count("word") for page in texts for text in page) == 9000
    assert "next" in texts[-1]


@pytest.mark.parametrize(("rows", "pages"), [(35, 1), (41, 1), (60, 2), (70, 2)])
def test_letters_are_smaller_where_that_spares_a_page_with_a_few_rows(rows, pages):
    """36 rows of the largest letters find room on a page; those of 60 fill half of a second."""
    fields = (Field("Box", 10), Field("Note", 20))
    paper = Paper("x", "Table", fields, tuple((f"B{n}", "junction") for n in range(rows)))
    made = paper_pages(paper, "letter")
    assert len(made) == pages
    told = words_of(made)
    assert all(f"B{n}" in told for n in range(rows))
    sizes = {t.lettering.size for page in made for t in page.parts[0].drawing.root.texts()}
    assert (8.5 in sizes) == (rows != 41)


@pytest.mark.parametrize("name", ["one_bay_garage", "taken_apart"])
def test_what_is_asked_of_many_boxes_stands_once(name):
    """Both shops have several boxes that nobody measured."""
    plan = plan_on_file(name)
    pages = packet_pages(plan, "letter", lambda name: [])
    told = [t.text for page in pages for t in page.parts[0].drawing.root.texts()]
    asked = [text for text in told if "nobody measured these" in text]
    unmeasured = [box.id for box in plan.boxes if box.volume_in3 is None]
    assert len(unmeasured) > 1
    assert len(asked) == 1
    assert asked[0].startswith(", ".join(unmeasured) + ": nobody")
    assert not [text for text in told if "nobody measured box " in text]


def test_a_table_too_wide_breaks_words_and_keeps_inside_its_columns():
    fields = tuple(Field(f"Column {n}", 12) for n in range(25))
    paper = Paper("x", "Wide", fields, (("W" * 60,) * 25, ("short",) * 25))
    flow = Flow("Wide", PAPERS["letter"], landscape=True)
    flow.table(grid_of_paper(paper))
    plan_block = Block("shop", "NEC 2023", "0" * 12, "")
    for page in flow.pages:
        assert_apart(page, plan_block)


@given(st.text(max_size=200), st.floats(12, 400))
def test_folding_keeps_every_word(text, width):
    lines = folded(text, width, 8.0)
    assert "".join("".join(lines).split(" ")) == "".join(text.split(" "))
    assert all(len(line) <= 1 or math.isfinite(width) for line in lines)


def test_empty_columns_are_left_out_but_for_those_to_write_in():
    fields = (Field("Box", 8), Field("Status", 12), Field("Done", 8, by_hand=True))
    grid = grid_of_paper(Paper("boxes", "Boxes", fields, (("W1", "", ""), ("W2", "", ""))))
    assert [head.name for head in grid.heads] == ["Box", "Done"]
    (_, done), part = column_widths(grid, 8.0, 400.0)
    assert part == 1.0
    assert done >= WRITTEN_EM * 8.0


@pytest.mark.parametrize("many", range(30, 80, 7))
def test_no_row_stands_alone_on_the_last_page(many):
    """A table goes on with three rows at least, wherever its page ends."""
    for count in range(many, many + 7):
        rows = tuple((f"box {n}", n) for n in range(count))
        pages = paper_pages(Paper("x", "T", (Field("Box", 8), Field("N", 8, 0)), rows), "letter")
        last = [t.text for t in pages[-1].parts[0].drawing.root.texts()]
        assert sum(text.startswith("box ") for text in last) >= 3


def test_room_goes_to_the_column_that_makes_rows_high():
    """What many rows need goes before what one row would like."""
    rows = [("a name as long as this one is", "-")] * 20 + [("short", "one cell of words " * 6)]
    grid = Grid((Head("Often", False, 46.0), Head("Seldom", False, 46.0)), tuple(rows))
    (often, _), part = column_widths(grid, 8.0, 280.0)
    assert 0 < part < 1
    assert len(set_row(rows[0], (often, 1.0), 8.0)[0]) == 1


def test_last_text_goes_on_over_empty_columns():
    """A sentence with nothing after it takes the room to the right edge, but none to write in."""
    heads = Head("What", False, 30.0), Head("Unit", False, 5.0), Head("Done", False, 5.0, True)
    said = "a sentence that goes on and on until it ends"
    assert runs_on(heads[:2], (said, "")) == 0
    assert runs_on(heads[:2], (said, "ft")) == -1
    assert runs_on(heads, (said, "", "")) == -1
    assert len(set_row((said, ""), (90.0, 150.0), 8.0, on=0)[0]) == 1
    assert len(set_row((said, ""), (90.0, 150.0), 8.0)[0]) > 1
