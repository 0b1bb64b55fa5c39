"""Where the command starts: Ctrl-C while it is still being loaded leaves like any other."""

import os
import sys


def main() -> None:
    """Load the command line, and run it."""
    _stand_in_for_closed()
    try:
        from branchwright.cli import main as run
    except KeyboardInterrupt:
        sys.stderr.write("Interrupted.\n")
        sys.exit(130)
    run()


def _stand_in_for_closed() -> None:
    """Streams that were closed before lead nowhere; no file that is written gets their number."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_RDWR), mode))
