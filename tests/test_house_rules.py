"""House rules that a look at the files can decide: what they name, how long they are.

The tree must work on any machine and with any package mirror, so no file names a package host or
a place on one machine. Modules stay short enough to read and open by saying what they cover.
"""

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("models", "solver", "branchwright")
MOST_LINES = 500

# Put together from parts, so that this file does not name what it looks for.
PACKAGE_HOSTS = re.compile(
    "|".join(
        re.escape(".".join(parts))
        for parts in (
            ("pypi", "org"),
            ("pythonhosted", "org"),
            ("registry", "npmjs", "org"),
            ("registry", "yarnpkg", "com"),
            ("deb", "debian", "org"),
            ("conda", "anaconda", "org"),
        )
    )
)
MACHINE_FOLDERS = ("work", "root", r"home/\w+", r"Users/\w+", r"tmp/\w+")
MACHINE_PATHS = re.compile(rf"(?:^|[^\w.<-])/(?:{'|'.join(MACHINE_FOLDERS)})\b")


def project_files() -> list[Path]:
    """Files that git tracks or would add; in an unpacked archive, everything but hidden folders."""
    listing = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    if (ROOT / ".git").exists() and listing.returncode == 0:
        paths = [ROOT / name for name in listing.stdout.decode().split("\0") if name]
    else:
        paths = list(ROOT.rglob("*"))
        paths = [path for path in paths if not _hidden_or_built(path.relative_to(ROOT))]
    return sorted(path for path in paths if path.is_file())


def _hidden_or_built(path: Path) -> bool:
    folders = set(path.parts[:-1]) - {".ci"}
    return any(name.startswith(".") or name == "__pycache__" for name in folders)


def named_in(pattern: re.Pattern[str], text: str) -> list[str]:
    """Every line of `text` that the pattern finds, with its number."""
    lines = enumerate(text.splitlines(), start=1)
    return [f"{number}: {line.strip()[:100]}" for number, line in lines if pattern.search(line)]


def found_in_project(pattern: re.Pattern[str]) -> list[str]:
    """`file:line: text` of every line of the project's text files that the pattern finds."""
    found = []
    for path in project_files():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:  # a picture or a font
            continue
        found += [f"{path.relative_to(ROOT)}:{hit}" for hit in named_in(pattern, text)]
    return found


def python_files() -> list[Path]:
    """Every Python file of the project."""
    return [path for path in project_files() if path.suffix == ".py"]


def test_the_files_are_found():
    """The other tests here look at something: at least this file and each package."""
    names = {path.relative_to(ROOT).as_posix() for path in python_files()}
    assert {"tests/test_house_rules.py", *(f"{name}/__init__.py" for name in PACKAGES)} <= names


@pytest.mark.parametrize(
    ("pattern", "line"),
    [
        (PACKAGE_HOSTS, "https://" + "pypi" + ".org/simple"),
        (PACKAGE_HOSTS, "files." + "pythonhosted" + ".org"),
        (MACHINE_PATHS, "open('/" + "work/main/shop.yaml')"),
        (MACHINE_PATHS, "cd /" + "root"),
        (MACHINE_PATHS, "/" + "home/someone/shop.yaml"),
        (MACHINE_PATHS, "see /" + "tmp/x"),
    ],
)
def test_the_patterns_find_what_they_are_for(pattern, line):
    """Each kind of line that must not be there is found."""
    assert named_in(pattern, line)


@pytest.mark.parametrize("line", ["</root>", "wood/work", "../work", "#!/usr/bin/env bash"])
def test_the_patterns_leave_other_lines_alone(line):
    """Closing tags, words joined by a slash and relative paths are no machine's paths."""
    assert not named_in(MACHINE_PATHS, line)


def test_no_file_names_a_package_host():
    """Anyone may install from a mirror: no file says where packages come from."""
    assert found_in_project(PACKAGE_HOSTS) == []


def test_no_file_names_a_path_of_one_machine():
    """No file points at a folder that only one machine has."""
    assert found_in_project(MACHINE_PATHS) == []


def test_no_module_is_too_long():
    """A module of more than 500 lines holds more than one idea."""
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in python_files()}
    too_long = {str(path.relative_to(ROOT)): n for path, n in lengths.items() if n > MOST_LINES}
    assert too_long == {}


def test_every_module_says_what_it_covers():
    """Each Python file opens with a docstring."""
    silent = [
        str(path.relative_to(ROOT))
        for path in python_files()
        if not ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert silent == []
