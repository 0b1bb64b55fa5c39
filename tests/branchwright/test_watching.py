"""What people and programs see of the work: a line redrawn in place, plain lines, JSON lines."""

import io
import json

import jsonschema
import pytest

from branchwright.watching import (
    EventLines,
    EventsError,
    ProgressLine,
    event_words,
    events_schema,
    watching,
)
from solver.progress import Best, Event

EMPTY = Event(0.5, "trying out circuits", "USD", None, None, None, None)
FULL = Event(12.3, "placing 9 breakers", "USD", Best(1576.8, 0), 1570.0, 1561.0, 0.01)
BROKEN = Event(12.3, "checking", "lb", Best(15.2, 1), None, None, None)


class Terminal(io.StringIO):
    """A stream that says that it is a terminal."""

    def isatty(self):
        return True


class Full(io.StringIO):
    """A stream that takes no more."""

    def write(self, text):
        raise OSError(28, "No space left on device")


def test_words_say_what_is_known_and_no_more():
    assert event_words(EMPTY) == "trying out circuits"
    assert event_words(FULL) == (
        "best 1,576.80 USD  about 1,570.00 USD in sight  bound 1,561.00 USD  gap 1 %"
        "  placing 9 breakers"
    )
    assert event_words(BROKEN) == "best 15.20 lb with 1 violation  checking"


def test_piped_each_event_is_a_line():
    out = io.StringIO()
    line = ProgressLine(out)
    line(EMPTY)
    line.tick(3.0)
    line(BROKEN)
    line.close()
    assert out.getvalue() == (
        "  0.5 s  trying out circuits\n 12.3 s  best 15.20 lb with 1 violation  checking\n"
    )


def test_on_a_terminal_one_line_is_redrawn_and_cleared(monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    out = Terminal()
    line = ProgressLine(out)
    line(FULL)
    line(EMPTY)
    line.tick(2.0)
    line.close()
    line.tick(9.0)
    assert "\n" not in out.getvalue()
    first, second, third, blank, last = out.getvalue().split("\r")[1:]
    assert len(first) == 59  # one short of the width, so that the terminal does not wrap it
    assert second.rstrip() == "  0.5 s  trying out circuits"
    assert len(second) == len(first)  # nothing of the longer line before is left
    assert third == "  2.0 s  trying out circuits"
    assert blank.strip() == last == ""
    assert len(blank) >= len(third)


def test_json_lines_are_what_the_schema_says():
    out = io.StringIO()
    lines = EventLines(out)
    for event in (EMPTY, FULL, BROKEN):
        lines(event)
    schema = events_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    told = [json.loads(line) for line in out.getvalue().splitlines()]
    assert len(told) == 3
    for one in told:
        jsonschema.validate(one, schema)
        assert list(one) == list(schema["properties"]) == schema["required"]
    assert told[1]["best"] == {"value": 1576.8, "violations": 0}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**told[0], "seconds": "soon"}, schema)


def test_a_file_that_takes_no_more_ends_the_lines_and_not_the_work():
    lines = EventLines(Full())
    lines(EMPTY)
    lines(FULL)
    assert lines.lost is not None
    assert "No space" in str(lines.lost)


def test_a_file_that_cannot_be_opened_is_told(tmp_path):
    with (
        pytest.raises(EventsError, match="cannot be written"),
        watching(tmp_path / "no" / "events.jsonl"),
    ):
        pass


def test_the_guide_names_every_key(request):
    """docs/progress.md is written by hand; its first example is a line that the schema takes."""
    text = (request.config.rootpath / "docs" / "progress.md").read_text("utf-8")
    schema = events_schema()
    for key in schema["properties"]:
        assert f"| `{key}` |" in text
    line = next(row for row in text.splitlines() if row.startswith("{"))
    jsonschema.validate(json.loads(line), schema)
