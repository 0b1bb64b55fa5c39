"""The page of a set: every drawing, paper and changeover day in one HTML file, and nothing beside.

Plan in, text out: no clock, no scripts, no request to anywhere. On paper every sheet begins a page,
with its cautions and title block; with a violation DO NOT BUILD lies across every one.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from html import escape
from typing import Final

from branchwright import cautions
from branchwright.changeover_page import day_lead, day_parts
from branchwright.page import caution_lines, cautions_html, document, sheet_html, table_html
from branchwright.papers.paper import Paper
from branchwright.papers.paper_table import paper_table
from branchwright.set_links import Drawn, SetLinks, groups_in
from branchwright.sheets.display import Group, Thing, tag
from branchwright.sheets.sheet import shop_name
from branchwright.sheets.title_block import Block
from branchwright.words import clean
from models.changeover_day import Day
from models.plan import Plan
from models.plan_file import page_mark
from models.rules import RULES

CONTENTS: Final = "contents"
FOOT: Final = "foot"  # cautions: every sheet tells them itself
MOST_UPRIGHT: Final = 6  # columns on an upright page


def set_page(
    plan: Plan,
    plan_sha256: str,
    drawings: Sequence[tuple[str, Drawn]],
    papers: Sequence[Paper],
    days: Sequence[Day] = (),
) -> str:
    """The page; each drawing comes with its title, and carries its title block already."""
    block = Block.of(plan, plan_sha256)
    told = {f"changeover_day_{number:02}": day for number, day in enumerate(days, start=1)}
    on_day = {Thing("machine", clean(day.name)): anchor for anchor, day in told.items()}
    links = SetLinks(plan, [drawn for _, drawn in drawings], papers, on_day)
    body = [
        *_stop(block),
        "<main>",
        *_head(plan),
        _contents(
            {
                "Drawings": [(drawn.anchor, title) for title, drawn in drawings],
                "Papers": [(paper.name, paper.title) for paper in papers],
                "Changeover days": [(anchor, _day_title(day)) for anchor, day in told.items()],
            }
        ),
        *_drawings(drawings, links),
        *_papers(papers, links, block),
        *_days(told, block),
        "</main>",
    ]
    return document(f"{block.shop}: sheets", body, page_mark(plan_sha256))


def _stop(block: Block) -> Iterator[str]:
    """With a violation: above the page, and printed across every sheet of paper."""
    if block.stop:
        yield f'<div class="stop"><strong>{cautions.DO_NOT_BUILD}</strong> {block.stop}</div>'
        yield f'<div class="across" aria-hidden="true">{cautions.DO_NOT_BUILD}</div>'


def _head(plan: Plan) -> Iterator[str]:
    """Title, verdict, cautions."""
    yield f'<p class="kicker">Sheets · NEC {plan.made_by.edition}</p>'
    yield f"<h1>{escape(shop_name(plan))}</h1>"
    yield f'<p class="verdict">{escape(cautions.verdict(plan.findings, len(RULES)))}</p>'
    yield cautions_html()


def _contents(kinds: dict[str, list[tuple[str, str]]]) -> str:
    """Links to every sheet."""
    lists = []
    for kind, sheets in ((kind, sheets) for kind, sheets in kinds.items() if sheets):
        links = (f'<li><a href="#{anchor}">{escape(title)}</a></li>' for anchor, title in sheets)
        lists.append(f"<h3>{kind}</h3>\n<ul>{''.join(links)}</ul>")
    said = "\n".join(["<h2>Contents</h2>", *lists])
    return f'<nav class="contents" id="{CONTENTS}" aria-label="Contents">\n{said}\n</nav>'


def _leaf(anchor: str, title: str, look: str, body: str) -> str:
    """The section of a sheet."""
    back = f'<p class="back"><a href="#{CONTENTS}">Contents</a></p>'
    heading = f"<h2>{escape(title)}</h2>"
    return f'<section id="{anchor}" class="leaf {look}">\n{heading}\n{body}\n{back}</section>'


def _drawings(drawings: Sequence[tuple[str, Drawn]], links: SetLinks) -> Iterator[str]:
    """A section for each drawing, which has its title, cautions and title block in it."""
    writer = _Writer(links)
    made = [writer.written(drawn) for _, drawn in drawings]  # all, before the first is told
    for parts, (title, drawn) in zip(made, drawings, strict=True):
        svg = "".join(parts)
        look = "drawn true" if drawn.drawing.true_size else "drawn wide"
        yield _leaf(drawn.anchor, title, look, sheet_html(drawn.drawing, svg))


def _papers(papers: Iterable[Paper], links: SetLinks, block: Block) -> Iterator[str]:
    """A section for each paper; one of many columns is printed across."""
    for paper in papers:
        table = paper_table(paper)
        told = table_html(table, partial(links.cell, paper), partial(links.row_anchor, paper))
        look = "wide" if len(table.used_columns()) > MOST_UPRIGHT else "narrow"
        yield _leaf(
            paper.name, paper.title, look, f"{_stamp(block)}{told}\n{_foot(paper.title, block)}"
        )


def _days(days: Mapping[str, Day], block: Block) -> Iterator[str]:
    """A section for each changeover day, as on the page of its own."""
    for anchor, day in days.items():
        parts = (f"<h3>{escape(title)}</h3>\n{html}" for title, html in day_parts(day))
        body = "\n".join((*day_lead(day), *parts, _foot(_day_title(day), block)))
        yield _leaf(anchor, _day_title(day), "narrow", f"{_stamp(block)}{body}")


def _day_title(day: Day) -> str:
    return f"Changeover of {clean(day.name)}"


def _stamp(block: Block) -> str:
    """Above what is no drawing, with a violation."""
    return f'<p class="stamp">{cautions.DO_NOT_BUILD}: {block.stop}</p>\n' if block.stop else ""


def _foot(title: str, block: Block) -> str:
    """Cautions and title block of what is no drawing, as a drawing has them."""
    told = {"Sheet": title, "Shop": block.shop, "Code": block.edition, "Plan": block.mark}
    cells = (f"<div><dt>{key}</dt><dd>{escape(says)}</dd></div>" for key, says in told.items())
    return f'<div class="foot">{caution_lines()}<dl class="block">{"".join(cells)}</dl></div>'


class _Writer:
    """Writes drawings with links; groups that they share are written once, then referred to."""

    def __init__(self, links: SetLinks) -> None:
        self._links = links
        self._first: dict[int, _First] = {}
        self._named = 0

    def written(self, drawn: Drawn) -> list[str]:
        """A drawing, in parts."""
        return drawn.drawing.written(partial(self._opened, drawn))

    def _opened(self, drawn: Drawn, parts: list[str], group: Group) -> str | None:
        """A link, a reference to what is there already, or a group."""
        if attributes := self._links.of_group(drawn, group):
            parts.append(tag("a", attributes))
            return "</a>"
        if first := self._first.get(id(group)):
            if not first.name:
                self._named += 1
                first.name = f"part-{self._named}"
                opens = first.parts[first.place]
                first.parts[first.place] = f'{opens[:-1]} id="{first.name}">'
            parts.append(tag("use", {"href": f"#{first.name}"}, " />"))
            return None
        if (
            group.shapes
            and group.name != FOOT
            and not any(inner.about for inner in groups_in(group))
        ):
            self._first[id(group)] = _First(group, parts, len(parts))
        parts.append(tag("g", {"class": group.name} if group.name else {}))
        return "</g>"


@dataclass
class _First:
    """Where a group is written that others may refer to, once it has a name."""

    group: Group
    parts: list[str]
    place: int
    name: str = ""
