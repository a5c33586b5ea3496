"""Who did what and when: every event of the shop, the newest first.

Paged by a mark (moment and number of the last row) and never by an offset, so that
the thousandth page costs what the first does. Each way to look for events has its own
index in the order in which they are shown.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from shop.intake import event_words
from shop.intake.models import Ticket
from shop.people import queries as people
from shop.people.models import Person, Shop, Station
from shop.records.kinds import Kind
from shop.records.models import Event

ON_A_PAGE = 50
LATE = timedelta(minutes=1)


@dataclass(frozen=True)
class Row:
    """An event as it is shown; ``typed_at`` where it was recorded later."""

    event: Event
    said: str
    ticket: Ticket | None
    about: str
    typed_at: datetime | None


class TrailForm(forms.Form):
    """What is looked for; everything given has to hold."""

    who = forms.ChoiceField(label=_("Who"), required=False)
    kind = forms.ChoiceField(label=_("What"), required=False)
    ticket = forms.CharField(label=_("Ticket"), max_length=20, required=False)
    since = forms.DateField(
        label=_("From"), required=False, widget=forms.DateInput({"type": "date"})
    )
    until = forms.DateField(
        label=_("To"), required=False, widget=forms.DateInput({"type": "date"})
    )

    def __init__(self, shop: Shop, asked: Mapping[str, str]) -> None:
        super().__init__(asked or None)
        self.shop = shop
        staff = [*people.people_of(shop), *people.left_of(shop)]
        named = [(str(person.pk), str(person)) for person, _more in staff]
        self.fields["who"].choices = [  # type: ignore[attr-defined]
            ("", _("anybody")),
            *named,
            ("0", _("nobody: by itself, or by a customer")),
        ]
        self.fields["kind"].choices = [("", _("anything")), *kinds()]  # type: ignore[attr-defined]

    def clean_ticket(self) -> str:
        number = str(self.cleaned_data["ticket"]).strip()
        known = Ticket.objects.filter(shop=self.shop, number=number)
        if number and not known.exists():
            raise forms.ValidationError(_("No ticket has this number."))
        return number


def kinds() -> list[tuple[str, str]]:
    """Every kind in words, by the reader's alphabet."""
    named = [(kind.value, event_words.happened(bare(kind))) for kind in Kind]
    return sorted(named, key=lambda pair: pair[1].casefold())


def bare(kind: Kind) -> Event:
    now = datetime.now(ZoneInfo("UTC"))
    codes = {"promise": now.isoformat()} if kind == Kind.PROMISE_MADE else {}
    return Event(kind=kind, at=now, codes=codes)


def events_of(shop: Shop, asked: Mapping[str, object]) -> QuerySet[Event]:
    """What holds of all that was asked, the newest first."""
    found = Event.objects.filter(shop_id=shop.pk)
    if who := asked.get("who"):
        found = found.filter(by=None if who == "0" else int(str(who)))
    if kind := asked.get("kind"):
        found = found.filter(kind=kind)
    if number := asked.get("ticket"):
        tickets = Ticket.objects.filter(shop=shop, number=number)
        found = found.filter(ticket_id__in=list(tickets.values_list("pk", flat=True)))
    if isinstance(since := asked.get("since"), date):
        found = found.filter(at__gte=_begins(since, shop))
    if isinstance(until := asked.get("until"), date):
        found = found.filter(at__lt=_begins(until + timedelta(days=1), shop))
    return found.order_by("-at", "-id")


def _begins(day: date, shop: Shop) -> datetime:
    return datetime.combine(day, time(), shop.zone)


def page(found: QuerySet[Event], mark: str, shop: Shop) -> tuple[list[Row], str]:
    """Fifty rows after a mark, and the mark of the next fifty (none: the end)."""
    if after := mark_read(mark):
        at, pk = after
        found = found.filter(at__lte=at).filter(Q(at__lt=at) | Q(pk__lt=pk))
    events = list(found.select_related("by")[: ON_A_PAGE + 1])
    more, events = len(events) > ON_A_PAGE, events[:ON_A_PAGE]
    following = mark_of(events[-1]) if more else ""
    return rows_of(events, shop), following


def rows_of(events: Sequence[Event], shop: Shop) -> list[Row]:
    tickets = {e.ticket_id for e in events if e.ticket_id}
    numbered = Ticket.objects.filter(shop=shop).only("number").in_bulk(list(tickets))
    about = about_of(events)
    return [
        Row(
            event,
            event_words.happened(event),
            numbered.get(event.ticket_id or 0),
            about.get(event.pk, ""),
            event.recorded_at if event.recorded_at - event.at > LATE else None,
        )
        for event in events
    ]


def about_of(events: Sequence[Event]) -> dict[int, str]:
    """By event the person or the station that it is about, by name as of today."""
    persons = {e.pk: e.person_id for e in events if e.person_id}
    stations = {e.pk: int(e.ids["station"]) for e in events if "station" in e.ids}
    return _named(Person, persons) | _named(Station, stations)


def _named(
    model: type[Person] | type[Station], wanted: Mapping[int, int]
) -> dict[int, str]:
    rows = model._default_manager.filter(pk__in=set(wanted.values()))
    names = dict(rows.values_list("pk", "name"))
    return {event: names[pk] for event, pk in wanted.items() if pk in names}


def mark_of(event: Event) -> str:
    return f"{event.at.timestamp():.6f}_{event.pk}"


def mark_read(mark: str) -> tuple[datetime, int] | None:
    at, _line, pk = mark.partition("_")
    try:
        return datetime.fromtimestamp(float(at), ZoneInfo("UTC")), int(pk)
    except (ValueError, OverflowError, OSError):
        return None


def query_of(asked: Mapping[str, object], mark: str) -> str:
    kept = {name: value for name, value in asked.items() if value}
    return urlencode({**kept, "after": mark})
