"""The guides to later and compare: every output in them is what the command before it prints.

Blocks after `<!-- long -->` plan Heron Slip again and again: with `--long` only.
`python -m tests.test_later_docs [NAME]` writes the outputs again.
"""

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
GUIDES = {"later_and_compare": (6, 0), "heron_slip_answers": (1, 3)}  # outputs: always, and long
BLOCK = re.compile(
    r"(<!-- long -->\n)?```sh\n(branchwright [^\n]+)\n```\n(?:\n```text\n(.*?)\n```\n)?", re.DOTALL
)


def page(name: str) -> Path:
    return ROOT / "docs" / f"{name}.md"


def printed(command: str, folder: Path) -> str:
    """What a command prints on standard output, at 80 columns."""
    _, *arguments = shlex.split(command)
    done = subprocess.run(
        [sys.executable, "-m", "branchwright", *arguments],
        cwd=folder, capture_output=True, text=True, check=False,
        env={**os.environ, "COLUMNS": "80", "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    return "\n".join(line.rstrip() for line in done.stdout.splitlines())


def outputs(name: str, folder: Path, *, long: bool):
    """(command, output on the page, what is printed) of every block, one after the other."""
    (folder / "scenarios").symlink_to(ROOT / "scenarios")
    for block in BLOCK.finditer(page(name).read_text("utf-8")):
        if block[1] and not long:
            continue
        found = printed(block[2], folder)
        if block[3] is not None:
            yield block[2], block[3], found


@pytest.mark.parametrize("name", GUIDES)
def test_every_output_is_what_the_command_prints(name, tmp_path, request):
    long = request.config.getoption("--long")
    told = list(outputs(name, tmp_path, long=long))
    always, more = GUIDES[name]
    assert len(told) == always + (more if long else 0)
    for command, shown, found in told:
        assert shown == found, command


def test_every_wanted_answer_has_a_place_in_the_guide():
    """Of the six that the owner of Heron Slip asks for, the sixth, the papers, is `sheets`."""
    headings = re.findall(
        r"^## (\d)\. ", page("heron_slip_answers").read_text("utf-8"), re.MULTILINE
    )
    assert headings == ["1", "2", "3", "4", "5"]


if __name__ == "__main__":
    for guide in sys.argv[1:] or GUIDES:
        with tempfile.TemporaryDirectory() as made:
            text = page(guide).read_text("utf-8")
            for command, shown, found in outputs(guide, Path(made), long=True):
                head = f"{command}\n```\n\n```text\n"
                text = text.replace(f"{head}{shown}\n", f"{head}{found}\n")
            page(guide).write_text(text, "utf-8")
