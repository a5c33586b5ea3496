"""Where families come from: their texts, and those of the families they build on. PURE.

The only reading of files in the engine: the families that come with the program,
and one that its author is writing.
"""

import hashlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NoReturn

from diagnostics.engine.errors import FamilyError, Value
from diagnostics.engine.family import Family
from diagnostics.engine.family_build import build
from diagnostics.engine.family_file import Document, deepest_line, parse_toml
from diagnostics.engine.family_layers import EXTENDS, read_documents
from diagnostics.engine.family_patch import Patch, apply
from diagnostics.engine.family_refs import hold_together

FOLDER = Path(__file__).parent / "families"
FAMILY_IDS = ("laptop_barrel", "laptop_usbc", "desktop_atx")


def load_family(wanted: str) -> Family:
    """Read a family that comes with the program.

    Raises ``FamilyError``: ``unknown_family`` (family), and all of the reading.
    """
    if wanted not in FAMILY_IDS:
        raise FamilyError("unknown_family", family=wanted, file="", line=None, key="id")
    return load_family_file(FOLDER / f"{wanted}.toml")


def load_family_file(head: Path) -> Family:
    """Read a family by the file that opens it; the others lie beside it.

    A family that it builds on is one of ours. Raises ``FamilyError`` as all of the
    reading does, and ``no_such_file`` (name).
    """
    return load_family_texts(texts_of(head))


def load_family_text(text: str, file: str) -> Family:
    """Read a family that stands in one text; ``file`` is its name in refusals."""
    return load_family_texts({file: text})


def load_family_texts(texts: Mapping[str, str]) -> Family:
    """Read a family from the texts of its files, by name."""
    return read_family(texts, (), _hash(texts))


def options_of(family: Family) -> dict[str, tuple[str, ...]]:
    """What a board model may choose: the options of each variant, its default first.

    >>> options_of(load_family("laptop_barrel"))["graphics"]
    ('chip', 'none')
    """
    document, _source = read_documents(family.texts)
    variants = document.get("variants", {}).items()
    return {
        name: tuple(dict.fromkeys((variant["default"], *variant["options"])))
        for name, variant in variants
    }


def read_family(
    texts: Mapping[str, str], patches: Sequence[Patch], content_hash: str
) -> Family:
    """The texts as a family, after a board model's patches."""
    document, source = read_documents(texts)
    apply(document, patches, source)
    return hold_together(build(document, source, content_hash), source)


def texts_of(head: Path, above: tuple[str, ...] = ()) -> dict[str, str]:
    """The texts of a family's files, after those of the families it builds on.

    ``above`` are the families that build on this one.
    """
    text = _read(head, head.name, "")
    document = parse_toml(text, head.name)
    texts = _texts_of_base(document, head.name, text, above) | {head.name: text}
    for name in _listed(document):
        texts[name] = _read(head.parent / name, head.name, text)
    return texts


def _read(path: Path, head: str, text: str) -> str:
    """A file's text; ``text`` is that of the head that names it."""
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        _refuse("no_such_file", head, text, "files", name=path.name)


def _listed(document: Document) -> list[str]:
    """The files that a head names; the strict reading refuses other things later."""
    files = document.get("files", [])
    return [str(one) for one in files] if isinstance(files, list) else []


def _texts_of_base(
    document: Document, file: str, text: str, above: tuple[str, ...]
) -> dict[str, str]:
    base = document.get(EXTENDS)
    if base is None:
        return {}
    if base not in FAMILY_IDS or base in above:
        _refuse("unknown_family", file, text, EXTENDS, family=str(base))
    return texts_of(FOLDER / f"{base}.toml", (*above, str(base)))


def _refuse(code: str, file: str, text: str, key: str, **values: Value) -> NoReturn:
    _depth, line = deepest_line(text, (key,))
    raise FamilyError(code, file=file, line=line, key=key, **values)


def _hash(texts: Mapping[str, str]) -> str:
    digest = hashlib.sha256()
    for name in sorted(texts):
        for part in (name, texts[name].replace("\r\n", "\n")):
            digest.update(part.encode() + b"\0")
    return digest.hexdigest()
