"""The command `sheets`: drawings and papers of a plan, each file whole, as a set in a folder."""

import hashlib
import json
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from branchwright.leaving import as_json, echo_json, exit_code, fail, undisturbed

if TYPE_CHECKING:
    from branchwright.measures import Units
    from branchwright.sheet_set import Sheet
    from branchwright.since import Since
    from models.plan import Plan

SET_NAME = "sheets.json"
FORMAT = "branchwright-sheets/1"
UNITS = ("feet", "metric")  # as `measures.Units`; a test holds them alike
LARGER = {"letter": "tabloid", "a4": "a3"}  # the paper of the drawings, by that of the tables
PAPERS = tuple(LARGER)


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "-o", "--output", metavar="DIR", type=click.Path(path_type=Path),
    help="Folder for the set: a new or empty one, or one with an older set.",
)  # fmt: skip
@click.option(
    "--units", type=click.Choice(UNITS), default=UNITS[0], show_default=True,
    help="Feet and inches, or metric with mm² beside AWG.",
)  # fmt: skip
@click.option(
    "--changed-from", "changed_from", metavar="OLD_PLAN", type=click.Path(path_type=Path),
    help="Mark and list what changed since an older plan of the shop.",
)  # fmt: skip
@click.option("--only", metavar="NAME|FORM,…", default="", help="These sheets or forms alone.")
@click.option("--show", metavar="NAME,…", default="", help="Print these papers; write nothing.")
@click.option(
    "--paper", type=click.Choice(PAPERS), default="letter",
    help="Paper of the tables in the PDFs: letter (the default) or a4.",
)  # fmt: skip
@click.option(
    "--drawings-on", type=click.Choice((*PAPERS, *LARGER.values())),
    help="Paper of the drawings in the PDFs; tabloid with letter, a3 with a4, if not said.",
)  # fmt: skip
@as_json
def sheets(
    plan: Path,
    output: Path | None,
    units: "Units",
    changed_from: Path | None,
    only: str,
    show: str,
    paper: str,
    drawings_on: str | None,
    as_json: bool,
) -> None:
    """Write drawings (SVG, PDF) and papers (CSV, PDF, all in one XLSX) of PLAN into a folder.

    And sheets.html: everything on one page, what is drawn and what is told linked both ways.

    \b
    Drawings:  floor, circuits, panels, one-line, sections, elevations, make-up (of boxes),
               matrix (what runs together), rolls (which piece is cut of which), and as large
               as they are printed: cards (for panel doors), fault-cards (to hang at the panel,
               6 by 4 in), label-sheets
    Papers:    directory, door-card, labels, pull-list, boxes, joints, raceways, load,
               together, takeoff, purchase, cutting, scope (for bidders), commissioning,
               fault-finding, changeovers, findings, and workbook for all of them in one file
    Pages:     page (all of it), changeover-pages (one for each machine whose changeover is
               prepared)
    Both:      packet, the permit packet: one PDF, open questions on top
    Forms:     svg, pdf, dxf (the floor plan, for exchange), csv, xlsx, html

    With --changed-from: clouds on drawings round what changed, numbered; the list of the numbers
    in words (changes); and only those labels that read otherwise (reprint).

    The plan is checked again first. With any violation every sheet says DO NOT BUILD; exit code 1.
    Sheets of another plan that an earlier set left in the folder are taken away, unless somebody
    changed them since; what was changed is not written over either.

    \b
    Examples:  branchwright sheets shop.plan -o shop.sheets
               branchwright sheets shop.plan -o shop.sheets --only one-line,pull-list,labels
               branchwright sheets shop.plan --show fault-finding
               branchwright sheets shop.plan -o shop.sheets --only floor,dxf --units metric
               branchwright sheets shop.plan -o shop.sheets --changed-from older.plan
               branchwright sheets shop.plan -o shop.sheets --only packet --paper a4
    """
    from branchwright.measures import printed_in
    from branchwright.pdf.page import OnPaper
    from branchwright.sheet_set import sheet_set
    from branchwright.sheets_asked import papers_of, wanted_of
    from branchwright.sound_plan import read_sound_plan
    from models.plan_file import PlanFileError, sha256_file

    marked = changed_from is not None
    wanted, shown = wanted_of(only, marked=marked), papers_of(show, marked=marked)
    if bool(shown) == (output is not None) or (shown and only):
        raise click.UsageError("say `-o DIR` to write the set, or `--show NAME` to print papers")
    try:
        made = _checked(plan, read_sound_plan(plan))
    except PlanFileError as error:
        fail(str(error), as_json)
    since = None if changed_from is None else _since(changed_from, made, as_json)
    if output is None:
        with printed_in(units):
            _show(plan, made, shown, since, as_json)
    before = _Before.of(output, as_json)
    mark = sha256_file(plan)
    on = OnPaper(paper, drawings_on or LARGER[paper])
    with printed_in(units):
        written = sheet_set(made, mark, wanted.names, on, since, wanted.forms)
    try:
        if theirs := before.theirs(sheet.file for sheet in written):
            says = f"{output}: {', '.join(theirs[:3])}: not as an earlier set wrote it:"
            fail(f"{says} move it elsewhere, or name another folder with `-o DIR`", as_json)
        gone, left = _write(output, written, before, mark, partly=bool(only))
    except OSError as error:
        why = error.strerror or type(error).__name__
        fail(f"{output}: cannot be written ({why}): name another folder, `-o DIR`", as_json)
    stop = exit_code(made.findings)
    if as_json:
        violations = sum(finding.severity == "violation" for finding in made.findings)
        echo_json(_document(plan, output, mark, written, gone, left, violations))
    else:
        _report(output, written, gone, left, stop=bool(stop))
    sys.exit(stop)


def _checked(path: Path, plan: "Plan") -> "Plan":
    """The plan with what a check finds now: sheets to build from do not take the file's word."""
    from models.rules import check_plan

    findings = check_plan(plan)
    if findings != plan.findings:
        says = "checked again: the sheets tell what was found now, not the findings in the file"
        click.echo(f"{path}: {says}", err=True)
    return plan.model_copy(update={"findings": findings})


def _since(path: Path, plan: "Plan", as_json: bool) -> "Since":
    """The older plan to mark changes from; leaves when it is none, or of another shop."""
    from branchwright.since import OtherShopError, Since
    from branchwright.sound_plan import read_sound_plan
    from models.plan_file import PlanFileError, sha256_file

    try:
        return Since.of(read_sound_plan(path), plan, sha256_file(path))
    except (PlanFileError, OtherShopError) as error:
        where = f"{path}: " if isinstance(error, OtherShopError) else ""
        fail(f"--changed-from: {where}{error}", as_json)


def _show(
    path: Path, plan: "Plan", names: tuple[str, ...], since: "Since | None", as_json: bool
) -> NoReturn:
    """Print papers, and leave."""
    from branchwright.cautions import violations
    from branchwright.paper_report import paper_document, paper_report
    from branchwright.sheet_set import papers_of
    from branchwright.terminal import console
    from models.plan_file import sha256_file

    count = len(violations(plan.findings))
    mark = sha256_file(path)
    papers = papers_of(plan, names, since)
    if as_json:
        told = {"plan": str(path), "plan_sha256": mark, "violations": count}
        echo_json({**told, "papers": [paper_document(paper) for paper in papers]})
    else:
        for paper in papers:
            paper_report(console(), paper, count)
    sys.exit(exit_code(plan.findings))


@dataclass(frozen=True)
class _Before:
    """An older set in a folder: `files`, each with the plan it shows, and what was written into
    each, SHA-256 as hexadecimal; not known of a set that was stopped half way.
    """

    folder: Path
    files: dict[str, str]
    sha256: dict[str, str]

    @classmethod
    def of(cls, folder: Path, as_json: bool) -> "_Before":
        """The set in a folder, empty in an empty one; refuse a folder that holds anything else."""
        try:
            if folder.exists() and not folder.is_dir():
                fail(f"{folder}: is a file: name a folder with `-o DIR`", as_json)
            there = sorted(item.name for item in folder.iterdir()) if folder.is_dir() else []
        except OSError as error:
            why = error.strerror or type(error).__name__
            fail(f"{folder}: cannot be read ({why}): name another folder, `-o DIR`", as_json)
        if not there:
            return cls(folder, {}, {})
        try:
            data = json.loads((folder / SET_NAME).read_text(encoding="utf-8"))
            files = {str(name): str(mark) for name, mark in data["files"].items()}
            sha256 = {str(name): str(mark) for name, mark in data.get("sha256", {}).items()}
            ours = data["format"] == FORMAT
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            ours = False
        if not ours:
            fail(
                f"{folder}: holds {', '.join(there[:3])} and no set of sheets ({SET_NAME}):"
                " name an empty or new folder with `-o DIR`",
                as_json,
            )
        known = {name: mark for name, mark in files.items() if name in there and name != SET_NAME}
        return cls(folder, known, sha256)

    def theirs(self, names: Iterable[str]) -> list[str]:
        """The files of these that are there and that no set wrote as they are now."""
        there = (name for name in names if (self.folder / name).exists())
        return [name for name in there if not self._is_ours(name)]

    def _is_ours(self, name: str) -> bool:
        if name not in self.files:
            return False
        path, wrote = self.folder / name, self.sha256.get(name)
        return wrote is None or (path.is_file() and _sha256(path.read_bytes()) == wrote)


def _sha256(content: str | bytes) -> str:
    """What a file holds, text in UTF-8, as a SHA-256 in hexadecimal."""
    data = content.encode() if isinstance(content, str) else content
    return hashlib.sha256(data).hexdigest()


def _write(
    folder: Path, written: "list[Sheet]", before: _Before, mark: str, *, partly: bool
) -> tuple[list[str], list[str]]:
    """Write the files, the list of them last; take away those that no longer belong here.

    Second: those that are left where they are, because no set wrote them as they are now.
    """
    from models.plan_file import write_whole

    now = {sheet.file: mark for sheet in written}
    kept = {name for name, of in before.files.items() if partly and of == mark} - set(now)
    no_more = sorted(set(before.files) - set(now) - kept)
    left = before.theirs(no_more)
    gone = [name for name in no_more if name not in left]
    stays = {name: wrote for name, wrote in before.sha256.items() if name not in now}
    wrote = {name: stays[name] for name in kept & stays.keys()}

    def listed(files: dict[str, str], sha256: dict[str, str]) -> str:
        told = {"format": FORMAT, "plan_sha256": mark, "files": files, "sha256": sha256}
        sections = {key: dict(sorted(x.items())) for key, x in told.items() if isinstance(x, dict)}
        return json.dumps({**told, **sections}, indent=1) + "\n"

    files = {**dict.fromkeys(kept, mark), **now}
    with undisturbed():
        folder.mkdir(parents=True, exist_ok=True)
        # First all that was and will be here, so that a stop in between leaves nothing unknown.
        write_whole(folder / SET_NAME, listed({**before.files, **files}, stays))
        for name in gone:
            (folder / name).unlink(missing_ok=True)
        for sheet in written:
            write_whole(folder / sheet.file, sheet.content)
        wrote |= {sheet.file: _sha256(sheet.content) for sheet in written}
        write_whole(folder / SET_NAME, listed(files, wrote))
    return gone, left


def _document(
    plan: Path,
    folder: Path,
    mark: str,
    written: "list[Sheet]",
    gone: list[str],
    left: list[str],
    violations: int,
) -> dict[str, Any]:
    """The answer for programs."""
    return {
        "plan": str(plan),
        "plan_sha256": mark,
        "folder": str(folder),
        "violations": violations,
        "files": [
            {"name": sheet.name, "file": sheet.file, "title": sheet.title} for sheet in written
        ],
        "taken_away": gone,
        "left_alone": left,
    }


def _report(
    folder: Path, written: "list[Sheet]", gone: list[str], left: list[str], *, stop: bool
) -> None:
    """The answer in words."""
    from branchwright.cautions import DO_NOT_BUILD, PLANNING_AID

    for sheet in written:
        click.echo(f"{folder / sheet.file}  {sheet.title}")
    for name in gone:
        click.echo(f"taken away, of another plan or no longer in the set: {name}", err=True)
    for name in left:
        click.echo(f"left where it is, not as an earlier set wrote it: {name}", err=True)
    if stop:
        click.echo(f"{DO_NOT_BUILD}: the checks found violations; every sheet says so.")
    click.echo(PLANNING_AID)
