"""Findings on the terminal, place by place; what another edition changes; rules in words."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path
from typing import Final

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table

from branchwright import cautions
from branchwright.edition_change import EditionChange
from branchwright.explain import BASIS_WORDS, rule_words
from branchwright.places import Place, Places
from branchwright.sheets.findings import source_words, value_words
from branchwright.sheets.sheet import shop_name
from branchwright.words import clean
from models.plan import Finding, Plan
from models.rules import RULES
from models.rules.rule import RuleText

COLOURS: Final = {"violation": "bold red", "warning": "yellow"}
NAME_WIDTH: Final = 30


def findings_report(out: Console, path: Path, plan: Plan, findings: Sequence[Finding]) -> None:
    """What a check of its own found in a finished plan, place by place."""
    _head(out, path, plan)
    verdict_line(out, findings)
    out.print()
    findings_lines(out, findings, Places(plan))
    open_lines(out, findings)
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def edition_report(out: Console, path: Path, plan: Plan, change: EditionChange) -> None:
    """What changes for a plan under another edition than the one it was made for."""
    own, other, places = change.made_for, change.edition, Places(plan)
    _head(out, path, plan)
    out.print(f"Made for NEC {own}, its rules read again as NEC {other} has them.")
    verdict_line(out, change.after)
    read = sum(rule.basis != "plan" for rule in RULES.values())
    out.print(
        f"Read again: {read} rules of this tool's list, nothing else of the code. Circuits, sizes"
        f" and prices are still those chosen for {own}, and what the plan file claims of itself"
        f" was held against {own}."
    )
    if not change.comes and not change.goes:
        out.print("No finding comes and none goes.")
    out.print()
    moved = {now.key: f"in {own}: {escape(clean(was.source))}" for was, now in change.renumbered}
    differs = {now.key: f"in {own}: {finding_line(was)}" for was, now in change.changed}
    for title, findings in (
        (f"Comes with {other}", change.comes),
        (f"Goes with {other}", change.goes),
        (f"Stays, under another section of {other}", [now for _, now in change.renumbered]),
        (f"Stays, but differs under {other}", [now for _, now in change.changed]),
        ("Stays as it is", [now for now in change.same if now.severity != "not-checked"]),
    ):
        _groups(out, title, places.grouped(findings), moved | differs)
    asked = sum(finding.severity == "not-checked" for finding in change.same)
    out.print(f"Not checked under either edition: {asked} questions, listed without --edition.")
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def _head(out: Console, path: Path, plan: Plan) -> None:
    """What was checked."""
    out.print(f"[bold]{escape(shop_name(plan))}[/bold]  {escape(str(path))}", soft_wrap=True)


def rule_report(out: Console, rule: RuleText) -> None:
    """One rule in plain words."""
    out.print(f"[bold]{escape(rule.id)}[/bold]: {escape(rule.title)}")
    _pairs(out, rule_words(rule))


def rules_report(out: Console) -> None:
    """Every rule with its title, law first."""
    for basis, words in BASIS_WORDS.items():
        rules = sorted((r for r in RULES.values() if r.basis == basis), key=lambda rule: rule.id)
        out.print(f"[bold]{escape(words[0].upper() + words[1:])}[/bold]")
        memory = {True: " (from memory)", False: ""}
        _pairs(out, ((rule.id, rule.title + memory[rule.rests_on_memory]) for rule in rules))
        out.print()


def _pairs(out: Console, pairs: Iterable[tuple[str, str]]) -> None:
    """Names and what is said of them, in two columns."""
    lines = Table.grid(padding=(0, 2, 0, 0))
    lines.add_column(max_width=NAME_WIDTH, overflow="fold")
    lines.add_column(overflow="fold")
    for name, says in pairs:
        lines.add_row(escape(clean(name)), escape(clean(says)))
    out.print(Padding(lines, (0, 0, 0, 2), expand=False))


def findings_lines(out: Console, findings: Iterable[Finding], places: Places | None = None) -> None:
    """Each finding with its limit, its source and the next step, without the open questions.

    With `places` they stand under what a person can walk to, the place with the worst one first.
    """
    told = [finding for finding in findings if finding.severity != "not-checked"]
    groups = places.grouped(told) if places else [(None, told)] if told else []
    _groups(out, "Findings", groups, {})


def _groups(
    out: Console,
    title: str,
    groups: Sequence[tuple[Place | None, list[Finding]]],
    was: Mapping[str, str],
) -> None:
    """Findings under the headings of their places; `was` adds a line to some, by key.

    Findings in a row with the same next step tell it once.
    """
    if not groups:
        return
    out.print(f"[bold]{escape(title)}[/bold]")
    for place, here in groups:
        if place:
            out.print(Padding(f"[bold]{escape(place.heading)}[/bold]", (0, 0, 0, 2), expand=False))
        lines = Table.grid(padding=(0, 2, 0, 0))
        lines.add_column(min_width=len("violation"))
        lines.add_column(overflow="fold")
        for fix, alike in groupby(here, key=lambda finding: finding.fix):
            for finding in alike:
                colour = COLOURS.get(finding.severity, "bold")
                lines.add_row(f"[{colour}]{finding.severity}[/{colour}]", finding_line(finding))
                if finding.key in was:
                    lines.add_row("", was[finding.key])
            if fix:
                lines.add_row("", f"next: {escape(clean(fix))}")
        out.print(Padding(lines, (0, 0, 0, 4 if place else 2), expand=False))
    out.print()


def finding_line(finding: Finding) -> str:
    """What was found, its limit and what it rests on, marked up for the terminal."""
    values = value_words(finding)
    says = escape(clean(finding.says) + (f" ({values})" if values else ""))
    return f"{says} [dim]{escape(f'[{finding.rule}: {source_words(finding)}]')}[/dim]"


def open_lines(out: Console, findings: Iterable[Finding]) -> None:
    """What was not checked; questions with the same next step stand together."""
    asked: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.severity == "not-checked":
            asked.setdefault(finding.fix, []).append(finding)
    if not asked:
        return
    out.print("[bold]Not checked[/bold]")
    _pairs(out, _question_lines(asked))
    out.print()


def _question_lines(asked: Mapping[str, list[Finding]]) -> Iterator[tuple[str, str]]:
    """Open questions and, once for those that share it, the next step."""
    for fix, questions in asked.items():
        yield from ((finding.where, finding.says) for finding in questions)
        if fix:
            yield "", f"next: {fix}"


def verdict_line(out: Console, findings: Sequence[Finding]) -> None:
    """The sentence at the top; DO NOT BUILD in front of it when there is a violation."""
    says = cautions.verdict(findings, len(RULES))
    if cautions.violations(findings):
        out.print(f"[bold red]{cautions.DO_NOT_BUILD}[/bold red]  {escape(says)}")
    else:
        out.print(escape(says))
