"""The folder of a plan: `index.html` first, `plan.json` last and whole; beside them facts of the
run and, where the bound has one, its certificate.
"""

import hashlib
import json
import tempfile
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import Any

from branchwright.page import page_html
from models.plan import Plan
from models.plan_file import (
    CERTIFICATE_NAME,
    PAGE_NAME,
    PLAN_NAME,
    RUN_NAME,
    plan_text,
    write_whole,
)

OURS = {PAGE_NAME, PLAN_NAME, RUN_NAME, CERTIFICATE_NAME}


class FolderError(Exception):
    """A folder that a plan must not be written into."""


def folder_for(shop: Path, wanted: Path | None) -> Path:
    """Where the plan of a shop goes: `NAME.plan` in the current folder unless told otherwise."""
    return wanted if wanted is not None else Path(f"{shop.stem}.plan")


def check_folder(folder: Path) -> None:
    """Refuse a folder that cannot be written or holds other files, before any work is done."""
    try:
        _check_contents(folder)
        _check_writable(folder)
    except OSError as error:
        raise _unwritable(folder, error) from None


def _unwritable(folder: Path, error: OSError) -> FolderError:
    why = error.strerror or type(error).__name__
    return FolderError(f"{folder}: cannot be written ({why}): name another, `-o DIR`")


def _check_contents(folder: Path) -> None:
    """A plan may replace a plan, nothing else."""
    if folder.is_symlink() and not folder.exists():
        raise FolderError(f"{folder}: leads to nothing: name another folder with `-o DIR`")
    if folder.is_file():
        raise FolderError(f"{folder}: is a file: name another folder with `-o DIR`")
    if not folder.is_dir():
        return
    others = sorted(item.name for item in folder.iterdir() if item.name not in OURS)
    others += sorted(name for name in OURS if (folder / name).is_dir())
    mine = (folder / PLAN_NAME).is_file()
    if (others or (folder / PAGE_NAME).is_file()) and not mine:
        raise FolderError(
            f"{folder}: holds {', '.join(others[:3]) or PAGE_NAME} and no {PLAN_NAME}:"
            " name an empty or new folder with `-o DIR`"
        )


def _check_writable(folder: Path) -> None:
    """Make, or try, the folder and take away again what was made."""
    made = []
    for part in [*reversed(folder.parents), folder]:
        if not part.exists():
            part.mkdir()
            made.append(part)
    with tempfile.TemporaryFile(dir=folder):
        pass
    for part in reversed(made):
        part.rmdir()


def certificate_text(certificate: dict[str, Any]) -> str:
    """The bytes of a certificate: a line for each row of the relaxation that is priced."""
    rows = certificate["prices"]
    head = json.dumps({**certificate, "prices": []}, indent=1).removesuffix("[]\n}")
    return head + "[\n" + ",\n".join(json.dumps(row) for row in rows) + "\n ]\n}\n"


def write_plan(
    folder: Path,
    plan: Plan,
    run: dict[str, Any],
    certificate: dict[str, Any] | None = None,
    undisturbed: Callable[[], AbstractContextManager[None]] = nullcontext,
) -> None:
    """Write page, run facts, the certificate of the plan's bound, and the plan; a stop in between
    leaves a page that says it is ahead.

    `undisturbed` is around the writing alone, when all there is to write has been worked out.
    """
    text = plan_text(plan)
    page = page_html(plan, hashlib.sha256(text.encode()).hexdigest())
    try:
        with undisturbed():
            folder.mkdir(parents=True, exist_ok=True)
            write_whole(folder / PAGE_NAME, page)
            write_whole(folder / RUN_NAME, json.dumps(run, indent=1) + "\n")
            if certificate is None:
                (folder / CERTIFICATE_NAME).unlink(missing_ok=True)
            else:
                write_whole(folder / CERTIFICATE_NAME, certificate_text(certificate))
            write_whole(folder / PLAN_NAME, text)
    except OSError as error:
        raise _unwritable(folder, error) from None
