"""What a check finds."""

from typing import Literal

from models.plan.part import Part

Severity = Literal["violation", "warning", "note", "not-checked"]
Basis = Literal["code", "maker", "habit", "plan"]


class Finding(Part):
    """What a check found. `limit` and `found` are in `unit`."""

    key: str
    rule: str
    severity: Severity
    where: str
    says: str
    found: float | str | None = None
    limit: float | str | None = None
    unit: str | None = None
    source: str
    edition: int | None
    basis: Basis
    rests_on_memory: bool = False
    fix: str = ""
