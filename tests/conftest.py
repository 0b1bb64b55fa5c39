"""What every test shares: `--long`, no skips in CI, a plan of the demo shop, public instances.

`pytest --long` also runs the tests marked `long`; without it they are deselected. With CI=true a
skipped test makes the run fail: a check that did not run must not look like one that passed.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.demo_shops import SCENARIOS

BENCHMARK_FOLDER = "BRANCHWRIGHT_BENCHMARK_DATA"


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add `--long`."""
    parser.addoption("--long", action="store_true", help="also run the tests marked long")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Deselect the long tests unless they were asked for."""
    if config.getoption("--long"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    if long:
        items[:] = [item for item in items if item not in long]
        config.hook.pytest_deselected(items=long)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """In CI, fail a run in which any test was skipped."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if reporter is None:
        return
    skipped = reporter.stats.get("skipped", [])
    if skipped and os.environ.get("CI") == "true":
        reporter.write_line(f"\nCI=true and {len(skipped)} skipped: the run fails", red=True)
        session.exitstatus = session.exitstatus or pytest.ExitCode.TESTS_FAILED


@pytest.fixture(scope="session")
def benchmark_data() -> Path:
    """Folder of the public instances; the test is skipped where nobody named one."""
    named = os.environ.get(BENCHMARK_FOLDER)
    if not named:
        pytest.skip(f"set {BENCHMARK_FOLDER} to the folder that holds the public instances")
    folder = Path(named)
    if not folder.is_dir():
        pytest.fail(f"{BENCHMARK_FOLDER} names {named!r}, which is not a folder")
    return folder


@pytest.fixture(scope="session")
def planned_garage(
    tmp_path_factory: pytest.TempPathFactory,
) -> tuple[subprocess.CompletedProcess[str], Path]:
    """The demo shop planned as a person does it, once: what was printed, and the plan's folder.

    In a process of its own, at 80 columns, hash seed 0. Nothing in the folder is to be changed.
    """
    here = tmp_path_factory.mktemp("planned")
    done = subprocess.run(
        [sys.executable, "-m", "branchwright", "plan", str(SCENARIOS / "one_bay_garage.yaml")],
        cwd=here, env={**os.environ, "COLUMNS": "80", "PYTHONHASHSEED": "0"},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return done, here / "one_bay_garage.plan"
