"""Who makes which paper: the rooms that own the rows tell it here."""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.functional import Promise

from shop.printing.models import Paper


@dataclass(frozen=True)
class Made:
    """A paper ready to print, and its size as the print system takes it."""

    body: bytes
    media: str


Make = Callable[[int, int], Made]


@dataclass(frozen=True)
class Maker:
    name: str | Promise
    paper: Paper
    make: Make


MAKERS: dict[str, Maker] = {}


def made_by(what: str, name: str | Promise, paper: Paper, make: Make) -> None:
    """``make(subject_id, part)`` makes the paper that is called ``what``."""
    MAKERS[what] = Maker(name, paper, make)
