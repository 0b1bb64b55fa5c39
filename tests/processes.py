"""Whether other processes are still there."""

import os
import subprocess
import time


def ends(pid: int, within_s: float = 60) -> bool:
    """Whether a process ends in this time; one that only waits to be asked how it did has."""
    deadline = time.monotonic() + within_s
    while (there := runs(pid)) and time.monotonic() < deadline:
        time.sleep(0.1)
    return not there


def runs(pid: int) -> bool:
    """Whether a process is there and not only waits to be asked how it ended."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    state = subprocess.run(
        ["ps", "-o", "state=", "-p", str(pid)], capture_output=True, text=True, check=False
    )
    return not state.stdout.strip().startswith("Z") and bool(state.stdout.strip())
