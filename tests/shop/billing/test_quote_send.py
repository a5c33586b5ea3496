from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from shop.billing import services as billing
from shop.billing.models import Quote
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.models import Event
from tests.shop.billing.conftest import a_line, euro

Act = Callable[..., Any]


def test_a_quote_keeps_its_lines_totals_cap_and_last_day(send: Act) -> None:
    quote = send("100.00", cause="A short on main.", risk="A second fault may show.")
    assert (quote.version, quote.net, quote.tax) == (1, euro("100.00"), euro("20.00"))
    assert (quote.total, quote.cap) == (euro("120.00"), euro("132.00"))
    assert quote.valid_until == date(2026, 3, 16)
    assert [line.text for line in quote.lines.all()] == ["Repair"]


def test_the_next_version_leaves_the_first_as_it_was(send: Act, job: Ticket) -> None:
    first, second = send("100.00"), send("150.00")
    assert (first.version, second.version) == (1, 2)
    assert job.quotes.get(version=1).total == euro("120.00")


def test_sending_is_written_down_without_words(send: Act, job: Ticket) -> None:
    quote = send("100.00", cause="canary words")
    event = Event.objects.get(ticket_id=job.pk, kind="quote_sent")
    assert event.ids == {"quote": quote.pk, "version": 1}
    assert event.amounts == {"total": 12000, "cap": 13200}
    assert "canary" not in f"{event.codes}{event.ids}"


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({"lines": [a_line(currency="SEK")]}, "lines"),
        ({"lines": [a_line(tax_percent=Decimal(120))]}, "lines"),
        ({"lines": [a_line("-1.00")]}, "lines"),
        ({"lines": [a_line("1.00", quantity=Decimal(-1))]}, "lines"),
        ({"lines": [a_line("1.00001")]}, "lines"),
        ({"cap": euro("119.99")}, "cap"),
        ({"cap": Money.of("500", "SEK")}, "cap"),
        ({"deposit": euro("120.01")}, "deposit"),
        ({"valid_until": date(2026, 3, 1)}, "valid_until"),
    ],
)
def test_a_wrong_quote_is_refused_beside_its_field(
    send: Act, words: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refusal, transaction.atomic():
        send("100.00", **words)
    assert refusal.value.field == field
    assert not Quote.objects.exists()


def test_a_quote_without_lines_is_refused(job: Ticket, ines: Person) -> None:
    with pytest.raises(Refused, match="at least one line"):
        billing.quote_send(ticket=job, by=ines, lines=[])


def test_cap_deposit_and_last_day_may_be_set_by_hand(send: Act) -> None:
    last_day = date(2026, 3, 2)
    quote = send(cap=euro("120.00"), deposit=euro("20.00"), valid_until=last_day)
    assert (quote.cap, quote.deposit) == (euro("120.00"), euro("20.00"))
    assert quote.valid_until == last_day


def test_the_last_day_is_counted_in_hollin_lanes_zone(send: Act, job: Ticket) -> None:
    job.shop.time_zone = "Pacific/Auckland"
    job.shop.save(update_fields=["time_zone"])
    late = job.opened_at.replace(hour=20)
    assert send("100.00", at=late).valid_until == date(2026, 3, 17)


CHANGES = ["UPDATE billing_quote SET total_minor = 1", "DELETE FROM billing_quoteline"]


@pytest.mark.parametrize("statement", CHANGES)
def test_the_database_refuses_to_change_a_quote(send: Act, statement: str) -> None:
    quote = send("100.00")
    with (
        pytest.raises(DatabaseError, match="never changed"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert quote.lines.count() == 1
