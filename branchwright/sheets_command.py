"""The command `sheets`: drawings and papers of a plan, each file whole, as a set in a folder."""

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from branchwright.leaving import as_json, echo_json, exit_code, fail, undisturbed

if TYPE_CHECKING:
    from branchwright.sheet_set import Sheet

SET_NAME = "sheets.json"
FORMAT = "branchwright-sheets/1"
LARGER = {"letter": "tabloid", "a4": "a3"}  # the paper of the drawings, by that of the tables
PAPERS = tuple(LARGER)


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "-o", "--output", metavar="DIR", required=True, type=click.Path(path_type=Path),
    help="Folder for the set: a new or empty one, or one with an older set.",
)  # fmt: skip
@click.option("--only", metavar="NAME,…", default="", help="These sheets alone.")
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
    plan: Path, output: Path, only: str, paper: str, drawings_on: str | None, as_json: bool
) -> None:
    """Write drawings (SVG, PDF) and papers (CSV, PDF, all in one XLSX) of PLAN into a folder.

    \b
    Drawings:  floor, circuits, panels, one-line, sections, elevations, and as large as
               they are printed: cards (for panel doors), label-sheets
    Papers:    directory, door-card, labels, pull-list, boxes, raceways, load, takeoff,
               purchase, cutting, findings, and workbook for all of them in one file
    Both:      packet, the permit packet: one PDF, open questions on top

    Sheets of another plan that an earlier set left in the folder are taken away. With any
    violation every sheet says DO NOT BUILD; exit code 1.

    \b
    Examples:  branchwright sheets shop.plan -o shop.sheets
               branchwright sheets shop.plan -o shop.sheets --only one-line,pull-list,labels
               branchwright sheets shop.plan -o shop.sheets --only packet --paper a4
    """
    from branchwright.pdf.page import OnPaper
    from branchwright.sheet_set import sheet_set
    from models.plan_file import PlanFileError, read_plan, sha256_file

    wanted = _wanted(only)
    try:
        made = read_plan(plan)
    except PlanFileError as error:
        fail(str(error), as_json)
    before = _before(output, as_json)
    mark = sha256_file(plan)
    on = OnPaper(paper, drawings_on or LARGER[paper])
    written = list(sheet_set(made, mark, wanted, on))
    try:
        gone = _write(output, written, before, mark, partly=bool(wanted))
    except OSError as error:
        why = error.strerror or type(error).__name__
        fail(f"{output}: cannot be written ({why}): name another folder, `-o DIR`", as_json)
    stop = exit_code(made.findings)
    if as_json:
        violations = sum(finding.severity == "violation" for finding in made.findings)
        echo_json(_document(plan, output, mark, written, gone, violations))
    else:
        _report(output, written, gone, stop=bool(stop))
    sys.exit(stop)


def _wanted(only: str) -> list[str]:
    """The names after `--only`; misuse names the closest."""
    from difflib import get_close_matches

    from branchwright.sheet_set import NAMES

    wanted = [name for name in (part.strip() for part in only.split(",")) if name]
    for name in wanted:
        if name not in NAMES:
            near = get_close_matches(name, NAMES, n=3) or list(NAMES)
            raise click.UsageError(f"--only: no sheet {name!r}: {', '.join(near)}")
    return wanted


def _before(folder: Path, as_json: bool) -> dict[str, str]:
    """The files of an older set in the folder, each with the plan it shows; refuse others."""
    if folder.exists() and not folder.is_dir():
        fail(f"{folder}: is a file: name a folder with `-o DIR`", as_json)
    there = sorted(item.name for item in folder.iterdir()) if folder.is_dir() else []
    if not there:
        return {}
    try:
        data = json.loads((folder / SET_NAME).read_text(encoding="utf-8"))
        files = {str(name): str(mark) for name, mark in data["files"].items()}
        ours = data["format"] == FORMAT
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        ours = False
    if not ours:
        fail(
            f"{folder}: holds {', '.join(there[:3])} and no set of sheets ({SET_NAME}):"
            " name an empty or new folder with `-o DIR`",
            as_json,
        )
    return {name: mark for name, mark in files.items() if Path(name).name == name != SET_NAME}


def _write(
    folder: Path, written: "list[Sheet]", before: dict[str, str], mark: str, *, partly: bool
) -> list[str]:
    """Write the files, the list of them last; take away those that no longer belong here."""
    from models.plan_file import write_whole

    now = {sheet.file: mark for sheet in written}
    kept = {name for name, of in before.items() if partly and of == mark} - set(now)
    gone = sorted(set(before) - set(now) - kept)
    files = dict(sorted({**dict.fromkeys(kept, mark), **now}.items()))
    told = {"format": FORMAT, "plan_sha256": mark, "files": files}
    with undisturbed():
        folder.mkdir(parents=True, exist_ok=True)
        # First all that was and will be here, so that a stop in between leaves nothing unknown.
        both = {**told, "files": dict(sorted({**before, **files}.items()))}
        write_whole(folder / SET_NAME, json.dumps(both, indent=1) + "\n")
        for name in gone:
            (folder / name).unlink(missing_ok=True)
        for sheet in written:
            write_whole(folder / sheet.file, sheet.content)
        write_whole(folder / SET_NAME, json.dumps(told, indent=1) + "\n")
    return gone


def _document(
    plan: Path, folder: Path, mark: str, written: "list[Sheet]", gone: list[str], violations: int
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
    }


def _report(folder: Path, written: "list[Sheet]", gone: list[str], *, stop: bool) -> None:
    """The answer in words."""
    from branchwright.cautions import DO_NOT_BUILD, PLANNING_AID

    for sheet in written:
        click.echo(f"{folder / sheet.file}  {sheet.title}")
    for name in gone:
        click.echo(f"taken away, of another plan or no longer in the set: {name}", err=True)
    if stop:
        click.echo(f"{DO_NOT_BUILD}: the checks found violations; every sheet says so.")
    click.echo(PLANNING_AID)
