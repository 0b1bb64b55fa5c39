"""The command `changeover`: the day a machine takes its other voltage, and the plan after it."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from branchwright.leaving import VIOLATIONS, as_json, echo_json, exit_code, fail, undisturbed

if TYPE_CHECKING:
    from models.changeover_day import ChangeoverDocument
    from models.plan import Plan

PAGES = (".html", ".htm")


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("machine")
@click.option(
    "-o", "--output", metavar="NEWPLAN", type=click.Path(path_type=Path),
    help="Folder for the plan as it is after the day.",
)  # fmt: skip
@click.option(
    "--page", metavar="FILE", type=click.Path(path_type=Path),
    help="The day as an HTML page to print and take along.",
)  # fmt: skip
@as_json
def changeover(
    plan: Path, machine: str, output: Path | None, page: Path | None, as_json: bool
) -> None:
    """Tell the day on which MACHINE of PLAN takes its other voltage: what is off, parts, steps,
    labels, checks, and the plan after it.

    The machine is one of `later.changeovers` in the shop file, for which the plan has kept a space
    or pulled a spare. Where it has not, the answer says what would be needed; exit code 1.

    \b
    Examples:  branchwright changeover shop.plan band-saw
               branchwright changeover shop.plan band-saw --page saw-day.html -o shop-240.plan
    """
    from branchwright.folder import FolderError, check_folder
    from branchwright.sound_plan import read_sound_plan
    from models.plan_file import PlanFileError

    if page is not None and page.suffix.lower() not in PAGES:
        raise click.UsageError(f"--page writes a page: name a file that ends in .html, not {page}")
    try:
        old = read_sound_plan(plan)
        if output is not None:
            _check_other(plan, output, as_json)
            check_folder(output)
    except (PlanFileError, FolderError) as error:
        fail(str(error), as_json)
    _check_known(plan, old, machine, as_json)

    from branchwright.changeover_report import changeover_report, refusal_report
    from branchwright.terminal import console
    from models.changeover_day import ChangeoverDocument, Refusal, WayOut, changeover_day
    from solver.changeover_refused import Refused
    from solver.changing_over import changed_over

    then = changed_over(old, machine)
    answer: dict[str, Any] = {"plan": str(plan)}
    if isinstance(then, Refused):
        ways = tuple(WayOut(**vars(way)) for way in then.ways)
        refused = Refusal(says=then.says, would=then.would, ways=ways)
        told = ChangeoverDocument(**answer, status="refused", refused=refused)
        if as_json:
            echo_json(told.model_dump(mode="json"))
        else:
            refusal_report(console(), old, machine, refused)
        sys.exit(VIOLATIONS)
    answer |= {"new_plan": output and str(output), "page": page and str(page)}
    told = ChangeoverDocument(**answer, status="ready", day=changeover_day(old, then, machine))
    _write(old, then, told, page, output, as_json)
    if as_json:
        echo_json(told.model_dump(mode="json"))
    else:
        changeover_report(console(), old, told)
    sys.exit(exit_code(then.findings))


def _check_other(plan: Path, output: Path, as_json: bool) -> None:
    """The plan in force is not written over: until the day it holds."""
    folder = plan if plan.is_dir() else plan.parent
    try:
        same = output.samefile(folder)
    except OSError:  # not there, or no folder can be: writing it says which
        return
    if same:
        fail(f"{output}: holds the plan as it is now: name another folder with `-o DIR`", as_json)


def _check_known(path: Path, plan: "Plan", machine: str, as_json: bool) -> None:
    """A machine that is in the plan; one by another name, or that is still to come, is told."""
    from difflib import get_close_matches

    known = [one.id for one in plan.machines]
    if machine in known:
        return
    drafts = [draft.machine for draft in plan.changeovers or ()]
    coming = [one["id"] for one in plan.source.shop.get("later", {}).get("machines", [])]
    if machine in coming:
        fail(
            f"{path}: {machine!r} is a machine that may come, not one that changes: `branchwright"
            f" futures {path}` says what it would take",
            as_json,
        )
    named = {(one.name or one.id).lower(): one.id for one in plan.machines}
    words = {**{name: name for name in (*drafts, *known, *coming)}, **named}
    near = dict.fromkeys(words[one] for one in get_close_matches(machine.lower(), words, n=3))
    closest = f"closest: {', '.join(near)}; " if near else ""
    listed = f"it tells changeovers of {', '.join(drafts)}" if drafts else "it tells no changeover"
    fail(f"{path}: no machine {machine!r}: {closest}{listed}", as_json)


def _write(
    old: "Plan",
    then: "Plan",
    told: "ChangeoverDocument",
    page: Path | None,
    output: Path | None,
    as_json: bool,
) -> None:
    """The page, and the folder of the new plan; each whole or not at all."""
    from branchwright.changeover_page import changeover_page
    from branchwright.folder import FolderError, write_plan
    from models.plan_file import write_whole

    try:
        if page is not None:
            text = changeover_page(old, told)
            with undisturbed():
                write_whole(page, text)
        if output is not None:
            write_plan(output, then, {"changed_from": told.plan}, None, undisturbed)
    except FolderError as error:
        fail(str(error), as_json)
    except OSError as error:
        why = error.strerror or type(error).__name__
        fail(f"{page}: cannot be written ({why}): name another file", as_json)
