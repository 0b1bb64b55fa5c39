"""How a command leaves: exit codes, one JSON document, what was wrong.

Exit codes: 0 no violations, 1 violations or no feasible plan, 2 misuse or bad input, 130
interrupted.
"""

import io
import json
import signal
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    from models.plan import Finding

VIOLATIONS, MISUSE, INTERRUPTED = 1, 2, 130

as_json = click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")


def exit_code(findings: "Iterable[Finding]") -> int:
    """1 when a check found a violation."""
    violated = any(finding.severity == "violation" for finding in findings)
    return VIOLATIONS if violated else 0


@contextmanager
def undisturbed() -> Iterator[None]:
    """What is written here is written whole: Ctrl-C waits for the end of the block."""
    pressed = []
    before = signal.signal(signal.SIGINT, lambda *_: pressed.append(True))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if pressed:
        raise KeyboardInterrupt


def ctrl_c_noted() -> list[bool]:
    """From here on Ctrl-C is also noted in the list, whatever becomes of its exception."""
    pressed: list[bool] = []

    def press(number: int, frame: FrameType | None) -> None:
        pressed.append(True)
        signal.default_int_handler(number, frame)

    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, press)
    return pressed


def interrupted() -> NoReturn:
    """Say so, and leave with 130."""
    click.echo("Interrupted.", err=True)
    sys.exit(INTERRUPTED)


def every_letter_shown() -> None:
    """A letter that the encoding of the terminal has not is shown by its number."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def echo_json(document: Any) -> None:
    """One document on standard output; in ASCII alone where that may not hold more."""
    utf = (getattr(sys.stdout, "encoding", None) or "").lower().startswith("utf")
    click.echo(json.dumps(document, indent=1, ensure_ascii=not utf))


def fail(says: str, as_json: bool = False, problems: list[Any] | None = None) -> NoReturn:
    """Bad input: say what is wrong and leave with 2."""
    if as_json:
        echo_json({"status": "bad input", "error": says, "problems": problems or []})
    click.echo(says, err=True)
    sys.exit(MISUSE)
