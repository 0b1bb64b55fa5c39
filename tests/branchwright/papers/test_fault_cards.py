"""Fault-finding cards: what the paper says is on them, and the way back is drawn as it is wired."""

import pytest

from branchwright import cautions
from branchwright.papers.fault_cards import CARD, fault_cards
from branchwright.papers.fault_finding import fault_finding
from branchwright.papers.way_lanes import Crossing, crossings, lanes_of
from branchwright.pdf.page import PAPERS, OnPaper
from branchwright.sheet_set import _Made as Made
from branchwright.sheets.display import Rect
from branchwright.words import clean
from models.answers.way_back import Stop, stops
from models.plan import Plan
from models.plan_file import read_plan
from models.rules.reading import Reading
from models.shop import Shop
from tests.branchwright.conftest import HOSTILE
from tests.branchwright.sheets.test_sheet_set import flat, layer, said
from tests.branchwright.sheets.text_boxes import faults

PLANS = ("four_box", "one_bay_garage", "every_section", "taken_apart", "two_changeovers")


@pytest.fixture(params=PLANS)
def plan(request) -> Plan:
    return read_plan(request.config.rootpath / "tests" / "plans" / request.param)


def words(plan: Plan) -> str:
    """All that the cards say, in one line without breaks."""
    return "".join("".join(said(one)) for one in fault_cards(plan)).replace(" ", "")


def test_a_card_says_every_step_of_the_paper(plan):
    """Steps before and after the boxes word for word; of a box its name, run and length."""
    told = words(plan)
    shop = Reading(plan, Shop.model_validate(plan.source.shop))
    for circuit, step, first, at, do, _, _, _ in fault_finding(plan).rows:
        if first != "open":
            assert f"{step}{at}:{do}".replace(" ", "") in told, (circuit, step)
        else:
            assert f"{step}{at}".replace(" ", "") in told
    for circuit in plan.circuits:
        for run in (stop.run for stop in stops(shop, circuit) if stop.run):
            assert f"{run.id}," in told
    assert told.count(cautions.TEST_BEFORE_TOUCH.replace(" ", "")) >= len(plan.circuits)
    assert told.count(cautions.LUGS_STAY_LIVE.replace(" ", "")) >= len(plan.circuits)
    assert "larger" not in told


def test_what_is_dead_with_a_box_and_all_above_is_what_the_plan_says(plan):
    """Each outlet of a circuit once in its way back, at the box that it is in or fed from."""
    shop = Reading(plan, Shop.model_validate(plan.source.shop))
    for circuit in plan.circuits:
        way = stops(shop, circuit)
        for stop in way:
            if stop.run is None:
                continue
            above = {o.id for other in way if stop.box in other.way for o in other.dead}
            assert above == {o.id for o in stop.dead}


def test_cards_are_six_by_four_inches_and_fit_letter_and_a4(plan):
    for drawing in fault_cards(plan):
        frames = [s.bounds for s in flat(layer(drawing, "cards")) if isinstance(s, Rect)
                  and s.bounds.right - s.bounds.left == CARD[0]]  # fmt: skip
        assert frames
        for left, top, right, bottom in frames:
            assert (right - left, bottom - top) == (6 * 72, 4 * 72)
            inside = [t for t in drawing.root.texts() if top < t.at[1] < bottom]
            assert all(t.bounds.right <= right and t.bounds.bottom <= bottom for t in inside)
        assert faults(drawing) == []
    for paper in ("letter", "a4"):
        for page in Made(plan, OnPaper(paper)).pages("fault-cards"):
            assert page.size == PAPERS[paper]
            assert (page.parts[0].factor, page.scale) == (1.0, "as cut, 1:1")


def test_a_violation_is_on_every_card(violated):
    for drawing in fault_cards(violated):
        cards = sum(isinstance(s, Rect) and s.bounds.right - s.bounds.left == CARD[0]
                    for s in flat(layer(drawing, "cards")))  # fmt: skip
        assert said(drawing).count("DO NOT BUILD") == cards


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_told_whole(name, renamed):
    """A name of 200 letters goes on in further lines; nothing lies on anything."""
    plan = renamed(name)
    for drawing in fault_cards(plan):
        assert faults(drawing) == []
    assert words(plan).count(clean(name).replace(" ", "")) >= len(plan.circuits)


def test_many_boxes_go_on_on_further_cards(request):
    """Forty boxes behind each other: every one once, none cut, the line goes on."""
    plan = read_plan(request.config.rootpath / "tests" / "plans" / "one_bay_garage")
    circuit = next(one for one in plan.circuits if one.id == "C4")
    run, box, outlet = circuit.runs[-1], plan.boxes[0], plan.outlets[0]
    ids = [f"Z{n:02}" for n in range(40)]
    runs = [
        run.model_copy(update={"id": f"C4.9{one}", "start": start, "end": one})
        for start, one in zip([run.end, *ids], ids, strict=False)
    ]
    plan = plan.model_copy(update={
        "circuits": (
            circuit.model_copy(update={"runs": (*circuit.runs, *runs)}),
            *(one for one in plan.circuits if one is not circuit),
        ),
        "boxes": (*plan.boxes, *(
            box.model_copy(update={"id": one, "conductors": (), "yokes": ()}) for one in ids)),
        "outlets": (*plan.outlets, *(
            outlet.model_copy(update={"id": one, "box": one, "yoke": None, "circuit": "C4"})
            for one in ids)),
    })  # fmt: skip
    drawn = fault_cards(plan)[:2]
    told = [text for drawing in drawn for text in said(drawing)]
    assert {f"card {n} of 3" for n in (1, 2, 3)} <= set(told)
    for one in ids:
        assert told.count(one) == 2  # its name, and what is dead with it
    assert all(faults(drawing) == [] for drawing in drawn)


def way(**feeders: str) -> list[Stop]:
    """Boxes in their order with what feeds each."""
    return [Stop(box, None, (box, feeder), (), ()) for box, feeder in feeders.items()]


def test_two_branches_meet_where_they_are_spliced():
    """A and B behind J, C behind P alone: drawn by hand from the order A, B, J, C, P.

    A takes lane 0 to J, B lane 1 to J, where both come together; C stands beside J's way on.
    """
    ways = list(crossings(way(A="J", B="J", J="P", C="P"), "P"))
    assert ways == [
        Crossing((), 0, (), True), Crossing((0,), 1, (), True), Crossing((), 0, (0, 1), True),
        Crossing((0,), 1, (), True), Crossing((), 0, (0, 1), False),
    ]  # fmt: skip
    assert lanes_of(ways) == 2
    assert ways[1].below() == Crossing((0, 1))


def test_every_run_drawn_begins_and_ends_at_a_box(plan):
    """Each box but strays goes on to one; what comes in all is what went on."""
    shop = Reading(plan, Shop.model_validate(plan.source.shop))
    for circuit in plan.circuits:
        ways = list(crossings(stops(shop, circuit), circuit.panel))
        assert sum(len(one.come) for one in ways) == sum(one.goes for one in ways)
        assert ways[-1].by == ()
        for one in ways:
            assert one.at not in one.by
            assert not set(one.come) & set(one.by)
