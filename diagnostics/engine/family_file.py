"""A family file's text -> a document whose every value knows its file and line. PURE.

The document is plain TOML data. A ``Table`` hands out its values by key and type
and remembers which were taken, so that ``done`` can refuse what nobody asked for.
Every refusal is a ``FamilyError`` with ``file``, ``line`` (``None`` for a board
model's patch) and ``key``.
"""

import copy
import math
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, NoReturn

from diagnostics.engine.errors import FamilyError, Value

Path = tuple[str | int, ...]
Document = dict[str, Any]
OPEN = "-"
PATCH = "board model"

HEADER = re.compile(r"\[(?P<keys>[^\[\]]+)\]\s*(?:#.*)?")
ONE_KEY = r'(?:"[^"]*"|[A-Za-z0-9_-]+)'
KEYS = re.compile(rf"(?P<keys>{ONE_KEY}(?:\s*\.\s*{ONE_KEY})*)\s*=")
TOML_LINE = re.compile(r"at line (\d+)")


@dataclass
class Source:
    """The texts a document came from, and who wrote what.

    ``owners`` is the file of each section's ids, ``top`` the files of the family
    itself where it builds on another, ``changed`` the path at which it changes a
    value of that other, ``patched`` what a board model's patch has changed.
    """

    texts: Mapping[str, str]
    patched: list[Path] = field(default_factory=list)
    changed: dict[Path, Path] = field(default_factory=dict)
    owners: dict[Path, str] = field(default_factory=dict)
    top: list[str] = field(default_factory=list)

    def refuse(self, code: str, path: Path, **values: Value) -> NoReturn:
        """Raise the ``FamilyError`` with the place of ``path``."""
        file, line = self.place(path)
        raise FamilyError(code, file=file, line=line, key=dotted(path), **values)

    def place(self, path: Path) -> tuple[str, int | None]:
        """File and line where ``path`` stands, or its longest known beginning.

        A changed value's neighbours made sense before, so the change is to blame
        where they cross it.
        """
        if any(_is_to_blame(done, path) for done in self.patched):
            return PATCH, None
        written = [at for done, at in self.changed.items() if _is_to_blame(done, path)]
        path = written[-1] if written else path
        ends = [path[:count] for count in (3, 2, 1)]
        owner = next((self.owners[end] for end in ends if end in self.owners), None)
        files = [owner] if owner else self.top or [*self.texts]
        found = [(*deepest_line(self.texts[file], path), file) for file in files]
        _depth, line, file = max(found, key=lambda one: one[0])
        return file, line


def _is_to_blame(done: Path, path: Path) -> bool:
    is_neighbour = path[:-1] == done[:-1] and len(path) > 3
    return path[: len(done)] == done or is_neighbour


def dotted(path: Path) -> str:
    return ".".join(str(step) for step in path)


# --- finding a line -----------------------------------------------------------


def deepest_line(text: str, path: Path) -> tuple[int, int]:
    """How many steps of ``path`` the text names, and the line of the last of them.

    >>> deepest_line('[rails.main]\\nlow = 1\\nhigh = 2', ("rails", "main", "high"))
    (3, 3)
    """
    depth, line = 0, 1
    lines = text.splitlines()
    for number, keys in statements(lines):
        if keys == path[: len(keys)] and len(keys) > depth:
            depth, line = len(keys), number
    return _inside(lines, line, path, depth)


def statements(lines: list[str]) -> Iterator[tuple[int, Path]]:
    """Every header and every key that opens a line, with its whole path."""
    header: Path = ()
    for number, line in enumerate(lines, 1):
        opened = HEADER.fullmatch(line.strip())
        named = KEYS.match(line)
        if opened:
            header = split_keys(opened["keys"])
            yield number, header
        elif named:
            yield number, header + split_keys(named["keys"])


def split_keys(keys: str) -> tuple[str, ...]:
    return tuple(key.strip('"') for key in re.findall(ONE_KEY, keys))


def _inside(lines: list[str], line: int, path: Path, depth: int) -> tuple[int, int]:
    """Go on into a list, to the line where the item begins."""
    step = path[depth] if depth < len(path) else None
    if not isinstance(step, int):
        return depth, line
    _key, _equals, first = lines[line - 1].partition("=")
    following = (number for number, _keys in statements(lines) if number > line)
    end = next(following, len(lines) + 1) - 1
    begins = [*item_lines([first, *lines[line:end]])][step : step + 1]
    return depth + 1, line + sum(begins)


def item_lines(lines: list[str]) -> Iterator[int]:
    """For each item of the list that opens the text: lines after the first.

    >>> list(item_lines(['[', '"a", { id = "b, c" },', '{ id = "d" }]']))
    [1, 1, 2]
    """
    depth, is_before_item = 0, False
    for number, line in enumerate(lines):
        is_quoted = False
        for sign in line:
            if is_before_item and not sign.isspace() and sign not in ",]#":
                is_before_item = False
                yield number
            if sign == '"':
                is_quoted = not is_quoted
            elif is_quoted:
                continue
            elif sign == "#":
                break
            depth += (sign in "[{") - (sign in "]}")
            if depth == 0 and sign == "]":
                return
            is_before_item |= depth == 1 and sign in "[,"


# --- reading ------------------------------------------------------------------


def parse_toml(text: str, file: str) -> Document:
    """The text's document, the caller's own; the same text is parsed once."""
    return copy.deepcopy(_parsed(text, file))


@lru_cache(maxsize=128)
def _parsed(text: str, file: str) -> Document:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        at = TOML_LINE.search(message)
        line = int(at[1]) if at else len(text.splitlines())
        is_twice = "twice" in message or "overwrite" in message
        raise FamilyError(
            "duplicate_id" if is_twice else "not_toml",
            file=file,
            line=line,
            key=_key_at(text, line),
            message=message,
        ) from error


def _key_at(text: str, line: int) -> str:
    opened = [keys for number, keys in statements(text.splitlines()) if number <= line]
    return dotted(opened[-1]) if opened else ""


class Table:
    """A table of the document: typed values by key, and nothing left over."""

    def __init__(self, data: object, path: Path, source: Source) -> None:
        if not isinstance(data, dict):
            source.refuse("wrong_type", path, wanted="table")
        self.data: Document = data
        self.path = path
        self.source = source
        self.taken: set[str] = set()

    def refuse(self, code: str, key: str | None = None, **values: Value) -> NoReturn:
        path = self.path if key is None else (*self.path, key)
        self.source.refuse(code, path, **values)

    def has(self, key: str) -> bool:
        return key in self.data

    def get(self, key: str) -> Any:
        self.taken.add(key)
        if key not in self.data:
            self.refuse("missing_key", key)
        return self.data[key]

    def done(self) -> None:
        """Refuse the first key that nobody asked for."""
        for key in self.data:
            if key not in self.taken:
                self.refuse("unknown_key", key)

    # --- values

    def text(self, key: str, default: str | None = None) -> str:
        if default is not None and not self.has(key):
            return default
        value = self.get(key)
        if not isinstance(value, str):
            self.refuse("wrong_type", key, wanted="text")
        return value

    def choice(
        self, key: str, among: frozenset[str], default: str | None = None
    ) -> str:
        value = self.text(key, default)
        if value not in among:
            self.refuse(
                "unknown_value", key, value=value, among=" ".join(sorted(among))
            )
        return value

    def flag(self, key: str) -> bool:
        if not self.has(key):
            return False
        value = self.get(key)
        if not isinstance(value, bool):
            self.refuse("wrong_type", key, wanted="true or false")
        return value

    def number(self, key: str) -> float:
        return self._number(self.get(key), key)

    def optional_number(self, key: str) -> float | None:
        return self.number(key) if self.has(key) else None

    def whole(self, key: str) -> int:
        value = self.get(key)
        if isinstance(value, bool) or not isinstance(value, int):
            self.refuse("wrong_type", key, wanted="whole number")
        return value

    def texts(self, key: str, *, is_needed: bool = False) -> tuple[str, ...]:
        if not is_needed and not self.has(key):
            return ()
        values = self.items_of(key)
        for value in values:
            if not isinstance(value, str):
                self.refuse("wrong_type", key, wanted="list of texts")
        return tuple(values)

    def pair(self, key: str) -> tuple[float, float]:
        """Two numbers, the first not above the second."""
        values = self.items_of(key)
        if len(values) != 2:
            self.refuse("wrong_type", key, wanted="two numbers")
        low, high = (self._number(value, key) for value in values)
        if low > high:
            self.refuse("empty_span", key, first=low, second=high)
        return low, high

    def span(self, key: str) -> tuple[float | None, float | None] | None:
        """Two numbers, or one and "-" for an open side."""
        if not self.has(key):
            return None
        values = self.items_of(key)
        if len(values) == 2 and values.count(OPEN) == 1:
            first, second = values
            low = None if first == OPEN else self._number(first, key)
            high = None if second == OPEN else self._number(second, key)
            return low, high
        return self.pair(key)

    def two_texts(self, key: str) -> tuple[str, str] | None:
        values = self.texts(key)
        if not values:
            return None
        if len(values) != 2:
            self.refuse("wrong_type", key, wanted="two texts")
        return values[0], values[1]

    def pairs(self, key: str) -> tuple[tuple[str, str], ...]:
        """A list of pairs of texts, or none."""
        found: list[tuple[str, str]] = []
        for pair in self.items_of(key) if self.has(key) else []:
            if not (
                isinstance(pair, list) and [type(end) for end in pair] == [str, str]
            ):
                self.refuse("wrong_type", key, wanted="pairs of texts")
            found.append((pair[0], pair[1]))
        return tuple(found)

    def items_of(self, key: str) -> list[Any]:
        value = self.get(key)
        if not isinstance(value, list):
            self.refuse("wrong_type", key, wanted="list")
        return value

    def table(self, key: str) -> "Table":
        return Table(self.get(key), (*self.path, key), self.source)

    def tables(self) -> Iterator[tuple[str, "Table"]]:
        """Every key of a table of tables."""
        for key in self.data:
            yield key, self.table(key)

    def _number(self, value: object, key: str) -> float:
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if not is_number or not math.isfinite(float(value)):  # type: ignore[arg-type]
            self.refuse("wrong_type", key, wanted="number")
        return float(value)  # type: ignore[arg-type]
