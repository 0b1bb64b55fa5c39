"""The terminal's first answer where no plan meets a shop: what is in the way, the least changes.

Causes are numbered, and each change says which of them it is for and what it costs.
"""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.table import Table as RichTable

from branchwright import cautions
from branchwright.words import clean, dollars, joined

if TYPE_CHECKING:
    from solver.causes import Cause, Remedy
    from solver.remedies import LeastChanges, Part

MOST_CHANGES = 6  # of one remedy, line by line
INDENT = 4
MOST_WORDS = 160  # letters of what is then in the way


def causes_report(
    out: Console,
    causes: Sequence["Cause"],
    least: "LeastChanges | None" = None,
    *,
    stopped: bool = False,
) -> None:
    """Why there is no plan, the least changes that lead to one, and what else was tried."""
    out.print("[bold]No plan was found that meets the shop as it is written.[/bold]")
    _in_the_way(out, causes, least)
    if least is not None:
        _least_changes(out, causes, least)
    _other_ways(out, causes, least)
    out.print("\n[bold]What next[/bold]")
    taken = set() if least is None else set(least.says)
    others = any(r.works and r.says not in taken for cause in causes for r in cause.remedies)
    out.print(_what_next(least, others=others, stopped=stopped))
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def _in_the_way(out: Console, causes: Sequence["Cause"], least: "LeastChanges | None") -> None:
    """Every cause with its number; those that others hide come last."""
    hidden = False
    out.print("\n[bold]What cannot be met[/bold]")
    for number, cause in enumerate(causes, 1):
        if cause.later and not hidden:
            hidden = True
            mended = "the first changes below" if least is not None else "these"
            out.print(f"  [dim]which comes to light with {mended}:[/dim]")
        _numbered(out, f"{number}", escape(clean(cause.says)))


def _numbered(out: Console, number: str, text: str) -> None:
    """A line with its number before it, folded beside it."""
    row = RichTable.grid(padding=(0, 1, 0, 0))
    row.add_column(justify="right", width=INDENT - 1)
    row.add_column(overflow="fold")
    row.add_row(number, text)
    out.print(row)


def _least_changes(out: Console, causes: Sequence["Cause"], least: "LeastChanges") -> None:
    """The full set, change by change, with prices and what goes into the shop file."""
    at = {(cause.reason, cause.where): number for number, cause in enumerate(causes, 1)}
    out.print("\n[bold]The least changes found that lead to a plan[/bold]")
    drawn = RichTable(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    drawn.add_column("")
    drawn.add_column("Change", overflow="fold")
    drawn.add_column("For", justify="right")
    drawn.add_column("Adds", overflow="fold", min_width=12)
    panels = {letter: letters[0] for _, letters in _same_panel(least.parts) for letter in letters}
    for letter, part in _lettered(least.parts):
        number, first = at.get((part.reason, part.where), ""), panels.get(letter, letter)
        adds = f"in the panel of {first}" if first != letter and not part.unpriced else _adds(part)
        drawn.add_row(letter, escape(clean(part.says)), f"{number}", escape(clean(adds)))
    out.print(drawn)
    out.print()
    out.print(_sum(least))
    for panel, letters in _same_panel(least.parts):
        named = f"{joined(letters[:-1])} and {letters[-1]}"
        out.print(f"{named} are one new {escape(clean(panel))}.")
    if len(least.parts) > 1 and least.each_needed:
        out.print("Each was left out once: no plan was found without it.")
    out.print("\n[bold]In the shop file[/bold]")
    for letter, part in _lettered(least.parts):
        for place, line in enumerate(change_lines(part.changes)):
            _numbered(out, letter if place == 0 else "", escape(line))


def _lettered(parts: Sequence["Part"]) -> Iterator[tuple[str, "Part"]]:
    """Changes by letter; causes have numbers."""
    for number, part in enumerate(parts):
        yield chr(ord("a") + number), part


def _adds(part: "Part") -> str:
    """What a change adds by itself; what no price book has is to be asked for."""
    told = [f"ask: {joined(part.unpriced)}"] if part.unpriced else []
    if part.adds_usd is not None and part.adds_usd > 0:
        told.insert(0, dollars(part.adds_usd))
    elif part.adds_usd:
        told.append(f"saves {dollars(-part.adds_usd)}")
    if part.gives_up:
        told.append("a wish is given up")
    return joined(told, "; ") or "nothing"


def _sum(least: "LeastChanges") -> str:
    """What the whole plan takes, and what of it no price book has."""
    takes = f"The plan then takes about {dollars(least.cost_usd)} of material in all"
    asked = dict.fromkeys(thing for part in least.parts for thing in part.unpriced)
    if not asked:
        return f"{takes}."
    named = escape(clean(joined(asked)))
    return f"{takes}. Not in it: {named}. No price book has them, ask a supplier or electrician."


def _same_panel(parts: Sequence["Part"]) -> Iterator[tuple[str, list[str]]]:
    """Changes that are all made by buying one panel."""
    letters: dict[str, list[str]] = {}
    for letter, part in _lettered(parts):
        for thing in dict.fromkeys(_panel_of(path) for path, _ in part.changes):
            if thing:
                letters.setdefault(thing, []).append(letter)
    yield from ((thing, found) for thing, found in letters.items() if len(found) > 1)


def _panel_of(path: str) -> str:
    """The panel that a change asks for another one of; empty for other changes."""
    thing, _, key = path.removeprefix("supply.panels[").partition("].")
    return f"panel {thing}" if key in ("bus", "main", "spaces") else ""


def _other_ways(out: Console, causes: Sequence["Cause"], least: "LeastChanges | None") -> None:
    """Remedies that are not in the full set, with what came of trying each."""
    taken = {part.says for part in least.parts} if least is not None else set()
    others = [
        (number, cause, [remedy for remedy in cause.remedies if remedy.says not in taken])
        for number, cause in enumerate(causes, 1)
    ]
    if any(remedies for _, _, remedies in others):
        title = "What else was thought of" if least is not None else "What might help"
        out.print(f"\n[bold]{title}[/bold]")
    usual_usd = None if least is None else least.cost_usd
    for number, cause, remedies in others:
        for place, remedy in enumerate(remedies):
            came = tried_words(remedy, cause.says, usual_usd)
            instead = _instead_of(cause, remedy, least)
            says = f"{instead}{escape(clean(remedy.says))}  [dim]({escape(clean(came))})[/dim]"
            if least is None or remedy.works:
                lines = "\n".join(change_lines(remedy.changes))
                says += f"\n[dim]{escape(lines)}[/dim]"
            _numbered(out, f"{number}" if place == 0 else "", f"• {says}")


def _instead_of(cause: "Cause", remedy: "Remedy", least: "LeastChanges | None") -> str:
    """The changes of the full set that a remedy which works takes the place of."""
    if least is None or not remedy.works:
        return ""
    mine = [
        (letter, part)
        for letter, part in _lettered(least.parts)
        if (part.reason, part.where) == (cause.reason, cause.where)
    ]
    same = [letter for letter, part in mine if part.things & remedy.things]
    return f"instead of {joined(same or [letter for letter, _ in mine], ' and ')}: "


def tried_words(remedy: "Remedy", cause: str = "", usual_usd: float | None = None) -> str:
    """What came of trying a remedy of a cause; its cost beside that of the least changes."""
    if remedy.works is None:
        return "not tried"
    if not remedy.works:
        still = remedy.leaves in ("", cause)
        return "tried: no help" if still else f"tried, and then: {_short(remedy.leaves)}"
    words = "tried: a plan exists then"
    if remedy.cost_usd is None:
        return words
    if usual_usd is None:
        words += f", {dollars(remedy.cost_usd)} of material"
    elif more := round(remedy.cost_usd - usual_usd, 2):
        words += f", {dollars(abs(more))} {'more' if more > 0 else 'less'}"
    else:
        words += ", as much of other material"
    priced = f"; not priced: {joined(remedy.unpriced)}" if remedy.unpriced else ""
    return words + priced


def _short(text: str) -> str:
    """The beginning of a long text, cut between words."""
    if len(text) <= MOST_WORDS:
        return text
    return text[:MOST_WORDS].rpartition(" ")[0] + " …"


def change_lines(changes: Sequence[tuple[str, Any]]) -> list[str]:
    """The changes of a remedy as they go into the shop file."""
    lines = [
        f"{_in_words(path)}: {'taken away' if value is None else _as_yaml(value)}"
        for path, value in changes[:MOST_CHANGES]
    ]
    if len(changes) > MOST_CHANGES:
        lines.append(f"and {len(changes) - MOST_CHANGES} more alike (--json: all)")
    return [clean(line) for line in lines]


def _in_words(path: str) -> str:
    """Where a change goes; one more of a list is said so."""
    return f"{path.removesuffix('[+]')}, one more" if path.endswith("[+]") else path


def _as_yaml(value: Any) -> str:
    """A value as a shop file has it, on one line."""
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key}: {_as_yaml(inner)}' for key, inner in value.items())}}}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_as_yaml, value))}]"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value}"


def _what_next(least: "LeastChanges | None", *, others: bool, stopped: bool) -> str:
    """The next step; whether there are other ways that work."""
    if stopped:
        return (
            "The work was stopped before everything was tried: run it again, with more time, for"
            " the whole answer."
        )
    if least is None:
        return (
            "No full set of changes was found. Change what is easiest of the above in the shop file"
            " and plan again; more `--effort` looks longer."
        )
    ask = "" if least.priced else "Ask for the prices that are missing. "
    again = "write it into the shop file, and plan again."
    if len(least.parts) > 1:
        again = "write them into the shop file, and plan again."
    other = " Or take a way that works in place of one of them." if others else ""
    return f"{ask}Agree on what is changed, {again}{other}"
