"""The folder of a plan: `index.html` first, `plan.json` last and whole, facts of the run beside."""

import hashlib
import json
from pathlib import Path
from typing import Any

from branchwright.page import page_html
from models.plan import Plan
from models.plan_file import PAGE_NAME, PLAN_NAME, RUN_NAME, plan_text, write_whole

OURS = {PAGE_NAME, PLAN_NAME, RUN_NAME}


class FolderError(Exception):
    """A folder that a plan must not be written into."""


def folder_for(shop: Path, wanted: Path | None) -> Path:
    """Where the plan of a shop goes: `NAME.plan` in the current folder unless told otherwise."""
    return wanted if wanted is not None else Path(f"{shop.stem}.plan")


def check_folder(folder: Path) -> None:
    """Refuse a folder that holds other people's files, before any work is done."""
    if folder.is_file():
        raise FolderError(f"{folder}: is a file: name another folder with `-o DIR`")
    if not folder.is_dir():
        return
    others = sorted(item.name for item in folder.iterdir() if item.name not in OURS)
    mine = (folder / PLAN_NAME).is_file()
    if (others or (folder / PAGE_NAME).is_file()) and not mine:
        raise FolderError(
            f"{folder}: holds {', '.join(others[:3]) or PAGE_NAME} and no {PLAN_NAME}:"
            " name an empty or new folder with `-o DIR`"
        )


def write_plan(folder: Path, plan: Plan, run: dict[str, Any]) -> None:
    """Write page, run facts and plan; a stop in between leaves a page that says it is ahead."""
    folder.mkdir(parents=True, exist_ok=True)
    text = plan_text(plan)
    sha256 = hashlib.sha256(text.encode()).hexdigest()
    write_whole(folder / PAGE_NAME, page_html(plan, sha256))
    write_whole(folder / RUN_NAME, json.dumps(run, indent=1) + "\n")
    write_whole(folder / PLAN_NAME, text)
