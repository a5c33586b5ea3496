"""Changes over a family's document: a board model's, or a family's over its base. PURE.

A key has dots, and ids hold dots too ("rails.sb.33.volts.low"): the longest id that
is there counts. A list's members go by their id ("parts.p.cmain.modes.short.weight").
"""

import copy
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from diagnostics.engine.errors import FamilyError
from diagnostics.engine.family_file import PATCH, Document, Path, Source

CHOSEN = frozenset({"counts", "variants"})


@dataclass(frozen=True)
class Patch:
    """One change of a board model: a dotted key and its new value."""

    key: str
    value: Any


def apply(document: Document, patches: Sequence[Patch], source: Source) -> None:
    """Choices first, then what the chosen variants set, then the other patches.

    Raises ``FamilyError`` ``unknown_patch`` for a key that leads nowhere.
    """
    for patch in patches:
        if patch.key.split(".")[0] in CHOSEN:
            _set(document, patch, source)
    _choose_variants(document, source)
    for patch in patches:
        if patch.key.split(".")[0] not in CHOSEN:
            _set(document, patch, source)


def _choose_variants(document: Document, source: Source) -> None:
    """Set what the chosen option of each variant sets."""
    for variant in _table(document, "variants").values():
        chosen = str(variant.get("default")) if isinstance(variant, dict) else ""
        for key, value in _table(variant, "options", chosen, "set").items():
            _set(document, Patch(key, copy.deepcopy(value)), source)


def _table(node: Any, *keys: str) -> Document:
    """The table under the keys, or an empty one: the strict reading refuses later."""
    for key in keys:
        node = node.get(key) if isinstance(node, dict) else None
    return node if isinstance(node, dict) else {}


def change(document: Document, key: str, value: Any, source: Source) -> None:
    """A family's change of the family that it builds on, at its own file and line.

    Raises ``FamilyError`` ``unknown_patch`` for a key that leads nowhere.
    """
    at = ("changes", key)
    path = _resolve(document, key)
    if path is None:
        source.refuse("unknown_patch", at)
    _put(document, path, value)
    source.changed[path] = at


def _set(document: Document, patch: Patch, source: Source) -> None:
    path = _resolve(document, patch.key)
    if path is None:
        raise FamilyError("unknown_patch", file=PATCH, line=None, key=patch.key)
    _put(document, path, patch.value)
    source.patched.append(path)


def _put(document: Document, path: Path, value: Any) -> None:
    target: Any = document
    for step in path[:-1]:
        target = target[step]
    last = path[-1]
    held = target.get(last) if isinstance(target, dict) else None
    is_choice = path[0] in CHOSEN and isinstance(held, dict)
    if is_choice and not isinstance(value, dict):
        target, last = held, "default"
    target[last] = value


def _resolve(document: Document, key: str) -> Path | None:
    """The path of a dotted key, or ``None`` where it leads nowhere.

    Ids hold dots, so the longest known one counts. Only the last step may be new;
    the reading then says whether it makes sense.
    """
    path: list[str | int] = []
    node: Any = document
    steps = key.split(".")
    while steps:
        taken = _longest(node, steps)
        if taken is None:
            if len(steps) > 1 or not isinstance(node, dict) or len(path) < 2:
                return None
            return (*path, steps[0])
        count, step = taken
        path.append(step)
        node, steps = node[step], steps[count:]
    return tuple(path)


def _longest(node: Any, steps: list[str]) -> tuple[int, str | int] | None:
    known: dict[str, str | int] = {}
    if isinstance(node, dict):
        known = {key: key for key in node}
    elif isinstance(node, list):
        named = [n if isinstance(n, str) else n.get("id", "") for n in node]
        known = {name: place for place, name in enumerate(named)}
    for count in range(len(steps), 0, -1):
        name = ".".join(steps[:count])
        if name in known:
            return count, known[name]
    return None
