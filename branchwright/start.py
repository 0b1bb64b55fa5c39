"""Where the command starts: Ctrl-C while it is still being loaded leaves like any other."""

import sys


def main() -> None:
    """Load the command line, and run it."""
    try:
        from branchwright.cli import main as run
    except KeyboardInterrupt:
        sys.stderr.write("Interrupted.\n")
        sys.exit(130)
    run()
