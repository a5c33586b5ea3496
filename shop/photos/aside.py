"""Photos are decoded in a process of their own: what it eats or breaks is its own."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.photos import limits
from shop.records.errors import Refused

SCRIPT = Path(__file__).with_name("remake.py")
MEGA = limits.MEGA
WHY: dict[str, str | Promise] = {
    "not_a_picture": _("Not a picture that we take: JPEG, PNG or WebP, whole."),
    "too_many_pixels": _("Too many pixels: send it smaller."),
    "too_much_memory": _("It needs too much memory to be read: send it smaller."),
    "too_slow": _("It takes too long to be read: send it smaller."),
    "too_large": _("More than %(n)d MB: send it smaller.")
    % {"n": limits.MOST_BYTES // MEGA},
}
LIMITS: dict[str, Any] = {
    "memory": limits.MOST_MEMORY,
    "seconds": limits.MOST_SECONDS,
    "pixels": limits.MOST_PIXELS,
    "progressive": limits.MOST_PROGRESSIVE,
    "longest_edge": limits.LONGEST_EDGE,
    "edge": limits.KEPT_EDGE,
    "quality": limits.KEPT_QUALITY,
    "small_edge": limits.SMALL_EDGE,
    "small_quality": limits.SMALL_QUALITY,
}


@dataclass(frozen=True)
class Remade:
    """A photo as it is kept: JPEG bytes of it and of its small picture."""

    full: bytes
    small: bytes
    width: int
    height: int


def refusal(code: str) -> Refused:
    return Refused(WHY.get(code, WHY["not_a_picture"]), field="photos")


def remake(sent: bytes, *, edge: int = limits.KEPT_EDGE) -> Remade:
    """The photo made anew, no edge longer; ``Refused`` with the reason in words."""
    if len(sent) > limits.MOST_BYTES:
        raise refusal("too_large")
    try:
        done = subprocess.run(  # noqa: S603  our own script; the bytes go to its input
            [sys.executable, "-I", str(SCRIPT), json.dumps(LIMITS | {"edge": edge})],
            input=sent,
            capture_output=True,
            timeout=limits.MOST_WAIT,
            env={"PATH": os.defpath, "MALLOC_ARENA_MAX": "1"},
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise refusal("too_slow") from None
    if done.returncode:
        raise refusal(_code(done))
    return _remade(done.stdout)


def _code(done: "subprocess.CompletedProcess[bytes]") -> str:
    """Killed by the kernel: out of its seconds; else what the script says."""
    if done.returncode < 0:
        return "too_slow"
    return done.stderr.decode("ascii", "replace")


def _remade(answer: bytes) -> Remade:
    line, _newline, pictures = answer.partition(b"\n")
    head = json.loads(line)
    at = head["bytes"]
    return Remade(pictures[:at], pictures[at:], head["width"], head["height"])
