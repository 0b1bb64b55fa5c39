"""Watching the work: its events as one changing line, as plain lines, or as JSON lines.

Seconds, best plan so far, bound, gap, and what is done now. On a terminal the line is redrawn in
place, so that the seconds go on while nothing else does; piped, each event is a line.
"""

import json
import shutil
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final, TextIO

from pydantic import TypeAdapter

from branchwright.words import plain
from solver.progress import Event

EVENTS_FORMAT: Final = "branchwright-events/1"
DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


def event_words(event: Event) -> str:
    """What is known and done, in one line without the seconds.

    >>> from solver.progress import Best
    >>> best = Best(1576.8, violations=0)
    >>> event_words(Event(2.0, "placing 9 breakers", "USD", best, None, 1561.0, 0.01))
    'best 1,576.80 USD  bound 1,561.00 USD  gap 1 %  placing 9 breakers'
    """
    parts = []
    if event.best is not None:
        count = event.best.violations
        broken = f" with {count} violation{'s' if count > 1 else ''}" if count else ""
        parts.append(f"best {event.best.value:,.2f} {event.unit}{broken}")
    if event.estimate is not None:
        parts.append(f"about {event.estimate:,.2f} {event.unit} in sight")
    if event.bound is not None:
        parts.append(f"bound {event.bound:,.2f} {event.unit}")
    if event.gap is not None:
        parts.append(f"gap {plain(100 * event.gap, 1)} %")
    return "  ".join([*parts, event.doing])


class ProgressLine:
    """Events on a stream for people; `tick` lets the seconds go on, where the line can change.

    Told from the thread that works, ticked from the one that waits.
    """

    def __init__(self, out: TextIO) -> None:
        self.out, self.live, self.shown = out, out.isatty(), 0
        self.last = ""
        self.lock = threading.RLock()

    def __call__(self, event: Event) -> None:
        """Show one event."""
        self.last = event_words(event)
        self._show(event.seconds)

    def tick(self, seconds: float) -> None:
        """Show the last event again with the seconds as they are now."""
        if self.live and self.last:
            self._show(seconds)

    def close(self) -> None:
        """Clear the changing line."""
        with self.lock:
            if self.live and self.shown:
                self.out.write("\r" + " " * self.shown + "\r")
                self.out.flush()
            self.last, self.shown = "", 0

    def _show(self, seconds: float) -> None:
        line = f"{seconds:5.1f} s  {self.last}"
        with self.lock:
            if self.live:
                line = line[: shutil.get_terminal_size().columns - 1]
                self.out.write("\r" + line.ljust(self.shown))
                self.shown = len(line)
            else:
                self.out.write(line + "\n")
            self.out.flush()


class EventLines:
    """Events as JSON, one object a line, each written whole at once.

    A reader that has gone, or a disk that is full, ends the lines and not the work: `lost`.
    """

    def __init__(self, out: TextIO) -> None:
        self.out = out
        self.lost: OSError | None = None

    def __call__(self, event: Event) -> None:
        """Write one event."""
        if self.lost is not None:
            return
        try:
            self.out.write(json.dumps(asdict(event), ensure_ascii=False) + "\n")
            self.out.flush()
        except OSError as error:
            self.lost = error


class Watchers:
    """All who watch: a line for people, and a file of events."""

    def __init__(self, line: ProgressLine | None, events: EventLines | None) -> None:
        self.line, self.events = line, events

    def __call__(self, event: Event) -> None:
        """Tell each."""
        for watcher in (self.events, self.line):
            if watcher is not None:
                watcher(event)

    def tick(self, seconds: float) -> None:
        """Time goes on."""
        if self.line is not None:
            self.line.tick(seconds)

    def close(self) -> None:
        """Nothing more comes."""
        if self.line is not None:
            self.line.close()


class EventsError(Exception):
    """A file that events cannot be written to."""


@contextmanager
def watching(events: Path | None) -> Iterator[Watchers]:
    """The line on standard error, and a file of events; `-`: these on standard error instead."""
    if events == Path("-"):
        yield Watchers(None, EventLines(sys.stderr))
        return
    line = ProgressLine(sys.stderr)
    try:
        if events is None:
            yield Watchers(line, None)
            return
        with _opened(events) as out:
            lines = EventLines(out)
            yield Watchers(line, lines)
    finally:
        line.close()
    if lines.lost is not None:
        why = lines.lost.strerror
        sys.stderr.write(f"{events}: events are missing at its end ({why}): the plan is not\n")


def _opened(events: Path) -> TextIO:
    try:
        return events.open("w", encoding="utf-8")
    except OSError as error:
        why = error.strerror
        raise EventsError(f"{events}: cannot be written ({why}): name another file") from None


def events_schema() -> dict[str, Any]:
    """The JSON Schema of one line of events."""
    head = {"$schema": DIALECT, "$id": f"urn:{EVENTS_FORMAT.replace('/', ':')}"}
    title = "A line of `branchwright plan --events`"
    return {**head, **TypeAdapter(Event).json_schema(), "title": title}
