"""Futures as a table and in sentences: what comes, what it takes, what gives way, what helps."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, dollars, joined, percent, plain
from solver.coming_runs import Choice, ComingRun
from solver.futures import Coming, Future, Futures, Strain
from solver.futures_remedies import Help

COLUMNS = columns(
    "What comes", ">Likely", ">Calculated", ">Worst leg", ">Feeder drop", ">Spaces", "Raceways",
    "Gives way first",
)  # fmt: skip
NARROW: Final = (0, 1, 2, 3, 5, 7)
WIDE: Final = 118
MOST_ALONE: Final = 4
KINDS: Final = {
    "calculation": "load calculation",
    "service": "service",
    "conductor": "feeder's hots",
    "leg": "heavier leg",
    "drop": "feeder's drop",
    "spaces": "spaces",
    "raceway": "raceway",
}


def futures_table(futures: Sequence[Future], names: Mapping[str, str]) -> Table:
    """A row for each combination."""
    rows = tuple(
        (
            joined((names[name] for name in future.comes), " + ", "nothing more"),
            percent(future.likelihood),
            *(_taken(future.of(kind)) for kind in ("calculation", "leg")),
            joined(f"{plain(one.found, 1)} %" for one in future.of("drop")),
            _taken(future.of("spaces")),
            joined(_raceway(strain) for strain in future.of("raceway")),
            "" if future.holds else first_words(future.first),
        )
        for future in futures
    )
    marks = tuple("" if future.holds else "violation" for future in futures)
    return Table("Futures", COLUMNS, rows, marks=marks)


def _taken(strains: Sequence[Strain]) -> str:
    """How much of a limit is taken."""
    return joined(
        f"{plain(one.found, 0)} of {plain(one.limit, 0)}{' A' if one.unit == 'A' else ''}"
        f"{', no pair' if one.apart else ''}"
        for one in strains
    )


def _raceway(strain: Strain) -> str:
    """A raceway with how full it then is, or that one is to be laid."""
    if not strain.limit:
        return clean(strain.says)
    return f"{clean(strain.where)} {100 * strain.share:.0f} % of what it takes"


def first_words(strain: Strain) -> str:
    """What gives way, and where it is none of the panel or feeder."""
    where = f" {clean(strain.where)}" if strain.kind == "raceway" else ""
    return f"{KINDS[strain.kind]}{where}"


def demand_sentences(found: Futures, every: Sequence[Future]) -> Iterator[str]:
    """What holds, the heaviest state, and what the feeder carries and loses."""
    holding = [future for future in every if future.holds]
    odds = percent(sum(future.likelihood for future in holding))
    yield f"Nothing gives way in {len(holding)} of {len(every)}, together {odds} likely."
    worst = max((future.of("leg")[0] for future in every), key=lambda one: one.found)
    yield f"The heaviest state: {clean(worst.says)} = {amps(worst.found)}."
    hots = every[0].of("conductor")[0]
    yield (
        f"The hots of the feeder carry {amps(hots.limit)} in the heat of the panel's room. It loses"
        f" {plain(max(f.of('drop')[0].found for f in every), 1)} % at most, {plain(3.0, 0)} % is"
        " recommended (215.2(A), informational)."
    )
    laid = {one.says for future in every for one in future.of("raceway") if not one.limit}
    yield from (f"Raceways: {clean(says)}." for says in sorted(laid))


def run_sentences(runs: Sequence[ComingRun], coming: Sequence[Coming]) -> Iterator[str]:
    """For each thing that may come: its circuit, what to do now, and what else costs."""
    of = {one.id: one for one in coming}
    for run in runs:
        one = of[run.id]
        says = f"{clean(one.name)} ({percent(one.likelihood)} likely)"
        if run.circuit is not None:
            drop = "" if run.drop_percent is None else f", {plain(run.drop_percent, 1)} % drop"
            says += f": {clean(run.circuit)}{drop}" if drop else f" on {clean(run.circuit)}"
        if not run.choices:
            yield f"{says}: {clean(run.why or 'nothing is known of it')}."
            continue
        first, *others = (_choice(choice) for choice in run.choices)
        none = f" Nothing can be prepared: {clean(run.why)}." if run.why else ""
        yield f"{says}. Best: {first}.{none}" + "".join(f" Else: {other}." for other in others)


def _choice(choice: Choice) -> str:
    return (
        f"{clean(choice.says)}, {dollars(choice.now_usd)} now and {dollars(choice.day_usd)} then,"
        f" {dollars(choice.expected_usd)} as expected"
    )


def help_sentences(alone: Sequence[Help], together: Sequence[Help], count: int) -> Iterator[str]:
    """What would help: by itself, and one after the other until nothing gives way."""
    for help in alone[:MOST_ALONE]:
        yield f"By itself {clean(help.says)}: {_holds(help, count)}."
    if not together:
        yield "Nothing was found that helps: plan the shop with what comes to know more."
        return
    for number, help in enumerate(together, 1):
        yield f"{number}. {clean(help.says)}: then {_holds(help, count)}."


def _holds(help: Help, count: int) -> str:
    return f"{help.holds} of {count} hold, together {percent(help.likelihood)} likely"
