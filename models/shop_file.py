"""Reading a shop file: YAML written by hand, every problem named with its line and column.

Reading goes in three steps: the text, each value by itself, then whether the values fit each
other. All problems are told at once: a thing with a wrong value is set aside, and the rest is
asked whether it fits, as far as that can be said without the thing.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from os.path import isfile
from pathlib import Path as FilePath
from typing import Any, Final

from pydantic import ValidationError

from models.marked_yaml import BrokenYamlError, MarkedData, read_marked
from models.price_book import book_path
from models.set_aside import SetAside
from models.shop import SHOP_FORMAT, Row, Shop
from models.shop_checks import check_shop
from models.shop_problem import Path, Problems, ShopProblem
from models.shop_rows import expand
from models.shop_words import sentence, shown

LARGEST_SHOP_BYTES: Final = 256 * 1024
START_OVER: Final = "`branchwright new` writes a shop to begin with"
_ID: Final = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,31}")


@dataclass(frozen=True, order=True)
class Problem:
    """Something to correct in a shop file; lines and columns count from 1."""

    line: int
    column: int
    where: str
    says: str


class ShopFileError(Exception):
    """Everything that is wrong with a shop file, in line order."""

    def __init__(self, file: str, problems: list[Problem]) -> None:
        self.file, self.problems = file, sorted(set(problems))
        super().__init__(file, self.problems)

    def __str__(self) -> str:
        return "\n".join(
            f"{self.file}:{problem.line}:{problem.column}: {problem.where}: {problem.says}"
            for problem in self.problems
        )


def read_shop(path: FilePath) -> Shop:
    """The shop of a file, in canonical order; ShopFileError when anything is wrong with it."""
    return parse_shop(shop_text(path), str(path), path)


def read_rows(path: FilePath) -> tuple[Row, ...]:
    """The rows of a shop file in which nothing is wrong."""
    return Shop.model_validate(read_marked(shop_text(path)).data).rows


def parse_shop(text: str, file: str = "shop.yaml", path: FilePath | None = None) -> Shop:
    """The shop of a text; `file` is the name in the messages, `path` where it is, if anywhere."""
    try:
        marked = read_marked(text)
    except BrokenYamlError as error:
        mark, _, says = error.problem
        raise ShopFileError(file, [Problem(*mark, "text", says)]) from None
    if nothing_useful := _not_a_shop(marked):
        raise ShopFileError(file, [nothing_useful])
    problems = [
        Problem(*mark, where(marked.data, path), says) for mark, path, says in marked.problems
    ]
    aside = SetAside(marked.data)
    try:
        shop: Shop | None = Shop.model_validate(marked.data)
    except ValidationError as error:
        seen = {(problem.line, problem.column) for problem in problems}
        found = _value_problems(error, marked)
        problems += [problem for problem in found if (problem.line, problem.column) not in seen]
        shop = aside.rest(_path(one["loc"], marked.data, one["type"]) for one in error.errors())
    if shop is not None:
        told = [aside.in_file(problem) for problem in check_shop(shop) if aside.is_sure(problem)]
        problems += [
            Problem(*marked.mark(problem.path), where(marked.data, problem.path), problem.says)
            for problem in (*told, *_check_book(shop, path))
        ]
    if problems or shop is None:
        raise ShopFileError(file, problems)
    return Shop.model_validate(expand(shop).shop.canonical())


def _check_book(shop: Shop, path: FilePath | None) -> Problems:
    """The price book of a shop file is where the file says: beside it."""
    book = None if path is None else book_path(path, shop.prices.book)
    if book is not None and not isfile(book):
        says = f"no price book {shown(shop.prices.book)} is beside the shop file ({book}): correct"
        says += " its name, or take `book` out to plan with invented prices"
        yield ShopProblem(("prices", "book"), says)


def shop_text(path: FilePath) -> str:
    """The text of a file that is small enough and in UTF-8, with or without a byte-order mark."""

    def refuse(says: str, line: int = 1, column: int = 1) -> ShopFileError:
        return ShopFileError(str(path), [Problem(line, column, "file", says)])

    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_SHOP_BYTES + 1)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise refuse(f"cannot be read ({reason}): check its name, or {START_OVER}") from None
    if len(content) > LARGEST_SHOP_BYTES:
        raise refuse(f"is larger than {LARGEST_SHOP_BYTES // 1024} kB: is it a shop file?")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = error.object[: error.start].decode("utf-8", errors="replace")
        line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
        byte = error.object[error.start]
        raise refuse(f"byte {byte:#04x} is not UTF-8: save it as UTF-8", line, column) from None


def _not_a_shop(marked: MarkedData) -> Problem | None:
    """Say so when the file is empty, holds something else, or has another format."""
    data, mark = marked.data, marked.mark(())
    if data is None and not marked.problems:
        return Problem(*mark, "file", f"is empty: {START_OVER}")
    if not isinstance(data, dict):
        says = f"holds {shown(data)}, not keys with values: {START_OVER}"
        return Problem(*mark, "file", says)
    if "format" in data and data["format"] != SHOP_FORMAT:
        says = f"{shown(data['format'])} is not the format that this version reads"
        return Problem(*marked.mark(("format",)), "format", f"{says}: write {SHOP_FORMAT}")
    return None


def _value_problems(error: ValidationError, marked: MarkedData) -> Iterator[Problem]:
    """The models' errors, those about the same value put together."""
    says: dict[tuple[Path, bool], list[str]] = {}
    for detail in error.errors(include_url=False):
        kind = detail["type"]
        path = _path(detail["loc"], marked.data, kind)
        found = _value(marked.data, path)
        if kind == "too_short" and len(found) >= detail["ctx"]["min_length"]:
            continue  # the list is long enough, an entry of it has an error of its own
        texts = says.setdefault((path, kind == "extra_forbidden"), [])
        texts.insert(len(texts) if kind == "literal_error" else 0, sentence(detail, path, found))
    for (path, at_key), texts in says.items():
        mark = marked.keys[path] if at_key else marked.mark(path)
        yield Problem(*mark, where(marked.data, path), ", or: ".join(dict.fromkeys(texts)))


def _path(location: Path, data: Any, kind: str) -> Path:
    """The part of a location that is in the file; the rest names choices between models."""
    if kind == "missing":
        return location
    for count, step in enumerate(location):
        inside = isinstance(data, dict) if isinstance(step, str) else isinstance(data, list)
        if not inside or (isinstance(step, str) and step not in data):
            return location[:count]
        data = data[step]
    return location


def _value(data: Any, path: Path) -> Any:
    """The value at a path; None when it is not there."""
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def where(data: Any, path: Path) -> str:
    """A path in words, things by their id: `boxes[W2].height`; the first without id is `[1]`."""
    words: list[str] = []
    for count, step in enumerate(path):
        if isinstance(step, str):
            words.append(f".{step if _ID.fullmatch(step) else shown(step)}")
            continue
        thing = _value(data, path[: count + 1])
        name = thing.get("id") if isinstance(thing, dict) else None
        named = isinstance(name, str) and _ID.fullmatch(name)
        words.append(f"[{name if named else step + 1}]")
    return "".join(words).removeprefix(".") or "file"
