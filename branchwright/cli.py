"""The command line: read, call one function, print. Results on stdout, notes on stderr.

Heavy libraries are imported inside the commands, so that help is quick.
"""

import gc
import json
import os
import sys
from importlib.metadata import version
from math import isfinite
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any

import click

from branchwright.bound_report import inspect_bound
from branchwright.changeover_command import changeover
from branchwright.compare_command import compare
from branchwright.futures_command import futures
from branchwright.inspecting import SHOP_SUFFIXES, Form, explain_rule, inspect_plan, inspect_shop
from branchwright.leaving import (
    INTERRUPTED,
    MISUSE,
    VIOLATIONS,
    as_json,
    ctrl_c_noted,
    echo_json,
    every_letter_shown,
    exit_code,
    fail,
    interrupted,
)
from branchwright.sheets_command import sheets
from models.formulas.editions import EDITIONS

if TYPE_CHECKING:
    from models.shop import Shop
    from solver.older import Older

SELDOM = 200_000


class Finite(click.FloatRange):
    """A number of a range, and neither `nan` nor `inf`."""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The number; what is none is refused with what to write."""
        number: float = super().convert(value, param, ctx)
        if not isfinite(number):
            self.fail(f"{value} is no finite number: write one, such as 60, or leave it out")
        return number


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 88})
@click.version_option(version("branchwright"), package_name="branchwright")
def cli() -> None:
    """Plan the wiring of a workshop: circuits, breakers, cable runs, and the papers to build from.

    A planning aid: local code, a licensed electrician and the inspector decide.
    """


@cli.command()
@click.argument("file", type=click.Path(path_type=Path), default=Path("shop.yaml"))
def new(file: Path) -> None:
    """Write a commented starter shop to FILE (shop.yaml), ready to plan.

    \b
    Example:  branchwright new barn.yaml
    """
    from importlib.resources import files

    from models.plan_file import write_whole

    text = files("branchwright").joinpath("starter.yaml").read_text(encoding="utf-8")
    if os.path.lexists(file):
        fail(f"{file}: is there already: name another file")
    try:
        write_whole(file, text)
    except OSError as error:
        fail(f"{file}: cannot be written ({error.strerror}): name another place")
    click.echo(f"{file} written: an invented shop to change into yours.")
    click.echo(f"Next:  branchwright plan {file}")


@cli.command()
@click.argument("shop", type=click.Path(path_type=Path))
def ids(shop: Path) -> None:
    """Write down the ids of the boxes in the rows of SHOP, so that they never change again.

    \b
    Example:  branchwright ids shop.yaml
    """
    from models.shop_file import ShopFileError
    from models.shop_writer import WriteError, write_ids

    try:
        rows = write_ids(shop)
    except (ShopFileError, WriteError) as error:
        fail(str(error))
    except OSError as error:
        fail(f"{shop}: cannot be written ({error.strerror}): nothing was changed")
    click.echo(f"{shop}: " + (f"ids of {', '.join(rows)} written" if rows else "all ids are there"))


@cli.command()
@click.argument("shop", type=click.Path(path_type=Path))
@click.argument("yokes", nargs=-1, required=True)
@click.option("--apart", is_flag=True, help="Each on another circuit, instead of on one.")
def pin(shop: Path, yokes: tuple[str, ...], apart: bool) -> None:
    """Pin YOKES of SHOP to one circuit, or with --apart to different ones; written into the file.

    \b
    Example:  branchwright pin shop.yaml N1.left N2.left
    """
    from models.shop_file import ShopFileError
    from models.shop_writer import WriteError, write_pin

    try:
        write_pin(shop, "apart" if apart else "together", yokes)
    except (ShopFileError, WriteError) as error:
        fail(str(error))
    except OSError as error:
        fail(f"{shop}: cannot be written ({error.strerror}): nothing was changed")
    click.echo(f"{shop}: {' and '.join(yokes)} pinned {'apart' if apart else 'together'}")


@cli.command()
@click.argument(
    "which", type=click.Choice(["shop", "plan", "events", "changeover", "compare", "futures"])
)
@click.option("--text", is_flag=True, help="Every key of a shop file in words.")
def schema(which: str, text: bool) -> None:
    """Print the JSON Schema of a shop file, of plan.json, of a line of `plan --events`, or of
    what `changeover`, `compare` or `futures` answer with --json.

    \b
    Examples:  branchwright schema shop > shop.schema.json
               branchwright schema shop --text
    """
    if text:
        from branchwright.shop_file_words import shop_file_text

        if which != "shop":
            raise click.UsageError("--text is for the shop file")
        click.echo(shop_file_text(), nl=False)
        return
    if which == "events":
        from branchwright.watching import events_schema

        click.echo(json.dumps(events_schema(), indent=1))
        return
    if which == "futures":
        from branchwright.futures_document import futures_schema

        click.echo(json.dumps(futures_schema(), indent=1))
        return
    from models import schema as schemas

    click.echo(json.dumps(getattr(schemas, f"{which}_schema")(), indent=1))


@cli.command()
@click.argument("shop", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Folder [NAME.plan].")
@click.option(
    "--effort", type=click.IntRange(1, 1000), default=10, show_default=True,
    help="Amount of work; the same effort gives the same plan.",
)  # fmt: skip
@click.option("--seconds", type=Finite(0.1), help="Stop after this wall-clock time [s].")
@click.option(
    "--seed", type=click.IntRange(0, 2**31 - 1), default=1, show_default=True,
    help="Start of the random search.",
)  # fmt: skip
@click.option(
    "--minimize", type=click.Choice(["cost", "copper"]), help="Instead of what the shop file says."
)
@click.option(
    "--gap", metavar="PERCENT", type=Finite(0, 100, max_open=True),
    help="End where no plan can be lower by more than this, as far as a bound is known.",
)  # fmt: skip
@click.option(
    "--from", "older", metavar="PLAN", type=click.Path(path_type=Path),
    help="Start from the circuits of an older plan, of this shop or of one it was changed from.",
)  # fmt: skip
@click.option(
    "--events", metavar="FILE", type=click.Path(path_type=Path),
    help="Progress as JSON, an object a line, to a .jsonl file; `-`: to standard error.",
)  # fmt: skip
@as_json
def plan(
    shop: Path,
    output: Path | None,
    effort: int,
    seconds: float | None,
    seed: int,
    minimize: str | None,
    gap: float | None,
    older: Path | None,
    events: Path | None,
    as_json: bool,
) -> None:
    """Plan SHOP: choose circuits, breakers and cable runs, check them, write plan and page.

    Ctrl-C keeps the best plan found so far, a second one leaves at once.

    \b
    Examples:  branchwright plan scenarios/one_bay_garage.yaml
               branchwright plan scenarios/one_bay_garage.yaml --minimize copper
               branchwright plan shop.yaml --gap 2 --events progress.jsonl
               branchwright plan shop.yaml --from shop.plan --effort 1 -o shop2.plan
    """
    began = monotonic()
    from branchwright.folder import FolderError, check_folder, folder_for, write_plan
    from branchwright.planning import read_to_plan

    if events is not None and str(events) != "-" and events.suffix.lower() != ".jsonl":
        raise click.UsageError(
            f"--events writes JSON lines: name a file that ends in .jsonl, or `-`, not {events}"
        )
    folder = folder_for(shop, output)
    try:
        check_folder(folder)
    except FolderError as error:
        fail(str(error), as_json)
    read, book = read_to_plan(shop, as_json)
    start = None if older is None else _older(older, read, as_json)
    if minimize is not None:
        from models.shop_edit import changed

        read = changed(read, [("prices.minimize", minimize)])

    from branchwright.solving import CtrlC, run_facts, solve
    from branchwright.watching import EventsError, watching
    from models.price_book import PriceBookError
    from solver.solve import Control

    try:
        with watching(events) as watchers:
            asked = None if gap is None else gap / 100
            control = Control(effort, seed, seconds, watchers, asked, start, began=began)
            with CtrlC(control) as ctrl_c:
                outcome = solve(read, book, control, watchers)
                made = outcome.plan
                if made is not None:
                    control.tell("writing the plan")
                    shown = control.known.certified(made.objective.lower_bound)
                    certificate = None if shown is None else shown.document(made)
                    write_plan(folder, made, run_facts(control), certificate, ctrl_c.undisturbed)
                control.tell("stopped" if control.cut_short else "finished")
    except (PriceBookError, FolderError, EventsError) as error:
        fail(str(error), as_json)
    if as_json:
        from branchwright.outcome_document import outcome_document

        echo_json(outcome_document(outcome, folder, stopped=control.cut_short))
    else:
        from branchwright.causes_report import causes_report
        from branchwright.terminal import console, plan_report

        if made is not None:
            plan_report(console(), made, folder)
        if outcome.causes:
            causes_report(console(), outcome.causes, outcome.least, stopped=control.cut_short)
        elif made is None:
            click.echo(_none_in_time(None if control.stopped else seconds), err=True)
    if control.stopped:
        sys.exit(INTERRUPTED)
    sys.exit(exit_code(made.findings) if made is not None else VIOLATIONS)


def _none_in_time(seconds: float | None) -> str:
    """What is said where the work ended before there was a plan; `seconds`: None after Ctrl-C."""
    if seconds is None:
        return "Stopped before a first plan was found; nothing was written. Plan again to have one."
    return (
        f"No plan was found within --seconds {seconds:g}; nothing was written, and it is not known"
        " whether there is one. Next: more seconds, or none: --effort alone then bounds the work."
    )


def _older(path: Path, shop: "Shop", as_json: bool) -> "Older":
    """The circuits of an older plan; what is no longer in the shop is told."""
    from branchwright.sound_plan import read_sound_plan
    from branchwright.words import some_of
    from models.plan_file import PlanFileError, sha256_file
    from solver.older import Older

    try:
        found = Older.of(read_sound_plan(path), sha256_file(path))
    except PlanFileError as error:
        fail(str(error), as_json)
    if gone := found.gone(shop):
        click.echo(f"{path}: no longer in this shop, left out: {some_of(gone)}", err=True)
    return found


@cli.command()
@click.argument("file", metavar="SHOP|PLAN", type=click.Path(path_type=Path), required=False)
@click.option(
    "--routes", metavar="SVG", type=click.Path(path_type=Path),
    help="SHOP: draw the room and the ways that runs can take.",
)  # fmt: skip
@click.option(
    "--edition", type=click.Choice([str(edition) for edition in EDITIONS]),
    help="Read the code's rules again under this edition of the NEC, and say what changes.",
)  # fmt: skip
@click.option(
    "--explain", metavar="[RULE]", is_flag=False, flag_value="all",
    help="Say what a rule asks, why, and where it stands; without RULE list them all.",
)  # fmt: skip
@click.option(
    "--bound", is_flag=True, help="PLAN: recheck what no plan costs less than, by its certificate."
)
@click.option(
    "--prices", metavar="FILE", type=click.Path(path_type=Path),
    help="With --bound: the price book PLAN was made with [the one that comes along].",
)  # fmt: skip
@as_json
@click.option("--sarif", "as_sarif", is_flag=True, help="One SARIF 2.1.0 document on stdout.")
def inspect(
    file: Path | None,
    routes: Path | None,
    edition: str | None,
    explain: str | None,
    bound: bool,
    prices: Path | None,
    as_json: bool,
    as_sarif: bool,
) -> None:
    """Say how SHOP (a .yaml file) is understood, or recheck PLAN (plan.json or its folder).

    A shop is looked at without planning it: what is odd or missing, and what is taken for granted.
    A plan is recomputed by itself: loads, sizes, fill and sums again. Findings stand under the
    circuit, box, raceway, machine or panel they belong to, the worst first.

    --edition asks what the rules of this tool would say under another edition; the plan stays the
    one made for its own.

    --bound rechecks by other code that no plan can cost less than PLAN says, from bound.json beside
    it; exit code 1 when that does not show it.

    \b
    Examples:  branchwright inspect scenarios/one_bay_garage.yaml --routes garage.svg
               branchwright inspect one_bay_garage.plan
               branchwright inspect one_bay_garage.plan --edition 2020
               branchwright inspect one_bay_garage.plan --sarif > garage.sarif
               branchwright inspect one_bay_garage.plan --bound
               branchwright inspect --explain box-fill
    """
    if as_json and as_sarif:
        raise click.UsageError("--json or --sarif: one document fits on standard output")
    if bound and (as_sarif or any(one is not None for one in (explain, routes, edition))):
        raise click.UsageError("--bound goes with --prices and --json only")
    if prices is not None and not bound:
        raise click.UsageError("--prices goes with --bound: rules are checked without prices")
    form: Form = "sarif" if as_sarif else "json" if as_json else "text"
    if explain is not None:
        if edition is not None or as_sarif:
            raise click.UsageError("--explain goes with --json only: it tells all editions")
        explain_rule(explain, as_json)
    elif file is None:
        raise click.UsageError("name a SHOP, a PLAN, or a rule with --explain")
    elif bound:
        inspect_bound(file, prices, as_json)
    elif routes is not None and (edition is not None or as_sarif):
        raise click.UsageError("--routes draws a shop, --edition and --sarif check circuits")
    elif routes is not None and routes.suffix.lower() != ".svg":
        raise click.UsageError(
            f"--routes writes a drawing: name a file that ends in .svg, not {routes}"
        )
    elif file.suffix.lower() in SHOP_SUFFIXES:
        inspect_shop(file, routes, edition, form)
    elif routes is not None:
        raise click.UsageError("--routes draws a SHOP: name a .yaml file")
    else:
        inspect_plan(file, edition, form)


@cli.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("circuit", required=False)
@as_json
def why(plan: Path, circuit: str | None, as_json: bool) -> None:
    """Say what binds each circuit of PLAN, what would be too much, and why not one circuit less.

    With CIRCUIT only that one. Everything is recomputed from the plan and its shop; exit code 1
    when the checks find a violation.

    \b
    Examples:  branchwright why one_bay_garage.plan
               branchwright why one_bay_garage.plan C4
    """
    from branchwright.sound_plan import read_sound_plan
    from models.plan_file import PlanFileError
    from models.price_book import PriceBook
    from models.rules import check_plan

    try:
        read = read_sound_plan(plan)
    except PlanFileError as error:
        fail(str(error), as_json)
    known = [one.id for one in read.circuits]
    if circuit is not None and circuit not in known:
        fail(f"{plan}: no circuit {circuit!r}: name one of {', '.join(known)}", as_json)
    findings = check_plan(read)

    from branchwright.why_report import Answers, why_document, why_report

    answers = Answers.of(read, circuit, PriceBook.read())
    if as_json:
        echo_json({"plan": str(plan), **why_document(read, answers)})
    else:
        from branchwright.terminal import console

        why_report(console(), read, answers, findings)
    sys.exit(exit_code(findings))


cli.add_command(changeover)
cli.add_command(compare)
cli.add_command(futures)
cli.add_command(sheets)


def main() -> None:
    """Entry point of the command: 130 when interrupted, quiet when the reader has gone."""
    gc.set_threshold(SELDOM)  # what is built here lives to the end: looking through it takes time
    every_letter_shown()
    pressed = ctrl_c_noted()
    try:
        code = cli.main(prog_name="branchwright", standalone_mode=False)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except (click.Abort, KeyboardInterrupt):
        interrupted()
    except OSError as error:  # standard output has gone, or takes no more
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            sys.exit(INTERRUPTED)
        click.echo(f"the answer cannot be written ({error.strerror})", err=True)
        sys.exit(MISUSE)
    except Exception:
        if not pressed:
            raise
        interrupted()  # a library made an error of its own of it
    finally:
        gc.freeze()
    sys.exit(code or 0)
