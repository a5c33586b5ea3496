"""A family of one supply and one load, small enough to spoil one line at a time.

``LARGER`` builds on it; ``WITH_CIRCUIT`` is the same with its circuit.
"""

import re
from pathlib import Path

SMALL = Path(__file__).with_suffix(".toml").read_text(encoding="utf-8")
LARGER = Path(__file__).with_name("larger_family.toml").read_text(encoding="utf-8")
CIRCUIT = Path(__file__).with_name("small_circuit.toml").read_text(encoding="utf-8")
WITH_CIRCUIT = f"{SMALL}\n{CIRCUIT}"


def spoilt(old: str, new: str, text: str = SMALL) -> str:
    """The small family with one piece of its text changed."""
    assert text.count(old) == 1, old
    return text.replace(old, new)


def with_checks(more: str, text: str = WITH_CIRCUIT) -> str:
    """The small family with further checks, walked after the others."""
    names = re.findall(r"^\[checks\.(\w+)\]", more, re.MULTILINE)
    walked = ", ".join(f'"{name}"' for name in ("k18", "k48", *names))
    return spoilt('cpu = ["k18", "k48"]', f"cpu = [{walked}]", text) + more


def line_of(text: str, piece: str) -> int:
    """The line of a text that holds a piece, from 1."""
    return text[: text.index(piece)].count("\n") + 1
