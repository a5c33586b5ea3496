"""Events, notes, numbers, messages and leases."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import DatabaseError, transaction

from shop.intake.models import Ticket
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event, NumberSeries, OutgoingMessage

NOW = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)


@pytest.mark.django_db
def test_numbers_come_one_after_the_other() -> None:
    with transaction.atomic():
        taken = [records.number_take(shop_id=1, kind="slip") for _n in range(3)]
    assert taken == [1, 2, 3]
    assert NumberSeries.objects.get().next_number == 4


@transaction.atomic
def take_and_undo() -> None:
    records.number_take(shop_id=1, kind="slip")
    raise RuntimeError("undone")


@pytest.mark.django_db
def test_a_rolled_back_act_gives_its_number_back() -> None:
    with transaction.atomic():
        records.number_take(shop_id=1, kind="slip")
    with pytest.raises(RuntimeError, match="undone"):
        take_and_undo()
    with transaction.atomic():
        assert records.number_take(shop_id=1, kind="slip") == 2


@pytest.mark.django_db(transaction=True)
def test_a_number_is_taken_inside_its_act_only() -> None:
    with pytest.raises(RuntimeError, match="inside the act"):
        records.number_take(shop_id=1, kind="slip")


@pytest.mark.django_db
def test_an_old_series_goes_on_and_never_back() -> None:
    records.series_start(shop_id=1, kind="slip", first=318)
    with transaction.atomic():
        assert records.number_take(shop_id=1, kind="slip") == 318
    with pytest.raises(ValueError, match="never goes back"):
        records.series_start(shop_id=1, kind="slip", first=300)


@pytest.mark.parametrize("act", ["update", "delete"])
def test_the_database_refuses_to_change_an_event(ticket: Ticket, act: str) -> None:
    event = Event.objects.filter(ticket_id=ticket.pk)
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        event.update(kind="other") if act == "update" else event.delete()
    assert event.filter(kind=Kind.TICKET_OPENED).exists()


@pytest.mark.django_db
def test_a_lease_is_held_by_one_until_it_runs_out() -> None:
    def take(holder: str, at: datetime) -> bool:
        return records.lease_take(name="jobs", holder=holder, seconds=30, now=at)

    assert take("one", NOW)
    assert not take("two", NOW + timedelta(seconds=10))
    assert take("one", NOW + timedelta(seconds=20))
    assert not take("two", NOW + timedelta(seconds=45))
    assert take("two", NOW + timedelta(seconds=51))


@pytest.mark.django_db
def test_a_message_is_queued_once() -> None:
    for _again in range(2):
        records.message_queue(
            shop_id=1,
            ticket_id=None,
            message_id="quote-7",
            channel="email",
            to="ada@example.org",
            subject="Your quote",
            text="It is ready.",
        )
    assert OutgoingMessage.objects.count() == 1
