"""Taking one in, by the service."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from shop.intake import queries
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.services import ThingDraft
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, Note, NumberSeries
from tests.factories import (
    CustomerFactory,
    DeviceFactory,
    TermsFactory,
    TicketFactory,
)

AT = datetime(2026, 10, 14, 9, 10, tzinfo=UTC)


def kinds(ticket: Ticket) -> list[str]:
    return [event.kind for event in reversed(queries.events_of(ticket))]


def test_a_ticket_is_taken_in_with_a_number_and_its_first_event(tomas: Person) -> None:
    ticket = TicketFactory.create(by=tomas, at=AT)
    assert (ticket.serial, ticket.number) == (1, "19")
    assert kinds(ticket) == [Kind.TICKET_OPENED]
    event = Event.objects.get()
    assert (event.at, event.by) == (AT, tomas)
    assert event.note is not None
    assert event.note.text == "Charged it overnight, dead in the morning."


def test_numbers_follow_each_other(tomas: Person) -> None:
    given = [TicketFactory.create(by=tomas).serial for _ in range(3)]
    assert given == [1, 2, 3]


def test_the_device_has_the_first_tag(tomas: Person) -> None:
    drafts = [ThingDraft("adapter"), ThingDraft("other", "red pouch")]
    ticket = TicketFactory.create(by=tomas, things=drafts)
    tags = [(t.tag, t.kind, str(t)) for t in ticket.things.all()]
    assert tags == [
        (1, "machine", "machine"),
        (2, "adapter", "adapter"),
        (3, "other", "red pouch"),
    ]


def test_a_bare_board_is_tagged_as_one(tomas: Person, hollin_lane: Shop) -> None:
    customer = CustomerFactory.create(shop=hollin_lane)
    device = DeviceFactory.create(customer=customer, kind="bare_board")
    ticket = TicketFactory.create(by=tomas, device=device)
    assert [thing.kind for thing in ticket.things.all()] == ["board"]


def test_the_fee_is_frozen_from_the_terms_of_that_day(
    tomas: Person, hollin_lane: Shop
) -> None:
    before = TicketFactory.create(by=tomas, at=AT)
    TermsFactory.create(
        shop=hollin_lane,
        valid_from=AT + timedelta(days=1),
        diagnosis_fee_minor=4900,
        fee_rule="credited",
    )
    after = TicketFactory.create(by=tomas, at=AT + timedelta(days=2))
    assert (str(before.diagnosis_fee), before.fee_rule) == ("35.00", "kept")
    assert (str(after.diagnosis_fee), after.fee_rule) == ("49.00", "credited")


def test_what_was_not_asked_is_not_recorded(ticket: Ticket) -> None:
    looked = {ticket.liquid, ticket.dropped, ticket.hot_or_swollen}
    assert looked | {ticket.opened_before} == {"not_recorded"}
    assert not ticket.consents.exists()


def test_consents_cap_and_promise_are_kept(tomas: Person) -> None:
    ticket = TicketFactory.create(
        by=tomas,
        at=AT,
        consents={"boot_test": "yes", "erase": "no"},
        pre_approved=Money.of("120.00", "EUR"),
        promise=AT + timedelta(days=1),
    )
    answers = {c.purpose: c.answer for c in ticket.consents.all()}
    assert answers == {"boot_test": "yes", "erase": "no"}
    assert ticket.pre_approved == Money.of(120, "EUR")
    assert queries.turn_of(ticket, AT).promise == AT + timedelta(days=1)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"told": "  "}, "text"),
        ({"told": "x" * 5001}, "text"),
        ({"liquid": "perhaps"}, "liquid"),
        ({"goal": "fame"}, "goal"),
        ({"consents": {"erase": "loud"}}, "answer"),
        ({"pre_approved": Money.of(10, "USD")}, "pre_approved"),
        ({"promise": AT - timedelta(days=1)}, "promise"),
        ({"things": [ThingDraft("piano")]}, "kind"),
        ({"things": [ThingDraft("bag")] * 31}, "things"),
    ],
)
def test_nonsense_is_refused_and_nothing_is_kept(
    tomas: Person, given: dict[str, object], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        TicketFactory.create(by=tomas, at=AT, **given)
    assert refused.value.field == field
    assert not Ticket.objects.exists()
    assert not Event.objects.exists()
    assert not Note.objects.exists()
    assert not NumberSeries.objects.exists()


def test_another_shops_customer_is_refused(tomas: Person, elsewhere: Person) -> None:
    theirs = TicketFactory.create(by=elsewhere)
    with pytest.raises(Refused, match="belong"):
        TicketFactory.create(by=tomas, device=theirs.device)


def test_before_any_terms_nothing_is_taken_in(tomas: Person) -> None:
    with pytest.raises(Refused, match="terms"):
        TicketFactory.create(by=tomas, at=datetime(2019, 1, 1, tzinfo=UTC))


@pytest.mark.parametrize(
    "name", ["عبد الله بن عمر", "שרה לוי", "Ада 🔧 Пелл", "李小龙"]
)
def test_names_of_all_scripts_are_kept(
    tomas: Person, hollin_lane: Shop, name: str
) -> None:
    customer = intake.customer_keep(shop=hollin_lane, by=tomas, name=name)
    customer.refresh_from_db()
    assert customer.name == name


def test_the_first_event_can_never_be_changed(ticket: Ticket) -> None:
    with pytest.raises(Exception, match="never changed"), transaction.atomic():
        Event.objects.update(kind="nothing")
    with pytest.raises(Exception, match="never changed"), transaction.atomic():
        Event.objects.all().delete()


def test_the_database_gives_a_number_once(ticket: Ticket) -> None:
    ticket.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        ticket.save(force_insert=True)


@pytest.mark.django_db(transaction=True)
def test_append_only_holds_in_tests_that_flush(ticket: Ticket) -> None:
    assert connection.in_atomic_block is False
    with pytest.raises(Exception, match="never changed"):
        Event.objects.update(at=timezone.now())
