"""Jobs shared by two processes: the same answers in the same order, whatever becomes of the other.

Each test runs a script: this process may have threads, and then shares nothing.
"""

import os
import signal
import subprocess
import sys

import pytest

from branchwright.in_two import in_two
from tests.processes import ends

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork there")
HEAD = (
    "import os, signal, sys, time\n"
    "from functools import partial\n"
    "from branchwright.in_two import in_two\n"
    "signal.signal(signal.SIGINT, signal.default_int_handler)  # a job behind ignores it\n"
    "first = os.getpid()\n"
    "def job(number):\n"
    "    time.sleep(0.05)\n"
    "    return number, os.getpid()\n"
)


def script(body):
    return [sys.executable, "-c", HEAD + body]


def said(body):
    done = subprocess.run(script(body), capture_output=True, text=True, check=False)
    return done.returncode, done.stdout.splitlines(), done.stderr


def test_both_take_jobs_and_the_answers_come_in_order():
    code, lines, errors = said(
        "answers = in_two([partial(job, number) for number in range(12)])\n"
        "print([number for number, _ in answers] == list(range(12)))\n"
        "print(len({pid for _, pid in answers}))\n"
    )
    assert (code, lines, errors) == (0, ["True", "2"], "")


@pytest.mark.parametrize(
    "loss", ["os._exit(3)", "os.kill(os.getpid(), 9)", "1 / 0", "return lambda: 'not to be sent'"]
)
def test_what_the_other_was_lost_with_is_done_here(loss):
    code, lines, errors = said(
        "def lost(number):\n"
        f"    if os.getpid() != first:\n        {loss}\n"
        "    return job(number)\n"
        "answers = in_two([partial(lost, number) for number in range(6)])\n"
        "print(answers == [(number, first) for number in range(6)])\n"
    )
    assert (code, lines, errors) == (0, ["True"], "")


def test_an_error_is_told_as_if_there_were_no_other():
    code, lines, errors = said(
        "def wrong(number):\n"
        "    if number == 3:\n        raise ValueError(f'job {number}')\n"
        "    return job(number)\n"
        "in_two([partial(wrong, number) for number in range(6)])\n"
    )
    assert (code, lines) == (1, [])
    assert errors.count("Traceback") == 1
    assert errors.endswith("ValueError: job 3\n")


def test_beside_threads_and_with_nothing_to_do_there_is_no_other():
    code, lines, _ = said(
        "import threading\n"
        "threading.Thread(target=time.sleep, args=(1,)).start()\n"
        "print({pid for _, pid in in_two([partial(job, 1), partial(job, 2)])} == {first})\n"
    )
    assert (code, lines) == (0, ["True"])
    assert in_two([]) == []


@pytest.mark.parametrize(
    ("how", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, -15), (signal.SIGKILL, -9)]
)
def test_the_other_ends_with_the_first_however_that_is_ended(how, code):
    body = (
        "def long():\n"
        "    os.write(1, b'%d\\n' % os.getpid())\n"
        "    time.sleep(100)\n"
        "try:\n    in_two([long, long])\n"
        "except KeyboardInterrupt:\n    sys.exit(130)\n"
    )
    with subprocess.Popen(
        script(body), stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        assert process.stdout is not None
        pids = {int(process.stdout.readline()) for _ in range(2)}
        other = (pids - {process.pid}).pop()
        os.kill(other, signal.SIGINT)  # as on a terminal, where both are told
        process.send_signal(how)
        assert process.wait(30) == code
        assert ends(other)
