"""The day list: every open ticket by whose turn, and the sentence on top."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics import holding
from diagnostics.models import TicketBoard
from diagnostics.strips import Strip, strips
from shop.billing.shelf import arriving as arriving_parts
from shop.billing.shelf_models import Claim
from shop.desk.day_filters import ALL, Filters
from shop.desk.day_tasks import Task, tasks_of
from shop.desk.day_unsent import Unsent
from shop.intake import arriving, promising
from shop.intake import queries as tickets
from shop.intake.models import IntakeKind, Ticket
from shop.intake.panels import Stretch, stretches
from shop.intake.promise import late_by
from shop.intake.promising import Breaking
from shop.intake.turn import IN_HANDS, PARKED, QUEUE, Turn, Whose
from shop.people.models import Person, Shop

SILENT_AFTER = timedelta(days=5)
A_MOMENT = timedelta(seconds=1)
# The longest ticket's strip, in pixels; the others on the same scale.
DAYS_WIDTH = 150
LEAST_WIDTH = 4
PARTS_IN_ORDER = (QUEUE, IN_HANDS, PARKED)
ORDER = (Whose.OURS, Whose.CUSTOMER, Whose.SUPPLIER, Whose.HANDOVER)


@dataclass(frozen=True)
class Row:
    """One open ticket as the day list shows it."""

    ticket: Ticket
    turn: Turn
    strip: Strip | None
    is_late: bool
    is_held_up: bool
    breaking: Breaking | None
    is_due_today: bool
    is_silent: bool
    late_by: timedelta
    part_late_by: timedelta
    silent_for: timedelta
    days_width: int
    stretches: list[Stretch]
    places: list[str]
    holder: Person | None
    contact_late_by: timedelta
    is_contact_today: bool

    @property
    def waits_for_part(self) -> bool:
        return self.turn.waits_for == "parts"

    def is_with(self, person: Person) -> bool:
        """Whether it is in this person's hands, or was parked by them."""
        is_parked_by = self.turn.details.get("by") == person.pk
        return self.holder == person or is_parked_by

    def says(self, text: str) -> bool:
        """Whether a word of the row holds what was typed."""
        ticket = self.ticket
        words = (
            *(ticket.number, ticket.customer.name, ticket.customer.phone_typed),
            *(ticket.device.model, ticket.device.serial, *self.places),
        )
        return any(text.casefold() in word.casefold() for word in words)


@dataclass(frozen=True)
class Group:
    whose: Whose
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class DayList:
    """Groups by whose turn; what came in and is not through intake yet."""

    sentence: str
    groups: tuple[Group, ...]
    shown: int
    count: int
    tasks: list[Task | Unsent]
    claims: list[Claim]
    to_finish: list[Ticket]
    to_unpack: list[Ticket]


def day_list(
    shop: Shop,
    now: datetime,
    *,
    filters: Filters = ALL,
    person: Person | None = None,
) -> DayList:
    """All open tickets, grouped, oldest first; a constant number of queries.

    The sentence and what is to be done are of all, whatever ``filters`` leave out.
    """
    open_ones = tickets.tickets_open(shop)
    rows = _rows(shop, open_ones, now)
    shown = [row for row in rows if filters.lets(row, person)]
    return DayList(
        sentence(rows),
        tuple(_groups(shown)),
        shown=len(shown),
        count=len(rows),
        tasks=tasks_of(rows, shop, now),
        claims=list(arriving_parts.open_claims(shop)),
        to_finish=arriving.unended(open_ones, IntakeKind.QUICK),
        to_unpack=arriving.unended(open_ones, IntakeKind.PARCEL),
    )


def _rows(shop: Shop, open_ones: Sequence[Ticket], now: datetime) -> list[Row]:
    turns = tickets.turns_of(open_ones, now)
    ladders = strips(open_ones)
    places = tickets.places_by_ticket(open_ones)
    breaks = promising.breaking(shop, open_ones, turns, now)
    held = _holders(open_ones)
    longest = max((turn.age for turn in turns.values()), default=timedelta())
    return [
        _row(
            ticket,
            turns[ticket.pk],
            ladders.get(ticket.pk),
            now,
            longest=longest,
            places=places.get(ticket.pk, []),
            breaking=breaks.get(ticket.pk),
            holder=held.get(ticket.pk),
        )
        for ticket in open_ones
    ]


def _holders(open_ones: Sequence[Ticket]) -> dict[int, Person]:
    """Who has a board of each ticket in hand."""
    joined = TicketBoard.objects.filter(ticket__in=[one.pk for one in open_ones])
    pairs = list(joined.values_list("ticket_id", "board_id"))
    held = holding.holders([board_id for _ticket, board_id in pairs])
    people = Person.objects.in_bulk({pk for pk in held.values() if pk is not None})
    return {
        ticket_id: people[holder]
        for ticket_id, board_id in pairs
        if (holder := held.get(board_id)) in people
    }


def _row(
    ticket: Ticket,
    turn: Turn,
    strip: Strip | None,
    now: datetime,
    *,
    longest: timedelta,
    places: list[str],
    breaking: Breaking | None,
    holder: Person | None,
) -> Row:
    width = max(LEAST_WIDTH, round(DAYS_WIDTH * (turn.age / max(longest, A_MOMENT))))
    zone = ticket.shop.zone
    promise = turn.promise
    is_over = promise is not None and promise < now
    is_ours = turn.whose not in promising.NOT_OURS
    today = now.astimezone(zone).date()
    silence = now - turn.silent_since
    over_by = late_by(promise, now, zone) if promise and is_over else timedelta()
    return Row(
        ticket=ticket,
        turn=turn,
        strip=strip,
        is_late=is_over and is_ours,
        is_held_up=is_over and not is_ours,
        breaking=breaking,
        is_due_today=promise is not None
        and is_ours
        and not is_over
        and promise.astimezone(zone).date() == today,
        is_silent=silence >= SILENT_AFTER,
        late_by=over_by,
        part_late_by=_part_late_by(turn, today),
        silent_for=silence,
        days_width=width,
        stretches=stretches(turn, width),
        places=places,
        holder=holder,
        contact_late_by=_days_over(turn.next_contact, today),
        is_contact_today=turn.next_contact == today,
    )


def _days_over(due: date | None, today: date) -> timedelta:
    return max(today - due, timedelta()) if due else timedelta()


def _part_late_by(turn: Turn, today: date) -> timedelta:
    """How long a part that was due has not come."""
    due = turn.details.get("due_on") if turn.waits_for == "parts" else None
    return _days_over(date.fromisoformat(due) if due else None, today)


def _groups(rows: Sequence[Row]) -> Iterable[Group]:
    for whose in ORDER:
        own = [row for row in rows if row.turn.whose == whose]
        if own:
            own.sort(key=lambda row: (_place_of(row.turn.part), row.turn.since))
            yield Group(whose, tuple(own))


def _place_of(part: str) -> int:
    """Ours: what lies in the queue, then in hands, then parked; they count apart."""
    return PARTS_IN_ORDER.index(part) if part in PARTS_IN_ORDER else 0


def sentence(rows: Sequence[Row]) -> str:
    """What matters today, said before any list."""
    ours = sum(row.turn.whose == Whose.OURS for row in rows)
    if not rows:
        return _("No ticket is open.")
    said = [
        ngettext("%(n)d is ours.", "%(n)d are ours.", ours) % {"n": ours}
        if ours
        else _("None is ours.")
    ]
    parked = sum(row.turn.part == PARKED for row in rows)
    if parked:
        text = ngettext("%(n)d of them is parked.", "%(n)d of them are parked.", parked)
        said.append(text % {"n": parked})
    late = sum(row.is_late for row in rows)
    due = sum(row.is_due_today for row in rows)
    soon = sum(row.breaking is not None and not row.is_late for row in rows)
    silent = sum(row.is_silent for row in rows)
    if late:
        text = ngettext("%(n)d promise is broken.", "%(n)d promises are broken.", late)
        said.append(text % {"n": late})
    if due:
        text = ngettext("%(n)d falls due today.", "%(n)d fall due today.", due)
        said.append(text % {"n": due})
    if soon:
        text = ngettext(
            "%(n)d promise is about to break.",
            "%(n)d promises are about to break.",
            soon,
        )
        said.append(text % {"n": soon})
    if silent:
        text = ngettext(
            "%(n)d person has heard nothing for five days.",
            "%(n)d people have heard nothing for five days.",
            silent,
        )
        said.append(text % {"n": silent})
    return " ".join(said)
