"""What `inspect` does: a shop as it is understood, a plan checked again, a rule in words.

Heavy libraries are imported inside the functions, so that help is quick.
"""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NoReturn

import click

from branchwright.leaving import VIOLATIONS, echo_json, exit_code, fail

if TYPE_CHECKING:
    from models.plan import Plan
    from models.price_book import PriceBook
    from models.shop import Shop

Form = Literal["text", "json", "sarif"]

SHOP_SUFFIXES = (".yaml", ".yml")


def inspect_shop(file: Path, routes: Path | None, edition: str | None, form: Form) -> NoReturn:
    """How a shop is understood; one that is wired already is checked like a plan."""
    from models.price_book import PriceBook, PriceBookError, book_path
    from models.shop_file import ShopFileError, read_shop

    as_json = form == "json"
    try:
        shop = read_shop(file)
        book = PriceBook.read(book_path(file, shop.prices.book))
    except ShopFileError as error:
        fail(str(error), as_json, [vars(problem) for problem in error.problems])
    except PriceBookError as error:
        fail(str(error), as_json)
    if edition is not None or form == "sarif":
        _check_shop(file, shop, book, edition, form)
    from solver.survey import survey

    found = survey(shop, book)
    if routes is not None:
        from branchwright.sheets.shop_plan import shop_plan
        from models.plan_file import write_whole

        try:
            write_whole(routes, shop_plan(shop, found).svg())
        except OSError as error:
            fail(f"{routes}: cannot be written ({error.strerror}): name another file", as_json)
    if as_json:
        from branchwright.survey_report import survey_document

        echo_json(survey_document(file, shop, found))
    else:
        from branchwright.survey_report import survey_report
        from branchwright.terminal import console

        survey_report(console(), file, shop, found, routes)
    odd = any(remark.weight == "violation" for remark in found.remarks)
    sys.exit(VIOLATIONS if odd else exit_code(found.as_built or ()))


def _check_shop(
    file: Path, shop: "Shop", book: "PriceBook", edition: str | None, form: Form
) -> NoReturn:
    """Check the circuits of a shop that is wired already; another one has none to check."""
    from solver.scope import is_as_built

    if not is_as_built(shop):
        says = (
            f"{file}: not all of it is wired yet, and only circuits can be checked: plan it first"
        )
        fail(f"{says}, `branchwright plan {file}`, then inspect the plan", form == "json")
    from solver.as_built import as_built_plan

    _tell_checks(file, file, as_built_plan(shop, book), edition, form)


def inspect_plan(plan: Path, edition: str | None, form: Form) -> NoReturn:
    """Recheck a finished plan."""
    from models.plan_file import PlanFileError, locate, page_mismatch, read_plan

    try:
        read = read_plan(plan)
    except PlanFileError as error:
        fail(str(error), form == "json")
    _tell_checks(plan, locate(plan), read, edition, form, page_mismatch(plan))


def _tell_checks(
    named: Path,
    file: Path,
    plan: "Plan",
    edition: str | None,
    form: Form,
    mismatch: str | None = None,
) -> NoReturn:
    """Check a plan, under another edition too where one is asked for, and say what was found."""
    from branchwright.edition_change import EditionChange
    from models.rules import check_plan

    change = None if edition is None else EditionChange.of(plan, int(edition))
    findings = check_plan(plan) if change is None else change.after
    if form == "json":
        from branchwright.places import Places

        kind = "shop" if file.suffix.lower() in SHOP_SUFFIXES else "plan"
        changes = {} if change is None else change.document()
        rows = [finding.model_dump(mode="json") for finding in findings]
        places = Places(plan).document(findings)
        echo_json(
            {kind: str(named), **changes, "findings": rows, "places": places, "page": mismatch}
        )
    elif form == "sarif":
        from branchwright.sarif import sarif_log

        echo_json(sarif_log(file, plan, findings, change, mismatch))
    else:
        from branchwright.findings_report import edition_report, findings_report
        from branchwright.terminal import console

        if change is None:
            findings_report(console(), named, plan, findings)
        else:
            edition_report(console(), named, plan, change)
    if mismatch is not None:
        click.echo(mismatch, err=True)
    sys.exit(VIOLATIONS if mismatch else exit_code(findings))


def explain_rule(rule: str, as_json: bool) -> None:
    """Say what a rule asks, or list all."""
    from branchwright.explain import ALL, closest, rule_document
    from models.rules import RULES

    if rule not in (ALL, *RULES):
        near = ", ".join(closest(rule))
        says = f"no rule {rule!r}: " + (f"closest: {near}; " if near else "")
        fail(f"{says}`branchwright inspect --explain` lists them all", as_json)
    if as_json:
        rules = [rule_document(text) for text in RULES.values() if rule in (ALL, text.id)]
        echo_json({"rules": rules} if rule == ALL else rules[0])
        return
    from branchwright.findings_report import rule_report, rules_report
    from branchwright.terminal import console

    if rule == ALL:
        rules_report(console())
    else:
        rule_report(console(), RULES[rule])
