"""The files of a family -> one document; a family may build on another. PURE.

A family that says ``extends`` takes over every section of that other family, id by
id. What it writes itself is added. What is other, it says:

    leaves_out   section = [ids] that are not taken over; such an id may be given
                 anew, and then takes the old one's place in the order
    changes      "dotted key" = value, as a board model's patch changes it

An id that stands in both and is not left out is refused: nothing is replaced by a
slip of the keyboard. The whole then goes through the same strict reading as any
family, and a refusal names the file and line where the value was written.
"""

from collections.abc import Mapping
from typing import Any, NoReturn

from diagnostics.engine.errors import FamilyError
from diagnostics.engine.family_file import (
    Document,
    Source,
    Table,
    deepest_line,
    dotted,
    parse_toml,
)
from diagnostics.engine.family_patch import change

EXTENDS = "extends"
# What says who a family is and which files are its own is never taken over.
DEEP = "circuit"  # its sections are merged each for itself
BELONGS = {"faults": "parts", "read_at": "checks", "answers": "checks"}
NEVER_TAKEN_OVER = ("id", "name", "version", "files", EXTENDS)


def read_documents(texts: Mapping[str, str]) -> tuple[Document, Source]:
    """All files of a family, and of the family it builds on, as one document.

    Each section's keys stand in one file. Raises ``FamilyError``: ``not_toml``
    (message), ``duplicate_id``, ``not_left_out``, ``unknown_family`` (family),
    ``unknown_reference`` (to), ``unknown_patch``, ``wrong_type`` (wanted).
    """
    source = Source(texts)
    parsed = {file: parse_toml(text, file) for file, text in texts.items()}
    layers = _layers(parsed, source)
    document = _merged(parsed, layers[0], source)
    for files in layers[1:]:
        source.top = files
        document = _over(document, _merged(parsed, files, source), source)
    return document, source


# --- which files belong together ----------------------------------------------


def _layers(parsed: Mapping[str, Document], source: Source) -> list[list[str]]:
    """The files of each family, the one that the others build on first."""
    extending = [file for file, document in parsed.items() if EXTENDS in document]
    if not extending:
        return [list(parsed)]
    bases = [_base_of(parsed, file, source) for file in extending]
    tops = [file for file in extending if parsed[file].get("id") not in bases]
    if len(tops) != 1:
        _refuse_base(source, extending[0], bases[0])
    head = tops[0]
    listed = Table(parsed[head], (), source).texts("files")
    own = [file for file in parsed if file == head or file in listed]
    rest = {file: parsed[file] for file in parsed if file not in own}
    base = _base_of(parsed, head, source)
    if base not in [document.get("id") for document in rest.values()]:
        _refuse_base(source, head, base)
    return [*_layers(rest, source), own]


def _base_of(parsed: Mapping[str, Document], file: str, source: Source) -> str:
    return Table(parsed[file], (), source).text(EXTENDS)


def _refuse_base(source: Source, file: str, base: str) -> NoReturn:
    _depth, line = deepest_line(source.texts[file], (EXTENDS,))
    raise FamilyError("unknown_family", family=base, file=file, line=line, key=EXTENDS)


# --- the files of one family ----------------------------------------------------


def _merged(
    parsed: Mapping[str, Document], files: list[str], source: Source
) -> Document:
    document: Document = {}
    for file in files:
        for key, value in parsed[file].items():
            _merge(document, key, value, source, file)
    return document


def _merge(document: Document, key: str, value: Any, source: Source, file: str) -> None:
    """One section of a file; an id that is there already is refused."""
    if key == DEEP and isinstance(value, dict):
        inner = document.setdefault(key, {})
        for name, table in value.items():
            _merge_at(inner, (key, name), table, source, file)
    else:
        _merge_at(document, (key,), value, source, file)


def _merge_at(
    document: Document, path: tuple[str, ...], value: Any, source: Source, file: str
) -> None:
    """What stands under the last step of the path, id by id."""
    key = path[-1]
    if key not in document:
        document[key] = {} if isinstance(value, dict) else value
        source.owners[path] = file
    elif not (isinstance(value, dict) and isinstance(document[key], dict)):
        _refuse_twice(source, file, path)
    for name, table in value.items() if isinstance(value, dict) else ():
        if name in document[key]:
            _refuse_twice(source, file, (*path, name))
        document[key][name] = table
        source.owners[*path, name] = file


def _refuse_twice(source: Source, file: str, path: tuple[str, ...]) -> NoReturn:
    _depth, line = deepest_line(source.texts[file], path)
    raise FamilyError("duplicate_id", file=file, line=line, key=dotted(path))


# --- one family over another -----------------------------------------------------


def _over(base: Document, own: Document, source: Source) -> Document:
    """The base without what is left out, what is written here, and what it changes."""
    left_out = _left_out(own.pop("leaves_out", {}), base, source)
    changes = Table(own.pop("changes", {}), ("changes",), source).data
    document: Document = {}
    for section in dict.fromkeys((*base, *own)):
        if section in NEVER_TAKEN_OVER:
            continue
        taken_over = base.get(section, {})
        written = own.get(section, {})
        if not isinstance(written, dict) or not isinstance(taken_over, dict):
            source.refuse("wrong_type", (section,), wanted="table")
        document[section] = (
            _deep(taken_over, written, left_out, source)
            if section == DEEP and taken_over
            else _section((section,), taken_over, written, left_out, source)
        )
    for key in NEVER_TAKEN_OVER:
        if key in own:
            document[key] = own[key]
        else:
            source.owners.pop((key,), None)
    del document[EXTENDS]
    for key, value in changes.items():
        change(document, key, value, source)
    return document


def _left_out(
    written: object, base: Document, source: Source
) -> dict[str, tuple[str, ...]]:
    """The ids left out of each section; each must be there."""
    table = Table(written, ("leaves_out",), source)
    found = {}
    for section in table.data:
        ids = table.texts(section)
        among: Any = base
        for step in section.split("."):
            among = among.get(step) if isinstance(among, dict) else None
        for one in ids:
            if not isinstance(among, dict) or one not in among:
                table.refuse("unknown_reference", section, to=one)
        found[section] = ids
    return found


def _deep(
    taken_over: Document,
    written: Document,
    left_out: Mapping[str, tuple[str, ...]],
    source: Source,
) -> Document:
    """The sections of the circuit, each for itself.

    What belongs to a part or a check that is left out goes with it.
    """
    found: Document = {}
    left_out = {**left_out}
    for name, section in BELONGS.items():
        gone = left_out.get(section, ())
        named = left_out.get(f"{DEEP}.{name}", ())
        theirs = [key for key in taken_over.get(name, {}) if _owner(key) in gone]
        left_out[f"{DEEP}.{name}"] = (*named, *theirs)
    for name in dict.fromkeys((*taken_over, *written)):
        one, other = taken_over.get(name, {}), written.get(name, {})
        if isinstance(one, dict) and isinstance(other, dict):
            found[name] = _section((DEEP, name), one, other, left_out, source)
        elif name in written and name in taken_over:
            source.refuse("not_left_out", (DEEP, name))
        else:
            found[name] = other if name in written else one
    return found


def _owner(key: str) -> str:
    """The part of a fault, or the check of a point."""
    return key.partition("/")[0]


def _section(
    path: tuple[str, ...],
    taken_over: Document,
    written: Document,
    left_out: Mapping[str, tuple[str, ...]],
    source: Source,
) -> Document:
    """The ids of a section in the base's order, then the new ones."""
    found: Document = {}
    gone = left_out.get(".".join(path), ())
    for key, value in taken_over.items():
        if key not in gone:
            found[key] = value
            if key in written:
                source.refuse("not_left_out", (*path, key))
        elif key in written:
            found[key] = written[key]
    return found | {key: value for key, value in written.items() if key not in found}
