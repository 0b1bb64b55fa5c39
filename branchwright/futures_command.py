"""The command `futures`: every combination of what may come, and what gives way first in each."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from branchwright.leaving import as_json, echo_json, fail

if TYPE_CHECKING:
    from models.plan import Plan
    from solver.futures import Future, Futures


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@as_json
def futures(plan: Path, as_json: bool) -> None:
    """Say for every combination of changeovers and machines to come what PLAN still holds.

    For each: how likely it is, the load calculation, the heavier leg in its worst state, panel
    spaces, raceways, and what gives way first. What may come is `later` in the shop file; of more
    than six the likeliest are combined.

    \b
    Example:  branchwright futures shop.plan
    """
    from models.plan_file import PlanFileError, read_plan

    try:
        read = read_plan(plan)
    except PlanFileError as error:
        fail(str(error), as_json)

    from solver.futures import Futures

    found = Futures(read)
    every = found.all()
    if as_json:
        from branchwright.futures_document import futures_document

        echo_json(futures_document(plan, found, every))
    else:
        _report(read, found, every)
    sys.exit(0)


def _report(plan: "Plan", found: "Futures", every: "tuple[Future, ...]") -> None:
    """The answer on the terminal."""
    from rich.markup import escape

    from branchwright import cautions
    from branchwright.sheets.futures import NARROW, futures_table, percent
    from branchwright.sheets.sheet import shop_name
    from branchwright.terminal import console, print_table
    from branchwright.words import amps, clean

    out, names = console(), {one.id: one.name for one in found.coming}
    out.print(f"[bold]{escape(shop_name(plan))}[/bold]  NEC {plan.made_by.edition}\n")
    table = futures_table(every, names)
    print_table(out, table if out.width >= 118 else table.only(NARROW), range(len(table.columns)))
    holding = [future for future in every if future.holds]
    odds = percent(sum(future.likelihood for future in holding))
    out.print(f"Nothing gives way in {len(holding)} of {len(every)}, together {odds} likely.")
    worst = max(every, key=lambda future: future.of("leg")[0].found).of("leg")[0]
    out.print(f"The heaviest state: {escape(clean(worst.says))} = {amps(worst.found)}.")
    laid = sorted({one.says for future in every for one in future.of("raceway") if not one.limit})
    for says in laid:
        out.print(f"Raceways: {escape(clean(says))}.")
    if found.left_out:
        out.print(f"{found.left_out} less likely things are not combined.")
    out.print(
        "Likelihoods are taken as independent. A new circuit goes to panel"
        f" {escape(clean(found.panel.id))}; heat and voltage drop of what comes are not worked out:"
        " plan it to know."
    )
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")
