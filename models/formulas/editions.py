"""The editions of NFPA 70 (NEC) that the formulas know: 2017, 2020 and 2023."""

from typing import Final

EDITIONS: Final = (2017, 2020, 2023)


class EditionError(ValueError):
    """An edition of NFPA 70 whose rules are not held here."""


def require_edition(edition: int) -> None:
    """Raise EditionError unless `edition` is one of EDITIONS."""
    if edition not in EDITIONS:
        known = ", ".join(map(str, EDITIONS))
        raise EditionError(f"NFPA 70 edition {edition} is not one of {known}: choose one of these")
