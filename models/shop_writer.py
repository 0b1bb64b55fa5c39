"""Writing into a shop file: one value is changed or added, comments and layout stay as they are.

The text is edited where the value stands and read again: what it says then must be what was meant,
or nothing is written.
"""

from copy import deepcopy
from pathlib import Path as FilePath
from typing import Any, Final, Literal

from models.marked_yaml import BrokenYamlError, MarkedData, read_marked
from models.plan_file import write_whole
from models.quantities import feet_inches, parse_length_ft
from models.shop import Shop
from models.shop_file import ShopFileError, parse_shop, shop_text
from models.shop_problem import Path
from models.shop_rows import row_boxes

PINS: Final = "pins"
BOM: Final = "\ufeff"


class WriteError(ValueError):
    """A change that cannot be written into this text."""


def write_ids(path: FilePath) -> list[str]:
    """Write down the ids of every row whose boxes are not all named; the rows written.

    ShopFileError when the file is not sound: nothing is written then.
    """
    text = shop_text(path)
    parse_shop(text, str(path), path)
    changed, rows = with_ids(text)
    if rows:
        parse_shop(changed, str(path), path)
        _write(path, changed)
    return rows


def write_pin(path: FilePath, kind: Literal["together", "apart"], yokes: tuple[str, ...]) -> None:
    """Add a pin; ShopFileError when the file is not sound, or not with it: nothing is written."""
    text = shop_text(path)
    parse_shop(text, str(path), path)
    changed = with_pin(text, kind, yokes)
    try:
        parse_shop(changed, str(path), path)
    except ShopFileError as error:
        says = "; ".join(f"{problem.where}: {problem.says}" for problem in error.problems)
        raise WriteError(f"{path}: not pinned, {says}") from None
    _write(path, changed)


def _write(path: FilePath, text: str) -> None:
    """Replace a shop file by a sound text, with its mode and its byte-order mark."""
    there = path.resolve()
    mark = BOM if there.read_bytes().startswith(BOM.encode()) else ""
    mode = there.stat().st_mode
    write_whole(there, mark + text)
    there.chmod(mode)


def with_ids(text: str) -> tuple[str, list[str]]:
    """The text with the ids of its rows, and the rows that got some."""
    data = read_marked(text).data
    shop = Shop.model_validate(data)
    rows = []
    for index, row in enumerate(shop.rows):
        places = {}
        for box in row_boxes(shop, row):
            x, y, _ = shop.position(box)
            along_y = box.y_ft is not None if row.wall else _along_y(shop, index)
            places[box.id] = y if along_y else x
        missing = {name: place for name, place in places.items() if name not in row.ids}
        if not missing:
            continue
        path: Path = ("rows", index, "ids")
        if row.ids:  # one by one, so that comments between those there stay
            for name, place in missing.items():
                text = with_value(text, (*path, name), _feet(place))
        else:
            value = ", ".join(f"{name}: {_feet(place)}" for name, place in missing.items())
            text = with_value(text, path, f"{{{value}}}")
        rows.append(row.id)
    return text, rows


def _along_y(shop: Shop, index: int) -> bool:
    """Whether a ceiling row goes along y."""
    row = shop.rows[index]
    return (
        isinstance(row.start, tuple) and isinstance(row.end, tuple) and row.start[0] == row.end[0]
    )


def _feet(length_ft: float) -> str:
    """A length as people write it where that is exact, else in decimals."""
    text = feet_inches(length_ft)
    exact = length_ft >= 0 and parse_length_ft(text) == length_ft
    return text if exact else f"{length_ft:g} ft"


def with_pin(text: str, kind: str, yokes: tuple[str, ...]) -> str:
    """The text with one pin more."""
    data = read_marked(text).data
    value = f"[{', '.join(yokes)}]"
    pins = data.get(PINS) or {}
    if isinstance(pins.get(kind), list):
        return with_item(text, (PINS, kind), value)
    if pins:
        return with_value(text, (PINS, kind), f"[{value}]")
    if PINS in data:
        return with_value(text, (PINS,), f"{{{kind}: [{value}]}}")
    ending = "" if text.endswith("\n") else _newline(text)
    nl = _newline(text)
    return f"{text}{ending}{nl}{PINS}:{nl}  {kind}:{nl}    - {value}{nl}"


def with_value(text: str, path: Path, value: str) -> str:
    r"""The text with the value at a path changed; the key is added when it is not there.

    >>> with_value("a: 1 ft # why\nb: 2\n", ("a",), "3 ft")
    'a: 3 ft # why\nb: 2\n'
    """
    marked = read_marked(text)
    if path in marked.spans:
        begin, end = marked.spans[path]
        if begin == end:  # nothing after the colon
            begin = end = len(text[:begin].rstrip())
        found = text[:begin] + _spaced(text, begin, value) + text[_trimmed(text, begin, end) :]
    else:
        found = _with_key(text, marked, path[:-1], str(path[-1]), value)
    return _checked(text, marked.data, found, path, value)


def with_item(text: str, path: Path, value: str) -> str:
    r"""The text with one item more at the end of a list.

    >>> with_item("a:\n  - 1 # one\nb: 2\n", ("a",), "2")
    'a:\n  - 1 # one\n  - 2\nb: 2\n'
    """
    marked = read_marked(text)
    items = _at(marked.data, path)
    if path in marked.flow:
        end = marked.spans[path][1] - 1
        comma = ", " if items else ""
        found = text[:end].rstrip() + comma + value + text[end:]
    else:
        last = (*path, len(items) - 1)
        dash = text.rfind("-", 0, marked.spans[last][0])
        indent = dash - (text.rfind("\n", 0, dash) + 1)
        found = _after_line(text, marked, last, " " * indent + "- " + value)
    return _checked(text, marked.data, found, (*path, len(items)), value)


def _with_key(text: str, marked: MarkedData, path: Path, key: str, value: str) -> str:
    """The text with a new last key in a mapping that has some."""
    mapping = _at(marked.data, path)
    if not isinstance(mapping, dict) or not mapping:
        raise WriteError(f"{'.'.join(map(str, path))} has no keys to add {key!r} to")
    if path in marked.flow:
        end = marked.spans[path][1] - 1
        kept = text[:end].rstrip().removesuffix(",")
        return f"{kept}, {key}: {value}{text[end:]}"
    last = (*path, list(mapping)[-1])
    indent = marked.keys[last].column - 1
    return _after_line(text, marked, last, " " * indent + f"{key}: {value}")


def _after_line(text: str, marked: MarkedData, path: Path, line: str) -> str:
    """The text with a line after the one where a value ends."""
    end = max(
        _trimmed(text, begin, end)
        for at, (begin, end) in marked.spans.items()
        if at[: len(path)] == path
    )
    at = text.find("\n", end)
    nl = _newline(text)
    if at < 0:
        return f"{text}{nl}{line}{nl}"
    return f"{text[: at + 1]}{line}{nl}{text[at + 1 :]}"


def _trimmed(text: str, begin: int, end: int) -> int:
    """The end of a value without the blank space after it."""
    return begin + len(text[begin:end].rstrip())


def _spaced(text: str, begin: int, value: str) -> str:
    """A value with a space before it when it comes right after a colon."""
    return f" {value}" if begin and text[begin - 1] == ":" else value


def _newline(text: str) -> str:
    """The line ending that a text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def _at(data: Any, path: Path) -> Any:
    """The value at a path."""
    for step in path:
        data = data[step]
    return data


def _checked(old: str, before: Any, text: str, path: Path, value: str) -> str:
    """The new text, when it says what was meant and nothing else, and has every comment."""
    wanted = deepcopy(before)
    holder, last = _at(wanted, path[:-1]), path[-1]
    says = f"the value at {'.'.join(map(str, path))} cannot be written here by itself"
    try:
        new, read = read_marked(value).data, read_marked(text).data
    except BrokenYamlError:
        raise WriteError(says) from None
    if isinstance(holder, list) and last == len(holder):
        holder.append(new)
    else:
        holder[last] = new
    if read != wanted or text.count("#") < old.count("#"):
        raise WriteError(says)
    return text
