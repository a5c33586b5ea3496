"""Every text of ours that goes through gettext, found without gettext's tools.

Python and templates by Babel (templates as Django's own ``templatize`` gives them),
and the texts of the engine, which knows of no gettext: those of the families' files,
by their keys, those of the calculators, and the names of the countries.
"""

import tomllib
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from django.utils.translation.template import templatize

from diagnostics.engine.calculators.registry import CALCULATORS
from diagnostics.engine.calculators.shape import Calculator
from diagnostics.engine.family_load import FOLDER
from shop.opening.countries import FILE as COUNTRIES
from shop.opening.countries import countries

ROOT = Path(__file__).resolve().parents[2]
Message = str | tuple[str, ...]
Found = tuple[str, str | None, Message]  # where, context, one text or its two numbers
KEYWORDS: dict[str, Any] = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "npgettext_lazy": ((1, "c"), 2, 3),
}
ENGINE = ROOT / "diagnostics" / "engine"
# What people read of a family's file; all else in it are ids and figures.
# Their keys are codes of answers, said by ``words.values.category_name``.
CODES = frozenset({"categories", "patterns"})
FAMILY_KEYS = frozenset(
    {
        *("name", "label", "where", "risk", "trap", "repair"),
        *("fail_tells", "pass_tells", "source"),
    }
)


def all_messages() -> Catalog:
    """What there is to translate, in the order of the files, without line numbers."""
    catalog = Catalog(fuzzy=False)
    for where, context, message in (
        *_of_python(),
        *_of_templates(),
        *_of_families(),
        *_of_calculators(),
        *_of_countries(),
    ):
        catalog.add(message, locations=[(where, 0)], context=context)
    return catalog


def _of_python() -> Iterator[Found]:
    for room in ("diagnostics", "shop"):
        for path in sorted((ROOT / room).rglob("*.py")):
            if ENGINE not in path.parents and "migrations" not in path.parts:
                yield from _of_source(path, path.read_text(encoding="utf-8"))


def _of_templates() -> Iterator[Found]:
    for path in sorted((ROOT / "templates").rglob("*")):
        if path.is_file():
            source = templatize(path.read_text(encoding="utf-8"), origin=str(path))
            lines = (line.lstrip() for line in source.splitlines())
            yield from _of_source(path, "\n".join(lines))


def _of_source(path: Path, source: str) -> Iterator[Found]:
    where = path.relative_to(ROOT).as_posix()
    text = BytesIO(source.encode())
    for _line, message, _comments, context in extract(
        "python", text, keywords=KEYWORDS, options={"encoding": "utf-8"}
    ):
        yield where, context, message


def _of_families() -> Iterator[Found]:
    for path in sorted(FOLDER.rglob("*.toml")):
        where = path.relative_to(ROOT).as_posix()
        for text in _texts(tomllib.loads(path.read_text(encoding="utf-8")), ()):
            yield where, None, text


def _texts(node: Any, keys: tuple[str, ...]) -> Iterator[str]:
    if isinstance(node, dict):
        if keys and keys[-1] in CODES:
            yield from (str(key).replace("_", " ") for key in node)
        for key, value in node.items():
            yield from _texts(value, (*keys, *str(key).split(".")))
    elif isinstance(node, list):
        for one in node:
            if not isinstance(one, str):
                yield from _texts(one, keys)
    elif isinstance(node, str) and node and _is_read(keys):
        yield node


def _is_read(keys: tuple[str, ...]) -> bool:
    return keys[-1] in FAMILY_KEYS or keys[:2] == ("stages", "names")


def _of_countries() -> Iterator[Found]:
    where = COUNTRIES.relative_to(ROOT).as_posix()
    for one in countries().values():
        yield where, None, one.name
        yield where, None, one.tax_name


def _of_calculators() -> Iterator[Found]:
    for one in CALCULATORS.values():
        for text in filter(None, texts_of_calculator(one)):
            yield "diagnostics/engine/calculators", None, text


def texts_of_calculator(one: Calculator) -> Iterator[str]:
    yield from (one.name, one.formula)
    for given in one.inputs:
        yield from (given.label, given.help, *(name for _id, name in given.choices))
    yield from (output.label for output in one.outputs)
    yield from (limit.label for limit in one.limits)
