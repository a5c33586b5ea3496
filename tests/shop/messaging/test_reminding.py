"""Reminders and notices: on their day, in opening hours, once."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from shop.billing import services as billing
from shop.desk import notices
from shop.intake import services
from shop.intake.models import Customer, Ticket
from shop.messaging.reminding import remind
from shop.people import house_services
from shop.people.house_services import Stretch
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.models import OutgoingMessage
from tests.factories import TicketFactory
from tests.samples import line

pytestmark = pytest.mark.django_db
BERLIN = ZoneInfo("Europe/Berlin")
WEDNESDAY = datetime(2026, 3, 25, 15, tzinfo=BERLIN)


@pytest.fixture
def open_week(texts_read: Shop, marit: Person) -> Shop:
    texts_read.time_zone = "Europe/Berlin"
    texts_read.save()
    week = [Stretch(day, time(9), time(17)) for day in range(5)]
    return house_services.hours_keep(
        shop=texts_read, by=marit, version=texts_read.version, week=week, closed=[]
    )


@pytest.fixture
def job(open_week: Shop, ada: Customer, tomas: Person) -> Ticket:
    return TicketFactory.create(by=tomas, customer=ada, shop=open_week, at=WEDNESDAY)


def asked() -> list[tuple[str, date]]:
    """What was asked for, and on which day."""
    rows = OutgoingMessage.objects.order_by("id")
    return [(row.kind, row.queued_at.astimezone(BERLIN).date()) for row in rows]


def as_of(now: datetime, shop: Shop) -> None:
    """The job, run as at that moment, twice."""
    before = set(OutgoingMessage.objects.values_list("pk", flat=True))
    for _again in range(2):
        remind(shop, now)
    OutgoingMessage.objects.exclude(pk__in=before).update(queued_at=now)


def test_a_quote_is_brought_to_mind_when_the_shop_opens(
    job: Ticket, tomas: Person
) -> None:
    quote = billing.quote_send(ticket=job, by=tomas, lines=[line()], at=WEDNESDAY)
    as_of(WEDNESDAY + timedelta(days=2), job.shop)
    assert asked() == []
    sunday = datetime(2026, 3, 29, 12, tzinfo=BERLIN)  # the day the clocks go on
    as_of(sunday, job.shop)
    [message] = OutgoingMessage.objects.all()
    assert message.kind == "quote_reminder"
    assert message.next_try_at == datetime(2026, 3, 30, 9, tzinfo=BERLIN)
    billing.quote_answer(
        quote=quote,
        is_yes=False,
        answered_by="Ada",
        channel="phone",
        recorded_by=tomas,
        at=sunday,
    )
    as_of(sunday + timedelta(days=4), job.shop)
    assert len(asked()) == 1


def test_notices_keep_their_distance(job: Ticket, tomas: Person) -> None:
    ended = WEDNESDAY + timedelta(days=1)
    services.outcome_record(ticket=job, by=tomas, kind="no_fault_found", at=ended)
    as_of(ended + timedelta(days=90), job.shop)
    assert asked() == []  # nobody has told Ada yet: that is ours to do first
    services.customer_told(
        ticket=job, by=tomas, channel="phone", next_contact=None, at=ended
    )
    day = ended.date()
    for days in (6, 7, 8, 29):
        as_of(ended + timedelta(days=days), job.shop)
    assert asked() == [("unclaimed_first", day + timedelta(days=7))]
    for days in (31, 53, 60, 61, 100):  # the job was down on the thirtieth day
        as_of(ended + timedelta(days=days), job.shop)
    assert asked()[1:] == [
        ("unclaimed_second", day + timedelta(days=31)),
        ("unclaimed_last", day + timedelta(days=61)),
    ]


def test_a_letter_and_a_mail_are_a_week_apart(job: Ticket, tomas: Person) -> None:
    ended = WEDNESDAY + timedelta(days=1)
    services.outcome_record(ticket=job, by=tomas, kind="no_fault_found", at=ended)
    services.customer_told(
        ticket=job, by=tomas, channel="phone", next_contact=None, at=ended
    )
    letter = ended + timedelta(days=6)
    notices.notice_give(ticket=job, by=tomas, at=letter)
    for days in (7, 12):
        as_of(ended + timedelta(days=days), job.shop)
    assert asked() == []
    as_of(letter + timedelta(days=7), job.shop)
    [message] = OutgoingMessage.objects.filter(kind="unclaimed_first")
    with pytest.raises(Refused, match="went out by message on"):
        notices.notice_give(
            ticket=job, by=tomas, at=message.queued_at + timedelta(days=6)
        )
    OutgoingMessage.objects.filter(pk=message.pk).update(withheld="no_address")
    notices.notice_give(ticket=job, by=tomas, at=message.queued_at + timedelta(days=6))
