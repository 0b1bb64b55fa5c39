"""What a rule is: its words for people, and how it makes a finding."""

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from models.plan import Basis, Finding, Severity

SAME_FT: Final = 0.015  # lengths are kept to 0.01 ft
SAME_AMPS: Final = 0.0015  # currents to 0.001 A
SAME_PERCENT: Final = 0.015
SAME_USD: Final = 0.015


@dataclass(frozen=True)
class RuleText:
    """A rule in words: what `--explain` prints. `renumbered` gives sources that moved, by edition.

    >>> rule = RuleText("x", "An example", "Says so.", "NEC 1.1", "code", {2023: "NEC 1.2"})
    >>> rule.source_in(2020), rule.source_in(2023)
    ('NEC 1.1', 'NEC 1.2')
    """

    id: str
    title: str
    says: str
    source: str
    basis: Basis
    renumbered: dict[int, str] = field(default_factory=dict, hash=False)
    rests_on_memory: bool = False

    def source_in(self, edition: int) -> str:
        """The section as the edition numbers it."""
        return self.renumbered.get(edition, self.source)

    def finding(
        self,
        where: str,
        says: str,
        *,
        edition: int,
        severity: Severity = "violation",
        detail: str = "",
        found: float | str | None = None,
        limit: float | str | None = None,
        unit: str | None = None,
        fix: str = "",
        rests_on_memory: bool = False,
    ) -> Finding:
        """A finding of this rule; `detail` tells apart several findings at one place."""
        return Finding(
            key=":".join(part for part in (self.id, where, detail) if part),
            rule=self.id,
            severity=severity,
            where=where,
            says=says,
            found=round(found, 3) if isinstance(found, float) else found,
            limit=round(limit, 3) if isinstance(limit, float) else limit,
            unit=unit,
            source=self.source_in(edition),
            edition=edition if self.basis == "code" else None,
            basis=self.basis,
            rests_on_memory=rests_on_memory or self.rests_on_memory,
            fix=fix,
        )


def registry(*texts: RuleText) -> MappingProxyType[str, RuleText]:
    """The rules of a module by id."""
    return MappingProxyType({text.id: text for text in texts})
