"""The page: a whole plan as one HTML file that needs nothing else, on screen, phone and paper.

Plan in, text out: no clock, no scripts, no request to anywhere. All text is escaped.
"""

from collections.abc import Callable, Iterable
from html import escape
from importlib.resources import files
from typing import Final

from branchwright import cautions
from branchwright.measures import whole_length
from branchwright.metric_sentences import sentence
from branchwright.sheets.binding import binding_table
from branchwright.sheets.box_schedule import box_schedule
from branchwright.sheets.changeovers import changeover_table
from branchwright.sheets.circuit_directory import circuit_directory
from branchwright.sheets.display import Drawing
from branchwright.sheets.findings import findings_table, open_questions
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.later_machines import later_machine_table
from branchwright.sheets.legs import leg_loads
from branchwright.sheets.load_calculation import load_calculation
from branchwright.sheets.machines import machine_table
from branchwright.sheets.outlets import outlet_table
from branchwright.sheets.panel_face import panel_face
from branchwright.sheets.passages import passages
from branchwright.sheets.pull_list import pull_list
from branchwright.sheets.purchase import cutting_plan, purchase
from branchwright.sheets.raceway_ledger import raceway_ledger
from branchwright.sheets.sheet import shop_name
from branchwright.sheets.switches import switch_table
from branchwright.sheets.table import Column, Table
from branchwright.sheets.taken_apart import taken_apart
from branchwright.sheets.takeoff import takeoff
from branchwright.sheets.text_size import held
from branchwright.sheets.worst_states import worst_states
from branchwright.words import clean, dollars, local_answer_words, plain
from models.plan import Plan
from models.plan_file import page_mark
from models.rules import RULES

CHECKS: Final = len(RULES)
SHEET: Final = '<div class="sheet"'
NO_BREAK: Final = 20
NO_BREAK_KEY: Final = 32
LONG: Final = 60  # letters; on a narrow screen such a cell takes both columns of a card
MANY_COLUMNS: Final = 10  # set smaller, so that they find room
POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'"


def page_html(plan: Plan, plan_sha256: str) -> str:
    """The page of a plan; `plan_sha256` is the hash of the `plan.json` it belongs to."""
    sections = [*_drawings(plan), *_tables(plan), *_rest(plan, plan_sha256)]
    body = [
        *_banner(plan),
        "<main>",
        *_head(plan),
        _contents(title for title, _ in sections),
        *(section(title, body, _stamp(plan)) for title, body in sections),
        "</main>",
    ]
    return document(f"{shop_name(plan)}: wiring plan", body, page_mark(plan_sha256))


def document(title: str, body: Iterable[str], mark: str = "") -> str:
    """A whole page around its body; the last thing in it says what it is for."""
    css = files("branchwright").joinpath("page.css").read_text(encoding="utf-8")
    *above, last = body
    parts = [
        "<!doctype html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        *([mark] if mark else []),
        f"<title>{escape(title)}</title>",
        f"<style>\n{css}</style>",
        "</head>",
        "<body>",
        *above,
        f"<footer><p>{escape(cautions.PLANNING_AID)}</p></footer>",
        last,
        "</body>",
        "</html>",
    ]
    return "\n".join(parts) + "\n"


def answer_page(
    title: str,
    head: Iterable[str],
    sections: Iterable[tuple[str, str]],
    banner: Iterable[str] = (),
) -> str:
    """A page that answers one question: its head, the cautions, then sections in order."""
    told = (section(name, text) for name, text in sections)
    return document(title, [*banner, "<main>", *head, cautions_html(), *told, "</main>"])


def cautions_html() -> str:
    """The cautions in the head of a page."""
    return f'<div class="cautions">{caution_lines()}</div>'


def caution_lines() -> str:
    """The cautions that every page carries, each a paragraph."""
    return "".join(f"<p>{escape(caution)}</p>" for caution in cautions.CAUTIONS)


def listed(lines: Iterable[str], *, marks: bool = True) -> str:
    """Sentences as a list; without marks where they have numbers of their own."""
    items = "".join(f"<li>{escape(clean(line))}</li>" for line in lines)
    look = "" if marks else ' class="plain"'
    return f"<ul{look}>{items}</ul>" if items else "<p>Nothing.</p>"


def stop_html(says: str) -> str:
    """Across the whole page: what is violated."""
    stop = f"<strong>{cautions.DO_NOT_BUILD}</strong> <span>{escape(says)}</span>"
    return f'<div class="stop">{stop}</div>'


def _anchor(title: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in title.lower())


def _contents(titles: Iterable[str]) -> str:
    """Links to all sections."""
    links = (f'<a href="#{_anchor(title)}">{escape(title)}</a>' for title in titles)
    return f"<nav>{' '.join(links)}</nav>"


def section(title: str, body: str, stamp: str = "") -> str:
    """A part of the page; a drawing prints its own title, so its heading is only read aloud."""
    look = ' class="drawn"' if body.startswith(SHEET) else ""
    heading = f"<h2>{escape(title)}{stamp}</h2>"
    return f'<section id="{_anchor(title)}"{look}>\n{heading}\n{body}\n</section>'


def _banner(plan: Plan) -> Iterable[str]:
    """Across the whole page when there is a violation."""
    if cautions.violations(plan.findings):
        yield stop_html(cautions.verdict(plan.findings, CHECKS))


def _stamp(plan: Plan) -> str:
    """On every section when there is a violation: pages of a print get parted."""
    if not cautions.violations(plan.findings):
        return ""
    return f' <span class="stamp">{cautions.DO_NOT_BUILD}</span>'


def _head(plan: Plan) -> Iterable[str]:
    """Title, verdict, cautions, key numbers."""
    note = clean(str(plan.source.shop.get("note", "")))
    yield f'<p class="kicker">Wiring plan · NEC {plan.made_by.edition}</p>'
    yield f"<h1>{escape(shop_name(plan))}</h1>"
    if note:
        yield f'<p class="lead">{escape(note)}</p>'
    verdict = escape(cautions.verdict(plan.findings, CHECKS))
    yield f'<p class="verdict">{verdict}</p>'
    if plan.made_by.status == "stopped":
        yield "<p>The work was stopped early: this is the best plan found until then.</p>"
    if words := cautions.gap_words(plan):
        yield f"<p>{escape(words)}</p>"
    yield cautions_html()
    yield f'<div class="numbers">{"".join(_numbers(plan))}</div>'
    yield f'<p class="note">{escape(_how_good(plan))}</p>'


def _numbers(plan: Plan) -> Iterable[str]:
    """The numbers people ask for first."""
    totals = plan.totals
    new = sum(circuit.life == "new" for circuit in plan.circuits)
    old = len(plan.circuits) - new
    spaces = sum(len(panel.spaces) for panel in plan.panels)
    invented = "invented " * plan.made_by.price_book.invented
    pairs = [
        (dollars(totals.material_cost_usd), f"material, {invented}prices of the book"),
        (f"{plain(totals.copper_lb, 1)} lb", "copper, grounds included"),
        (whole_length(totals.cable_ft), "cable to cut"),
        (f"{new} + {old}" if old else str(new), f"new{' and existing' * bool(old)} circuits"),
        (f"{totals.spaces_used} of {spaces}", "panel spaces taken"),
    ]
    return (f"<div><b>{escape(big)}</b><span>{escape(small)}</span></div>" for big, small in pairs)


def _how_good(plan: Plan) -> str:
    """What is known about the cost; a gap only where there is a true bound."""
    goal = plan.objective
    words = cautions.proved_words(goal).capitalize()
    if goal.gap is None or goal.proved == "global":
        return f"{words}."
    lower = f"{plain(100 * goal.gap, 1)} % lower"
    return f"{words}. The least possible {goal.minimize} is at most {lower}."


def sheet_html(drawing: Drawing, svg: str) -> str:
    """A drawing on a page; it can be moved, by keys too, where it is wider than the screen.

    On a phone it is as large as drawn: a point to the pixel.
    """
    return f'{SHEET} style="--full:{drawing.width:.0f}px" {_moves(drawing.says)}>{svg}</div>'


def _moves(says: str) -> str:
    """What lets a part of a page that may be wider than the screen be moved by keys."""
    return f'tabindex="0" role="group" aria-label="{escape(clean(says))}"'


def _sheet(drawing: Drawing) -> str:
    return sheet_html(drawing, drawing.svg())


def _drawings(plan: Plan) -> Iterable[tuple[str, str]]:
    yield "Floor plan", _sheet(floor_plan(plan))
    for panel in plan.panels:
        yield f"Panel {clean(panel.id)}", _sheet(panel_face(plan, panel))


def _tables(plan: Plan) -> Iterable[tuple[str, str]]:
    tables = [circuit_directory(plan), worst_states(plan), binding_table(plan), leg_loads(plan)]
    calculated = load_calculation(plan)
    tables += [calculated] if calculated.rows else []
    tables += [machine_table(plan), outlet_table(plan)]
    tables += [switch_table(plan)] if plan.switches else []
    tables += [pull_list(plan)]
    tables += [changeover_table(plan)] if plan.changeovers else []
    tables += [later_machine_table(plan)] if plan.later_machines else []
    tables += [taken_apart(plan)] if plan.removed else []
    tables += [box_schedule(plan)]
    tables += [raceway_ledger(plan)] if plan.raceways else []
    tables += [passages(plan)] if plan.passages else []
    tables += [takeoff(plan)]
    tables += [purchase(plan), cutting_plan(plan)] if plan.purchase else []
    tables += [findings_table(plan)]
    return ((table.title, table_html(table)) for table in tables)


def table_html(
    table: Table,
    cell: Callable[[str, str], str] = lambda column, text: escape(held(text)),
    anchor: Callable[[int], str] = lambda row: "",
) -> str:
    """A table as HTML; columns without any content are left out.

    `cell` gives the HTML of a text in a column, `anchor` the anchor of a row, counted from 0.
    """
    used = table.used_columns()
    if not table.rows:
        return "<p>None.</p>"
    heads = [_heading(table.columns[i]) for i in used]
    shares = table.shares if any(share is not None for share in table.shares) else ()
    if shares:
        heads.append('<th scope="col">Used</th>')
    body = []
    for number, row in enumerate(table.rows):
        mark = table.marks[number] if table.marks else ""
        cells = [_data(row[i], table.columns[i], cell, i == used[0]) for i in used]
        if shares:
            cells.append(f'<td class="u" data-label="Used">{_bar(shares[number])}</td>')
        look = f' class="{escape(mark)}"' if mark else ""
        look += f' id="{name}"' if (name := anchor(number)) else ""
        body.append(f"<tr{look}>{''.join(cells)}</tr>")
    note = f'<p class="note">{escape(table.note)}</p>' if table.note else ""
    foot = ""
    if table.foot:
        cells = [_data(table.foot[i], table.columns[i], cell) for i in used]
        cells += ["<td></td>"] if shares else []
        foot = f"<tfoot><tr>{''.join(cells)}</tr></tfoot>"
    many = ' class="many"' if len(used) >= MANY_COLUMNS else ""
    return (
        f'{note}<div class="scroll" {_moves(table.title)}>'
        f"<table{many}><thead><tr>{''.join(heads)}</tr></thead>"
        f"<tbody>\n{chr(10).join(body)}\n</tbody>{foot}</table></div>"
    )


def _heading(column: Column) -> str:
    if not column.name:
        return "<td></td>"
    look = ' class="n"' if column.right else ""
    return f'<th scope="col"{look}>{escape(column.name)}</th>'


def _data(text: str, column: Column, cell: Callable[[str, str], str], key: bool = False) -> str:
    """A cell; it names its column for narrow screens, where rows become cards."""
    short = "s" if len(text) <= NO_BREAK else ""
    short = short or "l" * (len(text) > LONG)
    look = ("k" if len(text) <= NO_BREAK_KEY else "k w") if key else "n" if column.right else short
    look = f' class="{look}"' if look else ""
    return f'<td{look} data-label="{escape(column.name)}">{cell(column.name, text)}</td>'


def _bar(share: float | None) -> str:
    """How much of a limit is used, as a bar and in words for those who cannot see it."""
    if share is None:
        return ""
    percent = f"{plain(100 * share, 0)} %"
    width = plain(min(100.0, 100 * share), 0)
    over = " over" if share > 1 else ""
    return f'<span class="bar{over}"><i style="width:{width}%"></i></span>{percent}'


def _rest(plan: Plan, plan_sha256: str) -> Iterable[tuple[str, str]]:
    """Assumptions, open questions, what was checked, provenance."""
    told = "".join(f"<li>{escape(sentence(clean(text)))}</li>" for text in plan.made_by.assumptions)
    answers = _pairs(local_answer_words(plan))
    yield "Assumptions", f"<ul>{told}</ul>{answers}"
    asked = open_questions(plan)
    yield "Not checked", _pairs(asked) if asked else "<p>The checks left no question open.</p>"
    checked = (
        (rule.title, f"{sentence(rule.says)} {rule.source_in(plan.made_by.edition)}.")
        for rule in RULES.values()
    )
    yield "What was checked", _pairs(checked)
    made = plan.made_by
    book = made.price_book
    versions = ", ".join(f"{name} {number}" for name, number in sorted(made.versions.items()))
    yield "Where this comes from", _pairs(
        [
            ("Made by", f"{made.tool} with {versions}"),
            ("Plan file", f"plan.json, SHA-256 {plan_sha256}"),
            ("Shop", f"SHA-256 {plan.source.sha256}"),
            ("Tables", f"SHA-256 {made.tables_sha256}"),
            ("Prices", f"{book.name}, {book.dated}, SHA-256 {book.sha256}"),
            ("Search", f"effort {made.effort}, seed {made.seed}, {made.status}, "
             + ("repeatable" if made.repeatable else "not repeatable")),
            *([("Started from", f"plan file, SHA-256 {made.started_from}")]
              if made.started_from else []),
        ]
    )  # fmt: skip


def _pairs(pairs: Iterable[tuple[str, str]]) -> str:
    rows = (f"<dt>{escape(key)}</dt><dd>{escape(clean(value))}</dd>" for key, value in pairs)
    return f"<dl>{''.join(rows)}</dl>"
