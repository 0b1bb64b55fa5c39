"""Which sheets, papers and forms are asked for by name; a wrong name is told with the closest."""

from difflib import get_close_matches
from typing import NamedTuple

import click

from branchwright.sheet_set import FORMS, NAMES, PAPERS
from branchwright.since import NAMES as SINCE_NAMES


class Wanted(NamedTuple):
    """The sheets asked for; all without names, in every form without forms."""

    names: tuple[str, ...]
    forms: tuple[str, ...]


def wanted_of(only: str, *, marked: bool, option: str = "--only") -> Wanted:
    """The names and forms after an option, `marked` with an older plan; misuse is told."""
    known = (*NAMES, *SINCE_NAMES, *FORMS)
    told = [name for name in (part.strip() for part in only.split(",")) if name]
    if only and not told:
        raise click.UsageError(f"{option}: {only!r} names nothing: {', '.join(known)}")
    for name in told:
        if name in SINCE_NAMES and not marked:
            raise click.UsageError(
                f"{option} {name}: say since when with `--changed-from OLD_PLAN`"
            )
        if name not in known:
            near = get_close_matches(name, known, n=3) or known
            raise click.UsageError(f"{option}: no sheet or form {name!r}: {', '.join(near)}")
    names = [name for name in told if name not in FORMS]
    forms = [name for name in told if name in FORMS]
    written = {name for form in forms for name in FORMS[form]}
    for name in names if forms else ():
        if name not in written:
            those = ", ".join(form for form in FORMS if name in FORMS[form])
            raise click.UsageError(
                f"{option}: {name} is not written as {' or '.join(forms)}: {those}"
            )
    chosen = names or [name for name in known if name in written]
    return Wanted(tuple(chosen), tuple(forms))


def papers_of(show: str, *, marked: bool) -> tuple[str, ...]:
    """The papers after `--show`."""
    names, forms = wanted_of(show, marked=marked, option="--show")
    for name in (*forms, *names) if forms else names:
        if name not in (*PAPERS, *SINCE_NAMES):
            papers = ", ".join(PAPERS)
            raise click.UsageError(
                f"--show: {name} is no paper, write it with `-o DIR`; papers: {papers}"
            )
    return names
