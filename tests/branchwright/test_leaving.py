"""How a command ends before its time: Ctrl-C, the clock, a reader that has gone, closed streams."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest
from click.testing import CliRunner

from branchwright.cli import cli
from models.plan_file import read_plan
from tests.demo_shops import SCENARIOS
from tests.larger_garage import larger_garage


def planned(*arguments):
    return CliRunner().invoke(cli, ["plan", *map(str, arguments)], catch_exceptions=False)


@pytest.fixture
def larger(tmp_path):
    path = tmp_path / "larger.yaml"
    path.write_text(larger_garage(), "utf-8")
    return path


def test_ctrl_c_keeps_the_best_plan(larger, tmp_path):
    """The first interrupt ends the search; the plan is written, marked as stopped; exit 130."""
    command = [sys.executable, "-m", "branchwright", "plan", str(larger), "--effort", "1000"]
    with subprocess.Popen(
        [*command, "-o", str(tmp_path / "out")], stderr=subprocess.PIPE, stdout=subprocess.DEVNULL
    ) as process:
        assert process.stderr is not None
        for line in process.stderr:
            if b"trying out circuits" in line:
                break
        time.sleep(1.0)
        process.send_signal(signal.SIGINT)
        process.stderr.read()
    assert process.returncode == 130
    plan = read_plan(tmp_path / "out")
    assert plan.made_by.status == "stopped"
    assert not plan.made_by.repeatable


def test_seconds_is_a_guard_that_says_so(larger, tmp_path):
    done = planned(larger, "-o", tmp_path / "out", "--effort", "1000", "--seconds", "1")
    assert done.exit_code == 0
    assert read_plan(tmp_path / "out").made_by.status == "stopped"


def test_a_second_ctrl_c_leaves_at_once_and_nothing_half_written(larger, tmp_path):
    """The plan of before stays as it was, no file is new, and each event is a whole line."""
    out, log = tmp_path / "out", tmp_path / "events.jsonl"
    assert planned(larger, "-o", out, "--effort", "1").exit_code == 0
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    command = [sys.executable, "-m", "branchwright", "plan", str(larger), "--effort", "1000"]
    with subprocess.Popen(
        [*command, "-o", str(out), "--events", str(log)],
        stderr=subprocess.PIPE, stdout=subprocess.PIPE,
    ) as process:  # fmt: skip
        assert process.stderr is not None
        for line in process.stderr:
            if b"searching" in line:
                break
        while process.poll() is None:  # two that come at once may be heard as one
            process.send_signal(signal.SIGINT)
            time.sleep(0.05)
        left = process.communicate()
    assert process.returncode == 130
    assert left[0] == b""
    assert b"Traceback" not in left[1]
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before
    events = [json.loads(line) for line in log.read_text("utf-8").splitlines()]
    assert events[0]["best"] is None
    assert events[-1]["doing"] not in ("finished", "stopped")


def test_a_second_ctrl_c_waits_for_what_is_being_written():
    """As when it comes between the page and the plan."""
    code = (
        "import os, signal\n"
        "from branchwright.solving import CtrlC\n"
        "from solver.solve import Control\n"
        "control = Control()\n"
        "with CtrlC(control) as ctrl_c:\n"
        "    with ctrl_c.undisturbed():\n"
        "        for name in ('page', 'plan'):\n"
        "            os.kill(os.getpid(), signal.SIGINT)\n"
        "            print(name, control.stopped, flush=True)\n"
        "    print('later', flush=True)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 130
    assert done.stdout.split() == ["page", "True", "plan", "True"]


@pytest.mark.parametrize(
    "stand_in",
    [
        "builtins.__import__ = pressed_in(builtins.__import__, 'branchwright.cli')",
        "cli.main = wrapped",
    ],
    ids=["while it is loaded", "made another error of by a library"],
)
def test_ctrl_c_is_130_whatever_becomes_of_it(stand_in):
    code = (
        "import builtins, signal\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)  # a job behind ignores it\n"
        "from branchwright.start import main\n"
        "def pressed_in(real, wanted):\n"
        "    def load(name, *rest, **more):\n"
        "        if name == wanted:\n"
        "            signal.raise_signal(signal.SIGINT)\n"
        "        return real(name, *rest, **more)\n"
        "    return load\n"
        "def wrapped(**_):\n"
        "    try:\n"
        "        signal.raise_signal(signal.SIGINT)\n"
        "    except KeyboardInterrupt:\n"
        "        raise ValueError('no validator could be built') from None\n"
        f"{'from branchwright.cli import cli' if 'cli.main' in stand_in else ''}\n"
        f"{stand_in}\n"
        "main()\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (130, "Interrupted.\n")


@pytest.mark.parametrize(
    "arguments",
    [
        ("sheets", "--show", "scope,fault-finding"),
        ("inspect",),
        ("inspect", "--json"),
        ("futures",),
    ],
    ids=" ".join,
)
def test_a_terminal_of_ascii_shows_every_letter(request, tmp_path, arguments):
    """By its number where it has no other way; programs read the name back."""
    name = "Scheune Nº 2 \N{CARPENTRY SAW}"
    text = (request.config.rootpath / "tests/plans/four_box/plan.json").read_text("utf-8")
    (tmp_path / "plan.json").write_text(text.replace("Four-box shed", name), "utf-8")
    command, *rest = arguments
    ascii_only = {**os.environ, "PYTHONIOENCODING": "ascii"}
    line = [sys.executable, "-m", "branchwright", command, str(tmp_path), *rest]
    done = subprocess.run(line, env=ascii_only, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1), done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout.isascii()
    if "--json" in rest:
        assert json.loads(done.stdout)["findings"]
    elif command != "sheets":
        assert "Scheune N\\xba 2 \\U0001fa9a" in done.stdout


def test_a_reader_that_has_gone_is_no_violation(request, tmp_path):
    """130, whatever the answer is printed with."""
    plan = request.config.rootpath / "tests" / "plans" / "four_box"
    command = [sys.executable, "-m", "branchwright", "inspect", str(plan)]
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(command, stdout=writing, stderr=subprocess.PIPE, check=False)
    os.close(writing)
    assert (done.returncode, done.stderr) == (130, b"")


def test_streams_that_are_closed(tmp_path):
    """A daemon's: the plan is written whole all the same."""
    out = tmp_path / "out"
    command = [
        sys.executable,
        "-m",
        "branchwright",
        "plan",
        str(SCENARIOS / "one_bay_garage.yaml"),
        "--effort",
        "1",
    ]
    done = subprocess.run(
        ["sh", "-c", 'exec "$@" <&- >&- 2>&-', "sh", *command, "-o", str(out)], check=False
    )
    assert done.returncode == 0
    assert read_plan(out).made_by.status == "complete"
