"""The small family with its circuit, to be spoilt or added to."""

import re
from pathlib import Path

from tests.engine.small_family import SMALL

CIRCUIT = Path(__file__).with_name("small_circuit.toml").read_text(encoding="utf-8")
WITH_CIRCUIT = f"{SMALL}\n{CIRCUIT}"


def changed(old: str, new: str) -> str:
    """The family with one piece of its text changed."""
    assert WITH_CIRCUIT.count(old) == 1, old
    return WITH_CIRCUIT.replace(old, new)


def with_checks(more: str) -> str:
    """The family with further checks, walked after the others."""
    names = re.findall(r"^\[checks\.(\w+)\]", more, re.MULTILINE)
    walked = ", ".join(f'"{name}"' for name in ("k18", "k48", *names))
    return changed('cpu = ["k18", "k48"]', f"cpu = [{walked}]") + more
