"""Donor boards: what was taken off them, what is still on, and who has a part.

A part is gone while the newest act on it took it off; fitted again it is back.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.http import urlencode

from diagnostics import bridge, revisions, sayings
from diagnostics.bridge import Known
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.family import Part
from diagnostics.models import (
    Board,
    DonorPaper,
    Intervention,
    InterventionKind,
    Origin,
    TakenOff,
)
from diagnostics.place import Place
from shop.people.models import Shop

PUTS_BACK = frozenset({InterventionKind.FITTED, InterventionKind.REPLACED})
TAKES_OR_PUTS = (InterventionKind.REMOVED, *PUTS_BACK)


@dataclass(frozen=True)
class Gone:
    """One thing that is off a donor: which, from where, by whom, for which ticket."""

    act: Intervention
    part: Part | None

    @property
    def taken_off(self) -> TakenOff | None:
        return getattr(self.act, "taken_off", None)

    @property
    def name(self) -> str:
        if self.part is not None:
            return sayings.family_text(self.part.name)
        return (self.taken_off.name if self.taken_off else "") or self.act.part_id

    @property
    def ticket(self) -> Any:
        return self.taken_off.for_ticket if self.taken_off else None

    @property
    def salvage_url(self) -> str:
        """Where it is entered as a salvaged part of the ticket that it goes to."""
        if self.ticket is None:
            return ""
        asked = {"name": self.name, "part_id": self.act.part_id, "is_salvaged": "on"}
        page = reverse("billing:part_use", args=[self.ticket.number])
        return f"{page}?{urlencode(asked)}"


@dataclass(frozen=True)
class Donor:
    """A donor, the newest gone first; ``left`` in the family's order.

    Without a ``paper`` that says it is ours nothing may be taken off.
    """

    row: Board
    board: EngineBoard
    gone: tuple[Gone, ...]
    left: tuple[Part, ...]

    @property
    def url(self) -> str:
        return reverse("diagnostics:taken_off", args=[self.row.pk])

    @property
    def left_names(self) -> list[str]:
        return [sayings.family_text(part.name) for part in self.left]

    @cached_property
    def paper(self) -> DonorPaper | None:
        papers = self.row.donor_papers.all()
        return max(papers, key=lambda one: one.pk, default=None)

    @property
    def title(self) -> str:
        return self.row.serial or self.row.marking or str(self.row.pk)


def rows(shop: Shop) -> QuerySet[Board]:
    """The shop's donors, newest first."""
    donors = shop.boards.filter(origin=Origin.DONOR)
    wanted = donors.select_related("board_model", "shop")
    return wanted.prefetch_related("donor_papers").order_by("-id")


def donors_of(boards: Iterable[Board]) -> list[Donor]:
    """With two queries, however many they are."""
    boards = list(boards)
    patches = revisions.patches_of_all({board.board_model_id for board in boards})
    acts = _acts_on(boards)
    return [
        _donor(
            row,
            bridge.engine_board(
                row.board_model.family, patches.get(row.board_model_id, {})
            ),
            acts.get(row.pk, []),
        )
        for row in boards
    ]


def _acts_on(boards: Sequence[Board]) -> dict[int, list[Intervention]]:
    found: dict[int, list[Intervention]] = {}
    acts = Intervention.objects.filter(board__in=boards, kind__in=TAKES_OR_PUTS)
    for act in acts.select_related("by", "taken_off__for_ticket").order_by("epoch"):
        found.setdefault(act.board_id, []).append(act)
    return found


def _donor(row: Board, board: EngineBoard, acts: Sequence[Intervention]) -> Donor:
    """Of one part several may sit on a board: each place counts by itself."""
    off: dict[tuple[str, str, str], Intervention] = {}
    for act in acts:
        if act.kind == InterventionKind.REMOVED:
            off[_what(act)] = act
        else:
            off = {k: a for k, a in off.items() if not _puts_back(act, a)}
    gone = tuple(Gone(act, board.parts.get(act.part_id)) for act in off.values())
    gone_ids = {one.act.part_id for one in gone}
    left = tuple(
        part
        for part in board.parts.values()
        if part.id not in gone_ids and board.is_fitted(part.id)
    )
    return Donor(row, board, gone[::-1], left)


def _what(act: Intervention) -> tuple[str, str, str]:
    taken_off: TakenOff | None = getattr(act, "taken_off", None)
    return act.part_id, act.place, taken_off.name if taken_off else ""


def _puts_back(fitted: Intervention, removed: Intervention) -> bool:
    is_same = fitted.part_id == removed.part_id != ""
    return is_same and fitted.place in {"", removed.place}


# --- who has a part -----------------------------------------------------------------


@dataclass(frozen=True)
class Offer:
    """A donor that has, or had, what was asked for."""

    donor: Donor
    left: tuple[str, ...]
    gone: tuple[Gone, ...]


def who_has(shop: Shop, asked: str) -> list[Offer]:
    """Donors of all models with a part of this name or kind; who still has it first."""
    words = asked.casefold().split()
    if not words:
        return []
    found = (_offer(donor, words) for donor in donors_of(rows(shop)))
    offers = [one for one in found if one.left or one.gone]
    return sorted(offers, key=lambda one: not one.left)


def _offer(donor: Donor, words: Sequence[str]) -> Offer:
    def is_meant(name: str) -> bool:
        return all(word in name.casefold() for word in words)

    left = tuple(
        name
        for part, name in zip(donor.left, donor.left_names, strict=True)
        if is_meant(f"{name} {part.id}")
    )
    gone = tuple(
        one
        for one in donor.gone
        if is_meant(f"{one.name} {one.act.place} {one.act.part_id}")
    )
    return Offer(donor, left, gone)


# --- beside the bench ---------------------------------------------------------------


def beside(place: Place, known: Known) -> Donor | None:
    """What stands on the bench page of a donor."""
    if place.ticket is not None or place.board.origin != Origin.DONOR:
        return None
    acts = _acts_on([place.board]).get(place.board.pk, [])
    return _donor(place.board, known.board, acts)
