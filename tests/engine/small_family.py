"""A family of one supply and one load, small enough to spoil one line at a time.

``LARGER`` builds on it.
"""

from pathlib import Path

SMALL = Path(__file__).with_suffix(".toml").read_text(encoding="utf-8")
LARGER = Path(__file__).with_name("larger_family.toml").read_text(encoding="utf-8")


def spoilt(old: str, new: str) -> str:
    """The small family with one piece of its text changed."""
    assert SMALL.count(old) == 1, old
    return SMALL.replace(old, new)


def line_of(text: str, piece: str) -> int:
    """The line of a text that holds a piece, from 1."""
    return text[: text.index(piece)].count("\n") + 1
