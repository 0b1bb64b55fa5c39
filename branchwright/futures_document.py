"""What `futures --json` answers, and its JSON Schema."""

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final, Literal

from pydantic import TypeAdapter

from solver.coming_runs import ComingRun
from solver.futures import Coming, Kind
from solver.futures_answer import Answered
from solver.futures_remedies import Help

FUTURES_FORMAT: Final = "branchwright-futures/1"
DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


@dataclass(frozen=True)
class StrainRow:
    """One limit: how much of it is taken, where and by what; `share` above 1 gives way, unless it
    is advice.
    """

    kind: Kind
    where: str
    found: float
    limit: float
    unit: str
    says: str
    advice: bool
    apart: bool
    share: float


@dataclass(frozen=True)
class FutureRow:
    """One combination; `first` is the limit with the greatest share."""

    comes: tuple[str, ...]
    likelihood: float
    holds: bool
    first: Kind
    strains: tuple[StrainRow, ...]


@dataclass(frozen=True)
class FuturesDocument:
    """Every combination of what may come; `left_out`: things too unlikely to be combined.

    `runs`: each thing wired by itself, the best choice first. `alone` and `together`: what would
    help, the second one after the other.
    """

    format: Literal["branchwright-futures/1"]
    plan: str
    coming: tuple[Coming, ...]
    left_out: int
    futures: tuple[FutureRow, ...]
    runs: tuple[ComingRun, ...]
    alone: tuple[Help, ...]
    together: tuple[Help, ...]


def futures_document(plan: Path, told: Answered) -> dict[str, Any]:
    """The answer for programs."""
    rows = tuple(
        FutureRow(
            comes=future.comes,
            likelihood=round(future.likelihood, 6),
            holds=future.holds,
            first=future.first.kind,
            strains=tuple(
                StrainRow(**asdict(one), share=round(one.share, 4)) for one in future.strains
            ),
        )
        for future in told.every
    )
    found = told.futures
    document = FuturesDocument(
        FUTURES_FORMAT, str(plan), found.coming, found.left_out, rows,
        told.runs, told.alone, told.together,
    )  # fmt: skip
    return asdict(document)


def futures_schema() -> dict[str, Any]:
    """The schema of that answer."""
    schema = TypeAdapter(FuturesDocument).json_schema()
    urn = f"urn:{FUTURES_FORMAT.replace('/', ':')}"
    return {"$schema": DIALECT, "$id": urn, **schema, "title": "Futures of branchwright"}
