"""A plan read under another edition of the code: findings that come, go, or stay elsewhere.

Only what the code asks is read again. What a plan file claims of itself (sums, fills, loads) was
written for its own edition and is held against that one.
"""

from typing import Any, Final, Literal, NamedTuple

from models.plan import Finding, Plan
from models.rules import RANK, RULES, TABLE_VALUES, check_plan

State = Literal["new", "unchanged", "updated", "absent"]

NUMBERING: Final = {"source", "edition"}


class Pair(NamedTuple):
    """One finding under the edition of the plan and under the other one."""

    was: Finding
    now: Finding


class EditionChange(NamedTuple):
    """What a plan's checks find under its own edition, and under another."""

    made_for: int
    edition: int
    before: tuple[Finding, ...]
    after: tuple[Finding, ...]

    @classmethod
    def of(cls, plan: Plan, edition: int) -> "EditionChange":
        """Check a plan under both editions."""
        before = check_plan(plan)
        after = [finding for finding in check_plan(plan, edition) if not _is_claim(finding)]
        after += [finding for finding in before if _is_claim(finding)]
        after.sort(key=lambda finding: RANK[finding.severity])
        return cls(plan.made_by.edition, edition, before, tuple(after))

    @property
    def comes(self) -> list[Finding]:
        """Findings that only the other edition has."""
        keys = {finding.key for finding in self.before}
        return [finding for finding in self.after if finding.key not in keys]

    @property
    def goes(self) -> list[Finding]:
        """Findings that only the plan's own edition has."""
        keys = {finding.key for finding in self.after}
        return [finding for finding in self.before if finding.key not in keys]

    @property
    def stays(self) -> list[Pair]:
        """Findings that both editions have."""
        was = {finding.key: finding for finding in self.before}
        return [Pair(was[now.key], now) for now in self.after if now.key in was]

    @property
    def changed(self) -> list[Pair]:
        """Those of `stays` with another number, sentence or severity."""
        return [pair for pair in self.stays if _facts(pair.was) != _facts(pair.now)]

    @property
    def renumbered(self) -> list[Pair]:
        """Those of `stays` that say the same under another section number."""
        return [
            pair
            for pair in self.stays
            if pair.was.source != pair.now.source and _facts(pair.was) == _facts(pair.now)
        ]

    @property
    def same(self) -> list[Finding]:
        """Those of `stays` that do not differ at all."""
        differ = {now.key for _, now in (*self.changed, *self.renumbered)}
        return [now for _, now in self.stays if now.key not in differ]

    def states(self) -> dict[str, State]:
        """How each finding compares with the plan's own edition, by key."""
        found: dict[str, State] = {finding.key: "unchanged" for finding in self.same}
        found |= {pair.now.key: "updated" for pair in (*self.changed, *self.renumbered)}
        found |= {finding.key: "new" for finding in self.comes}
        return found | {finding.key: "absent" for finding in self.goes}

    def document(self) -> dict[str, Any]:
        """The same as JSON."""
        return {
            "made_for": self.made_for,
            "edition": self.edition,
            "read_again": [name for name, rule in RULES.items() if rule.basis != "plan"],
            "comes": [finding.key for finding in self.comes],
            "goes": [finding.model_dump(mode="json") for finding in self.goes],
            "renumbered": [
                {"key": now.key, "was": was.source, "now": now.source}
                for was, now in self.renumbered
            ],
            "changed": [
                {"key": now.key, "was": was.model_dump(mode="json")} for was, now in self.changed
            ],
        }


def _is_claim(finding: Finding) -> bool:
    """Whether a finding is about the plan file itself; a check that could not go on is not."""
    return finding.basis == "plan" and finding.rule != TABLE_VALUES.id


def _facts(finding: Finding) -> dict[str, Any]:
    """All of a finding but where it stands in the code."""
    return finding.model_dump(exclude=set(NUMBERING))
