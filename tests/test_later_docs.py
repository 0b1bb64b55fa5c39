"""docs/later_and_compare.md: every output in it is what the command before it prints.

`python -m tests.test_later_docs` writes them again.
"""

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "later_and_compare.md"
BLOCK = re.compile(r"```sh\n(branchwright [^\n]+)\n```\n(?:\n```text\n(.*?)\n```\n)?", re.DOTALL)


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


def outputs(folder: Path):
    """(command, output on the page, what is printed) of every block, one after the other."""
    (folder / "scenarios").symlink_to(ROOT / "scenarios")
    for block in BLOCK.finditer(PAGE.read_text("utf-8")):
        found = printed(block[1], folder)
        if block[2] is not None:
            yield block[1], block[2], found


def test_every_output_is_what_the_command_prints(tmp_path):
    told = list(outputs(tmp_path))
    assert len(told) == 5
    for command, shown, found in told:
        assert shown == found, command


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        text = PAGE.read_text("utf-8")
        for command, shown, found in outputs(Path(name)):
            head = f"{command}\n```\n\n```text\n"
            text = text.replace(f"{head}{shown}\n", f"{head}{found}\n")
        PAGE.write_text(text, "utf-8")
