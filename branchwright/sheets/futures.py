"""Futures as a table: what comes, how likely, what it takes, and what gives way first."""

from collections.abc import Mapping, Sequence
from typing import Final

from branchwright.sheets.table import Table, columns
from branchwright.words import clean, joined, plain
from solver.futures import Future, Strain

COLUMNS = columns(
    "What comes", ">Likely", ">Calculated", ">Heavier leg", ">Spaces", "Raceways", "Gives way first"
)
NARROW: Final = (0, 1, 2, 4, 6)
KINDS: Final = {
    "calculation": "the load calculation",
    "service": "the service",
    "leg": "the heavier leg",
    "spaces": "the spaces",
    "raceway": "a raceway",
}


def futures_table(futures: Sequence[Future], names: Mapping[str, str]) -> Table:
    """A row for each combination."""
    rows = tuple(
        (
            joined((names[name] for name in future.comes), " + ", "nothing more"),
            percent(future.likelihood),
            *(_taken(future.of(kind)) for kind in ("calculation", "leg", "spaces")),
            joined(_raceway(strain) for strain in future.of("raceway")),
            "" if future.holds else first_words(future.first),
        )
        for future in futures
    )
    marks = tuple("" if future.holds else "violation" for future in futures)
    return Table("Futures", COLUMNS, rows, marks=marks)


def percent(share: float) -> str:
    """A likelihood.

    >>> percent(0.072), percent(0.0004)
    ('7 %', 'under 1 %')
    """
    return f"{100 * share:.0f} %" if share >= 0.005 else "under 1 %"


def _taken(strains: Sequence[Strain]) -> str:
    """How much of a limit is taken."""
    return joined(
        f"{plain(one.found, 1)} of {plain(one.limit, 1)}{' A' if one.unit == 'A' else ''}"
        for one in strains
    )


def _raceway(strain: Strain) -> str:
    """A raceway with how full it then is, or that one is to be laid."""
    if not strain.limit:
        return clean(strain.says)
    return f"{clean(strain.where)} {100 * strain.share:.0f} % of what it takes"


def first_words(strain: Strain) -> str:
    """What gives way, with amounts."""
    unit = f" {strain.unit}" if strain.unit != "spaces" else ""
    taken = f"{plain(strain.found, 2)} of {plain(strain.limit, 2)}{unit}"
    return f"{KINDS[strain.kind]} at {clean(strain.where)}: {taken}"
