"""What a ticket is found by, from the rows that say it.

Who and which: numbers, customer, device, boards. The story: notes of the kinds named
here and no other (what is private is in none of them), and what was found. Never
addresses, amounts, readings or passcodes.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from django.conf import settings
from django.db.models import QuerySet
from django.utils import translation
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics import bridge, sayings
from diagnostics.models import Finding, TicketBoard
from shop.intake import arriving
from shop.intake.models import Customer, Ticket
from shop.intake.story import NOTE_KIND, PARTS
from shop.records.models import Note
from shop.searching import plain

Label = str | Promise
NOTES: Mapping[str, Label] = {
    **{NOTE_KIND[part]: label for part, label in PARTS.items()},
    **arriving.BROUGHT,
    "warranty": _("Warranty check"),
    "photo": _("Photo"),
    "reading": _("At a reading"),
    "suspect": _("At a suspect"),
    "proof": _("At the proof"),
}
FOUND = _("Found")


@dataclass(frozen=True)
class Told:
    """One thing told of a ticket: under which name, and in whose words."""

    label: Label
    text: str
    ways: Callable[[str], list[str]] = plain.each_way
    is_story: bool = False

    @property
    def words(self) -> list[str]:
        return self.ways(self.text)


def tickets(ids: Iterable[int]) -> QuerySet[Ticket]:
    rows = Ticket.objects.filter(pk__in=ids)
    return rows.select_related("customer", "device", "shop", "handover")


def texts_of(ids: Sequence[int]) -> dict[int, tuple[int, str]]:
    """Of each ticket its shop and its text; three queries and two of the bench's."""
    rows = list(tickets(ids))
    told = told_of(rows)
    return {row.pk: (row.shop_id, text_of(told[row.pk])) for row in rows}


def text_of(told: Iterable[Told]) -> str:
    parts: tuple[list[str], list[str]] = ([], [])
    for one in told:
        parts[one.is_story].extend(one.words)
    return plain.text_of(*parts)


def told_of(rows: Sequence[Ticket]) -> dict[int, list[Told]]:
    """All that is told of these tickets, who and which before the story."""
    ids = [row.pk for row in rows]
    found: dict[int, list[Told]] = {row.pk: list(_of_ticket(row)) for row in rows}
    for ticket_id, told in (*_of_boards(ids), *_of_notes(ids), *_of_findings(ids)):
        found[ticket_id].append(told)
    return {pk: [one for one in told if one.text] for pk, told in found.items()}


def _of_ticket(ticket: Ticket) -> Iterator[Told]:
    device = ticket.device
    yield Told(_("Ticket"), ticket.number)
    yield Told(_("Old number"), ticket.old_number)
    yield Told(_("Their reference"), ticket.their_reference)
    yield Told(_("Tracking"), ticket.tracking)
    yield from _of_customer(ticket.customer)
    yield Told(_("Device"), device.model)
    yield Told(_("Serial number"), device.serial)
    yield Told(_("Board number"), device.board_number_seen)


def _of_customer(customer: Customer) -> Iterator[Told]:
    yield Told(_("Customer"), customer.name)
    yield Told(_("Phone"), customer.phone_typed, _as_phone)
    yield Told(_("Phone"), customer.phone_e164, _as_phone)
    yield Told(_("E-mail"), customer.email)


def _as_phone(text: str) -> list[str]:
    """Digits as one word; what is no number may be words."""
    return plain.phone_words(text, "") or plain.each_way(text)


def _of_boards(ids: Sequence[int]) -> Iterator[tuple[int, Told]]:
    columns = (
        "board__board_model__number",
        "board__board_model__name",
        "board__serial",
        "board__marking",
    )
    labels = (
        _("Board number"),
        _("Machine"),
        _("Board’s serial number"),
        _("Marking"),
    )
    rows = TicketBoard.objects.filter(ticket__in=ids).order_by("id")
    for ticket_id, *texts in rows.values_list("ticket_id", *columns):
        for label, text in zip(labels, texts, strict=True):
            yield ticket_id, Told(label, text)


def _of_notes(ids: Sequence[int]) -> Iterator[tuple[int, Told]]:
    """The newest of the four texts, every other note."""
    rows = Note.objects.filter(ticket_id__in=ids, kind__in=NOTES, erased_at=None)
    story = set(NOTE_KIND.values())
    kept: dict[tuple[int | None, str | int], tuple[str, str]] = {}
    columns = ("id", "ticket_id", "kind", "text")
    for pk, ticket_id, kind, text in rows.order_by("id").values_list(*columns):
        kept[ticket_id, kind if kind in story else pk] = kind, text
    for (of_ticket, _which), (kind, text) in kept.items():
        yield of_ticket or 0, Told(NOTES[kind], text, is_story=True)


def _of_findings(ids: Sequence[int]) -> Iterator[tuple[int, Told]]:
    rows = Finding.objects.filter(ticket__in=ids, cause=Finding.Cause.PART)
    columns = ("ticket_id", "part_id", "mode_id", "place", "board__board_model__family")
    for ticket_id, part_id, mode_id, place, family in rows.values_list(*columns):
        for named in _named(family, part_id, mode_id):
            yield ticket_id or 0, Told(FOUND, f"{named}, {place}", is_story=True)


@lru_cache(maxsize=1024)
def _named(family: str, part_id: str, mode_id: str) -> frozenset[str]:
    """The cause in every language of the program: who looks may have another."""
    board = bridge.engine_board(family, {})
    found = set[str]()
    for language, _name in settings.LANGUAGES:
        with translation.override(language):
            found.add(sayings.suspect_title(board, part_id, mode_id))
    return frozenset(found)
