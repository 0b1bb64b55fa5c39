"""Reading and writing `plan.json`: whole or not at all, byte for byte repeatable.

`plan.json` is written last. `index.html` beside it carries the plan's hash, so that a reader can
tell when the two do not belong together (a stop between the two writes).
"""

import hashlib
import json
import os
import re
import tempfile
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from models.plan import PLAN_FORMAT, Plan

PLAN_NAME: Final = "plan.json"
PAGE_NAME: Final = "index.html"
RUN_NAME: Final = "run.json"
CERTIFICATE_NAME: Final = "bound.json"
LARGEST_PLAN_BYTES: Final = 64 * 1024 * 1024
LARGEST_NUMBER: Final = 1e20  # no length, current or sum of money is near it; its square is one
_PAGE_MARK: Final = re.compile(r'<meta name="plan-sha256" content="([0-9a-f]{64})">')


class PlanFileError(Exception):
    """A plan file that cannot be read, with what to do about it."""


def canonical_json(data: Any) -> str:
    """JSON in one fixed form: sorted keys, no spaces; what hashes are taken over."""
    return json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def sha256_text(text: str) -> str:
    """SHA-256 of a text in UTF-8, as hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def plan_text(plan: Plan) -> str:
    """The bytes of `plan.json` for a plan: indented, keys in the contract's order."""
    return json.dumps(plan.model_dump(mode="json"), indent=1, ensure_ascii=False) + "\n"


def write_whole(path: Path, text: str | bytes) -> None:
    """Write a file so that a reader finds the old one or the new one, never a part.

    Text is written in UTF-8.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode() if isinstance(text, str) else text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    """The process's file mode mask."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def locate(path: Path) -> Path:
    """The plan file for a path that is the file or the folder holding it."""
    return path / PLAN_NAME if path.is_dir() else path


def sha256_file(path: Path) -> str:
    """SHA-256 of the plan file at a path, as hexadecimal."""
    return hashlib.sha256(locate(path).read_bytes()).hexdigest()


def read_plan(path: Path) -> Plan:
    """Read a plan from its file or folder; PlanFileError says what is wrong and what next."""
    try:
        file = locate(path)
        there = file.is_file()
    except OSError as error:
        raise _unread(path, error) from None
    if not there:
        half = (file.parent / PAGE_NAME).is_file()
        left = f"; {PAGE_NAME} is there, so writing was stopped half way" if half else ""
        raise PlanFileError(f"{file}: no plan here{left}: run `branchwright plan SHOP` again")
    if file.suffix in (".yaml", ".yml"):
        raise PlanFileError(f"{file}: a shop file: plan it first, `branchwright plan {file}`")
    if file.stat().st_size > LARGEST_PLAN_BYTES:
        raise PlanFileError(f"{file}: larger than {LARGEST_PLAN_BYTES} bytes: is it a plan?")
    try:
        text = file.read_text(encoding="utf-8")
        data = json.loads(text, parse_float=_float, parse_int=_int)
    except OSError as error:
        raise _unread(file, error) from None
    except _TooLargeError as error:
        raise PlanFileError(
            f"{file}: {error} is larger than any number of a plan ({LARGEST_NUMBER:g}):"
            " plan the shop again, or mend the file"
        ) from None
    except (ValueError, RecursionError) as error:
        raise PlanFileError(f"{file}: not JSON ({error}): run `branchwright plan` again") from None
    found = data.get("format") if isinstance(data, dict) else None
    if found != PLAN_FORMAT:
        raise PlanFileError(
            f"{file}: format is {found!r}, this version reads {PLAN_FORMAT!r}: plan the shop again,"
            " or use the version of branchwright that wrote it"
        )
    try:
        return Plan.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(step) for step in first["loc"])
        raise PlanFileError(
            f"{file}: {where}: {first['msg']} ({error.error_count()} such errors):"
            " plan the shop again, or mend the file"
        ) from None


class _TooLargeError(Exception):
    """A number that sums of it would overflow."""


def _float(text: str) -> float:
    """A number of a plan file."""
    if abs(value := float(text)) > LARGEST_NUMBER:
        raise _TooLargeError(text)
    return value


def _int(text: str) -> int:
    """A whole number of a plan file; ValueError where it has too many digits to be read."""
    if abs(value := int(text)) > LARGEST_NUMBER:
        raise _TooLargeError(text)
    return value


def _unread(path: Path, error: OSError) -> PlanFileError:
    why = error.strerror or type(error).__name__
    return PlanFileError(
        f"{path}: cannot be read ({why}): name a plan, or the folder that holds it"
    )


def page_mark(sha256: str) -> str:
    """The line in `index.html` that names the plan it shows."""
    return f'<meta name="plan-sha256" content="{sha256}">'


def page_mismatch(path: Path) -> str | None:
    """Say so when `index.html` beside a plan shows another plan; None when they agree."""
    file = locate(path)
    page = file.parent / PAGE_NAME
    if not page.is_file():
        return None
    mark = _PAGE_MARK.search(page.read_text(encoding="utf-8", errors="replace"))
    if mark and mark[1] == sha256_file(file):
        return None
    return f"{page} does not show {file}: writing was stopped half way; plan the shop again"
