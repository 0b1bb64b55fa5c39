"""README.md and DEVELOPERS.md: what they name is there, cautions and picture are current."""

import re

import pytest

from benchmarks.__main__ import pictures
from branchwright.cautions import CAUTIONS
from branchwright.cli import cli

PACKAGES = (
    "models", "models/answers", "solver", "solver/bound", "branchwright", "branchwright/pdf"
)  # fmt: skip


@pytest.fixture
def root(request):
    return request.config.rootpath


def one_line(text):
    return " ".join(text.replace("**", "").split())


def test_readme_carries_every_caution(root):
    readme = one_line((root / "README.md").read_text("utf-8"))
    for caution in CAUTIONS:
        assert caution in readme


def test_readme_shows_what_the_command_prints(root, planned_garage):
    """The block after the first command, at 80 columns."""
    done, _ = planned_garage
    printed = "\n".join(line.rstrip() for line in done.stdout.splitlines())
    assert f"```text\n{printed}\n```" in (root / "README.md").read_text("utf-8")


def test_readme_names_every_command_and_no_other(root):
    readme = (root / "README.md").read_text("utf-8")
    table = readme[readme.index("## Commands") : readme.index("Exit codes")]
    assert set(re.findall(r"^\| `branchwright ([a-z]+)", table, re.MULTILINE)) == set(cli.commands)


def test_the_pictures_are_those_that_are_made(root):
    """Otherwise: python -m benchmarks --picture."""
    readme = (root / "README.md").read_text("utf-8")
    for name, drawing in pictures().items():
        assert f"(docs/{name})" in readme
        assert (root / "docs" / name).read_text("utf-8") == drawing


def test_every_file_on_the_map_is_there(root):
    """Each module that DEVELOPERS.md names exists in one of the packages."""
    guide = (root / "DEVELOPERS.md").read_text("utf-8")
    names = set(re.findall(r"(?<![*\w])([a-z_]+\.(?:py|css))\b", guide))
    assert len(names) > 20
    for name in names:
        assert [*root.glob(f"[a-z]*/**/{name}")], name


@pytest.mark.parametrize("package", PACKAGES)
def test_every_module_is_on_the_map(root, package):
    guide = (root / "DEVELOPERS.md").read_text("utf-8")
    the_map = guide[guide.index("## The map") : guide.index("## Habits")]
    named = set(re.findall(r"(?<![*\w])[a-z_]+\.py\b", the_map))
    there = {path.name for path in (root / package).glob("[!_]*.py")}
    assert len(there) > 3
    assert there <= named


def test_no_text_of_ours_promises_what_only_an_inspector_may_say(root):
    for path in [
        *root.glob("*.md"),
        *root.glob("branchwright/**/*.py"),
        *root.glob("models/**/*.py"),
    ]:
        text = path.read_text("utf-8")
        for quoted in ('Never "complies" or "passes code"',):
            text = text.replace(quoted, "")
        assert not re.search(r"\b(complies with|passes code|code compliant)\b", text), path
