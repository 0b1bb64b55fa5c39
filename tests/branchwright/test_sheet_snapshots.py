"""What every sheet of a plan says, word for word, held against what was read and found right.

Only our own output is the standard here: a change of words or numbers is seen, a missing snapshot
fails. `pytest tests/branchwright/test_sheet_snapshots.py --snapshot-update` writes them anew; read
the difference before it is kept.
"""

import io
from collections.abc import Iterator
from html.parser import HTMLParser
from xml.etree import ElementTree

import pypdf
import pytest

from branchwright.sheet_set import PACKET, Sheet, sheet_set
from branchwright.sheets.text_size import NO_BREAK_SPACE
from tests.plan_files import plan_on_file

MARK = "0123456789abcdef" * 4
FORMS = ("svg", "dxf", "csv", "html")  # PDF and workbook say the same, and are read back elsewhere
PLANS = ("one_bay_garage", "two_changeovers", "machines_to_come")
ROLLS = ("rolls", "cutting")
SVG = "{http://www.w3.org/2000/svg}"
BLOCKS = {"p", "h1", "h2", "h3", "tr", "li", "dt", "dd", "section", "footer", "strong"}
QUIET = {"style", "svg"}  # drawings are told sheet by sheet


@pytest.mark.parametrize("name", PLANS)
def test_every_sheet_says_what_it_said(name, snapshot):
    plan = plan_on_file(name)
    sheets = (*sheet_set(plan, MARK, forms=FORMS), *sheet_set(plan, MARK, [PACKET]))
    told = {sheet.file: "\n".join(said(sheet)) for sheet in sheets}
    assert len(told) > 20
    for file, text in told.items():
        assert text == snapshot(name=file)


def test_rolls_say_what_they_said(snapshot):
    """The plans above buy nothing in rolls."""
    plan = plan_on_file("cut_of_rolls")
    told = {one.file: "\n".join(said(one)) for one in sheet_set(plan, MARK, ROLLS, forms=FORMS)}
    assert set(told) == {"rolls_and_sticks_01.svg", "cutting_plan.csv"}
    for file, text in told.items():
        assert text == snapshot(name=file)


def test_room_kept_says_what_it_said(snapshot):
    """Raceways twice, a run capped in its box, pull strings: none of it is in the plans above."""
    plan = plan_on_file("room_kept")
    asked = ("sections", "raceways", "make-up", "boxes", "joints", "pull-list", "scope", "floor")
    told = {one.file: "\n".join(said(one)) for one in sheet_set(plan, MARK, asked, forms=FORMS)}
    assert len(told) > len(asked)
    for file, text in told.items():
        assert text == snapshot(name=file)


def said(sheet: Sheet) -> Iterator[str]:
    """The texts of a sheet in their order."""
    if isinstance(sheet.content, bytes) and sheet.name == PACKET:
        pages = pypdf.PdfReader(io.BytesIO(sheet.content)).pages
        yield from (page.extract_text() for page in pages)
    elif isinstance(sheet.content, bytes):
        lines = sheet.content.decode("cp1252").splitlines()
        tags = zip(lines[::2], lines[1::2], strict=True)
        yield from (value for code, value in tags if code == "1")
    elif sheet.file.endswith(".svg"):
        yield from _drawn(ElementTree.fromstring(sheet.content))
    elif sheet.file.endswith(".html"):
        reader = _Reader()
        reader.feed(sheet.content)
        yield from (line for line in map(str.strip, "".join(reader.told).splitlines()) if line)
    else:
        yield from sheet.content.splitlines()


def _drawn(svg: ElementTree.Element) -> Iterator[str]:
    """Layer by layer."""
    for layer in svg.iterfind(f"{SVG}g"):
        texts = [text.text or "" for text in layer.iter(f"{SVG}text")]
        if texts:
            yield f"{layer.get('class')}:"
            yield from (f"  {text}" for text in texts)


class _Reader(HTMLParser):
    """What a page says beside its drawings, and where links lead; a line for each part."""

    def __init__(self) -> None:
        super().__init__()
        self.told: list[str] = []
        self._within: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in BLOCKS:
            self.told.append("\n")
        if tag in ("td", "th"):
            self.told.append(" | ")
        if tag == "a" and not QUIET.intersection(self._within):
            self.told.append(f"[{dict(attrs)['href']}]")
        if tag not in ("meta", "use", "rect", "line", "polyline", "polygon", "circle"):
            self._within.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self._within:
            self._within.pop()
        if tag in BLOCKS:
            self.told.append("\n")

    def handle_data(self, data: str) -> None:
        if not QUIET.intersection(self._within):
            self.told.append(data.strip("\n").replace(NO_BREAK_SPACE, " "))
