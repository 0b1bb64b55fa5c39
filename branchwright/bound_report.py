"""What `inspect --bound` does: the bound of a plan, rechecked from its certificate.

Heavy libraries are imported inside the functions, so that help is quick.
"""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from branchwright.leaving import VIOLATIONS, echo_json, fail

if TYPE_CHECKING:
    from models.plan import Plan
    from solver.bound.recheck import Rechecked

SMALL = (
    "no {name} is beside the plan: of a small shop the bound is what the solver proves over all"
    " circuits there can be, and it leaves no certificate"
)
NOTHING = "the plan claims no bound"


def inspect_bound(file: Path, prices: Path | None, as_json: bool) -> NoReturn:
    """Recheck what no plan is below, and say so; 1 where it is not shown."""
    from branchwright.sound_plan import read_sound_plan
    from models.plan_file import CERTIFICATE_NAME, PlanFileError, locate
    from models.price_book import PriceBook, PriceBookError

    try:
        plan = read_sound_plan(file)
        book = PriceBook.read(prices)
    except (PlanFileError, PriceBookError) as error:
        fail(str(error), as_json)
    certificate = locate(file).parent / CERTIFICATE_NAME
    if plan.objective.lower_bound is None:
        _tell(file, plan, None, NOTHING, as_json)
    if not certificate.is_file():
        _tell(file, plan, None, SMALL.format(name=CERTIFICATE_NAME), as_json)

    from solver.bound.recheck import CertificateError, recheck

    try:
        found = recheck(plan, certificate, book)
    except CertificateError as error:
        fail(str(error), as_json)
    _tell(file, plan, found, _how(found), as_json)


def _how(found: "Rechecked") -> str:
    """What was done, and what it shows."""
    what = f"{found.found:,.2f} {found.unit}"
    rows = f"{found.rows:,} rows of the relaxation, built anew from the plan's shop and the prices"
    if found.shown:
        return f"no plan is below {what}: added up in whole numbers over {rows}"
    return f"the certificate shows {what} only: added up in whole numbers over {rows}"


def _tell(
    file: Path, plan: "Plan", found: "Rechecked | None", says: str, as_json: bool
) -> NoReturn:
    """Say what was found, and leave."""
    goal = plan.objective
    shown = found is not None and found.shown
    if as_json:
        echo_json(
            {
                "plan": str(file),
                "bound": {
                    "claimed": goal.lower_bound,
                    "shown": shown,
                    "rechecked": None if found is None else round(found.found, 4),
                    "unit": goal.unit,
                    "value": goal.value,
                    "rows": None if found is None else found.rows,
                    "says": says,
                },
            }
        )
    else:
        claimed = "none" if goal.lower_bound is None else f"{goal.lower_bound:,.2f} {goal.unit}"
        click.echo(f"{file}: {goal.value:,.2f} {goal.unit}, bound {claimed}")
        click.echo(f"{'Shown' if shown else 'Not shown'}: {says}.")
        click.echo(
            "It covers every plan on the ways, boxes and junction boxes of this shop, with the"
            " builds and prices there are; it is about cost or copper alone."
        )
    sys.exit(0 if shown else VIOLATIONS)
