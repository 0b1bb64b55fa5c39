"""Rolls and sticks drawn: every piece where it is cut, as long as it is, and told once."""

import re

import pytest

from branchwright.measures import printed_in
from branchwright.sheet_set import PAGE, sheet_set
from branchwright.sheets.cut_rolls import rolls
from branchwright.sheets.display import Bounds, Group, Line, Rect, Text, Thing
from branchwright.sheets.rolls_drawn import hatched, rolls_drawn
from branchwright.sheets.styles import HATCH, LEFT_OVER
from models.plan import CutPiece, Plan, PurchaseLine
from models.plan_file import read_plan
from tests.branchwright.sheets.test_sheet_set import flat, layer, said
from tests.branchwright.sheets.text_boxes import faults

MARK = "0123456789abcdef" * 4
FEET = re.compile(r"(?:(\d+) ft)? ?(?:(\d+) in)?")


@pytest.fixture
def garage(request) -> Plan:
    return read_plan(request.config.rootpath / "tests" / "plans" / "cut_of_rolls")


def inches(says: str) -> int:
    """A length in words, read back. [in]"""
    match = FEET.fullmatch(says.replace("\u00a0", " "))
    assert match, says
    return 12 * int(match[1] or 0) + int(match[2] or 0)


def pieces(drawing) -> dict[Thing, Group]:
    groups = (s for s in layer(drawing, "bars").shapes if isinstance(s, Group))
    return {group.about: group for group in groups if group.about}


def with_rolls(plan: Plan, package_ft: float, lengths: tuple[int, ...]) -> Plan:
    """A plan whose purchase is one roll, with a piece for each length."""
    cut = tuple(
        CutPiece(of=f"C{n}.1", package=1, length_in=inch) for n, inch in enumerate(lengths, 1)
    )
    line = PurchaseLine(
        key="nm", item="cable", packages=1, package=f"{package_ft:g} ft", package_ft=package_ft,
        price_usd=1.0, cost_usd=1.0, pieces=cut,
    )  # fmt: skip
    return plan.model_copy(update={"purchase": (line,)})


def test_every_piece_of_the_plan_is_drawn_as_long_as_it_is(garage):
    """Of each bar the pieces in their share of it, their words read back, the rest hatched."""
    (drawing,) = rolls_drawn(garage)
    found = pieces(drawing)
    cut = [line for line in garage.purchase or () if line.package_ft]
    assert len(found) == sum(len(line.pieces) for line in cut)
    lefts = [s.bounds for s in flat(layer(drawing, "bars")) if isinstance(s, Rect)
             and s.style == LEFT_OVER]  # fmt: skip
    for roll in rolls(garage):
        boxes: list[Bounds] = []
        for order, piece in enumerate(roll.pieces, start=1):
            group = found[Thing("piece", roll.mark(order))]
            (box,) = (s.bounds for s in group.shapes if isinstance(s, Rect))
            of, length = [text.text for text in group.texts()]
            assert (of, inches(length)) == (piece.of, piece.length_in)
            assert not boxes or box.left == pytest.approx(boxes[-1].right)
            boxes.append(box)
        whole = 12 * (roll.line.package_ft or 0)
        rest = [one for one in lefts if one.left == pytest.approx(boxes[-1].right)
                and one.top == boxes[-1].top]  # fmt: skip
        end = rest[0].right if rest else boxes[-1].right
        share = (end - boxes[0].left) / whole
        for box, piece in zip(boxes, roll.pieces, strict=True):
            assert box.right - box.left == pytest.approx(share * piece.length_in)
        assert bool(rest) == (sum(piece.length_in for piece in roll.pieces) < whole)
    assert sorted(p.length_in for roll in rolls(garage) for p in roll.pieces) == sorted(
        p.length_in for line in cut for p in line.pieces
    )


def test_what_has_no_room_in_its_piece_stands_below(four_box):
    """250 ft (3,000 in) with pieces of 8 ft 4 in down to 2 in: the rest is 4 in."""
    lengths = (*[100] * 24, *[80] * 7, 30, 4, 2)
    (drawing,) = rolls_drawn(with_rolls(four_box, 250.0, lengths))
    assert faults(drawing) == []
    words = " ".join(said(drawing)).replace("\u00a0", " ")
    for number, length in enumerate(lengths, start=1):
        feet = f"{length // 12} ft" if length >= 12 else ""
        told = f"C{number}.1 {feet} {length % 12} in".replace("  ", " ")
        assert told in words or f"C{number}.1 {feet} " in words, told
    assert "left over: 4 in" in words


def test_hatching_stays_within_its_bar():
    box = Bounds(10, 20, 63, 48)
    lines = list(hatched(box, 6.0))
    assert len(lines) > 8
    for line in lines:
        assert line.style == HATCH
        for x, y in (line.start, line.end):
            assert 10 <= x <= 63 + 1e-9
            assert 20 - 1e-9 <= y <= 48 + 1e-9


def test_in_metric_no_piece_is_told_in_feet(garage):
    with printed_in("metric"):
        (drawing,) = rolls_drawn(garage)
    assert faults(drawing) == []
    bars = layer(drawing, "bars")
    inside = [text.text for group in bars.shapes if isinstance(group, Group)
              for text in group.texts()]  # fmt: skip
    assert not any(" ft" in text or " in" in text for text in inside)
    metres = sorted(float(t.removesuffix("\u00a0m")) for t in inside if t.endswith("m"))
    wanted = sorted(0.0254 * p.length_in for roll in rolls(garage) for p in roll.pieces)
    assert metres == pytest.approx(wanted, abs=0.001)
    assert any("50 ft (15.24 m)" in s.text for s in bars.shapes if isinstance(s, Text))


def test_many_sticks_go_on_on_another_sheet_under_their_heading(four_box):
    line = PurchaseLine(
        key="emt", item="EMT", packages=90, package="10 ft", package_ft=10.0, price_usd=1.0,
        cost_usd=90.0,
        pieces=tuple(CutPiece(of="R1", package=n, length_in=120) for n in range(1, 91)),
    )  # fmt: skip
    drawn = rolls_drawn(four_box.model_copy(update={"purchase": (line,)}))
    assert len(drawn) == 2
    assert sum(len(pieces(one)) for one in drawn) == 90
    for drawing in drawn:
        assert faults(drawing) == []
        assert "EMT · 90 of 10 ft" in said(drawing)
        assert max(s.bounds.bottom for s in flat(drawing.root) if isinstance(s, Rect)) < 1400


def test_nothing_to_cut_is_no_sheet(four_box):
    assert rolls_drawn(four_box) == []


def test_a_violation_and_hostile_names(violated):
    plan = with_rolls(violated, 50.0, (100, 50))
    (drawing,) = rolls_drawn(plan)
    assert any("DO NOT BUILD" in text for text in said(drawing))
    line = (plan.purchase or ())[0]
    for name in ("W" * 200, "<script>", "\u202egnihtemos", "very long " * 18):
        odd = line.model_copy(update={"item": name})
        (drawing,) = rolls_drawn(violated.model_copy(update={"purchase": (odd,)}))
        assert faults(drawing) == [], name


def test_a_piece_leads_to_its_row_and_the_row_back(garage):
    (sheet,) = sheet_set(garage, MARK, [PAGE])
    page = str(sheet.content)
    for roll in rolls(garage):
        for order in range(1, len(roll.pieces) + 1):
            mark = roll.mark(order)
            assert f'href="#row-piece-{mark}"' in page
            assert f'id="row-piece-{mark}"' in page
            back = re.search(rf'<a href="#([\w-]+)">{mark}</a>', page)
            assert back
            assert f'id="{back[1]}"' in page


def test_lines_are_straight_and_few(garage):
    """The bytes of a sheet stay small: no hatch line of no length."""
    (drawing,) = rolls_drawn(garage)
    for shape in flat(drawing.root):
        if isinstance(shape, Line):
            assert shape.start != shape.end
