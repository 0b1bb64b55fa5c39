"""Violations among what the checks find of a plan."""

from collections.abc import Iterable

from models.plan import Finding


def violations(findings: Iterable[Finding]) -> list[str]:
    """Each in words, with its rule; none where a plan may be built."""
    return [f"{one.rule}: {one.says}" for one in findings if one.severity == "violation"]


def violated(findings: Iterable[Finding]) -> set[str]:
    """The rules that are violated."""
    return {one.rule for one in findings if one.severity == "violation"}
