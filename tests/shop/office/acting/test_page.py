"""The first screen: what it says, how much it shows, and how often it asks."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from django.utils.html import strip_tags

from shop.billing import services as billing
from shop.billing.rates.free import goodwill_decide
from shop.intake import services as intake
from shop.intake.models import Handover, Ticket
from shop.office.acting import ready
from shop.office.acting.lists import Code, lists
from shop.people import office_limits
from shop.people.models import Membership, Person, Shop
from shop.records.cache import cache
from tests.factories import CustomerFactory, TicketFactory, handed_over

ClientOf = Callable[[str], Client]
pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def said(client: Client, query: str = "") -> str:
    answer = client.get(f"/office/{query}")
    assert answer.status_code == 200
    return " ".join(strip_tags(answer.content.decode()).split())


def keys(shop: Shop, code: Code) -> list[int]:
    return [one.pk for one in lists(shop, timezone.now()).of[code]]


def recorded(ticket: Ticket, by: Person, minutes: int = 30) -> Ticket:
    billing.time_record(
        ticket=ticket,
        by=by,
        person=by,
        kind="repair",
        minutes=minutes,
        started_at=ticket.opened_at,
    )
    return ticket


def test_no_ticket_at_all(client_of: ClientOf) -> None:
    page = said(client_of("marit"))
    assert "Nothing waits for you to act." in page
    assert "Nothing: Promises broken, or at risk this week; Said yes" in page
    assert "What to do next" not in page, "no empty table"


def test_one_new_ticket_asks_for_nothing(client_of: ClientOf, ticket: Ticket) -> None:
    assert "Nothing waits for you to act." in said(client_of("marit"))


def test_a_broken_promise_is_named_with_the_next_act(
    client_of: ClientOf, tomas: Person
) -> None:
    now = timezone.now()
    ticket = TicketFactory.create(by=tomas, at=now - 9 * DAY)
    intake.promise_make(
        ticket=ticket, by=tomas, promise=now - 2 * DAY, at=now - 8 * DAY
    )
    billing.part_order(
        ticket=ticket,
        by=tomas,
        supplier="Marsh",
        name="controller",
        quantity=1,
        price=ticket.diagnosis_fee,
        due_on=None,
    )
    page = said(client_of("marit"))
    assert "1 promise is broken. Nothing is owed for more than 14 days." in page
    day = f"{timezone.localtime(now - 2 * DAY):%A}"
    assert f"Phone Ada Pell: promised for {day}, no part here yet" in page
    assert "2 days late" in page
    html = client_of("marit").get("/office/").content.decode()
    assert f'href="/tickets/{ticket.number}/promise/"' in html
    assert f'href="/tickets/{ticket.number}/"' in html


def test_limits_are_the_shops_own(marit: Person, tomas: Person) -> None:
    ticket = TicketFactory.create(by=tomas, at=timezone.now() - 4 * DAY)
    assert keys(ticket.shop, Code.UNTOUCHED) == [ticket.pk]
    office_limits.limits_set(shop=ticket.shop, by=marit, untouched_days=5)
    assert keys(ticket.shop, Code.UNTOUCHED) == []


def test_work_that_left_the_house_unbilled_is_found(tomas: Person) -> None:
    ticket = recorded(TicketFactory.create(by=tomas), tomas)
    shop = ticket.shop
    assert keys(shop, Code.UNBILLED) == [], "the work has not ended"
    handed_over(ticket, tomas)
    assert keys(shop, Code.UNBILLED) == [ticket.pk]


def test_an_invoice_taken_back_leaves_its_work_unbilled(worked_ticket: Ticket) -> None:
    shop, invoice = worked_ticket.shop, worked_ticket.invoices.get()
    assert keys(shop, Code.UNBILLED) == []
    billing.credit_note_issue(invoice=invoice, by=invoice.by, reason="Wrong name")
    assert keys(shop, Code.UNBILLED) == [worked_ticket.pk]
    cache.clear()
    assert keys(shop, Code.UNBILLED) == [worked_ticket.pk]


def test_goodwill_is_on_no_list(marit: Person, tomas: Person) -> None:

    ticket = recorded(TicketFactory.create(by=tomas), tomas)
    goodwill_decide(ticket=ticket, by=marit, is_given=True, reason="Our mistake.")
    handed_over(ticket, tomas)
    assert keys(ticket.shop, Code.UNBILLED) == []


def test_owed_and_paid(worked_ticket: Ticket, client_of: ClientOf) -> None:
    shop, invoice = worked_ticket.shop, worked_ticket.invoices.get()
    soon, late = timezone.now(), timezone.now() + 60 * DAY
    assert lists(shop, soon).of[Code.OWED] == []
    assert [one.pk for one in lists(shop, late).of[Code.OWED]] == [invoice.pk]
    assert keys(shop, Code.NOT_COLLECTED) == [worked_ticket.pk]
    assert "owing, and not told yet" in said(client_of("marit"))
    due = invoice.total - worked_ticket.payments.get().settled
    billing.payment_take(
        shop=shop, by=invoice.by, amount=due, method="card", ticket=worked_ticket
    )
    assert lists(shop, late).of[Code.OWED] == []
    assert keys(shop, Code.NOT_COLLECTED) == []


# --- input that makes no sense ---


def test_closed_before_it_was_opened(client_of: ClientOf, tomas: Person) -> None:
    ticket = recorded(TicketFactory.create(by=tomas), tomas)
    handed_over(ticket, tomas)
    Handover.objects.update(at=ticket.opened_at - 3 * DAY)
    page = said(client_of("marit"))
    assert "30 minutes stand on no invoice" in page
    assert "-" not in page.split("Work done that no invoice carries")[1].split(";")[0]


def test_who_left_is_still_named(
    client_of: ClientOf, tomas: Person, hollin_lane: Shop
) -> None:
    ticket = TicketFactory.create(by=tomas, at=timezone.now() - 4 * DAY)
    client = client_of("marit")
    Membership.objects.filter(person=tomas).delete()
    assert ticket.number in said(client)


def test_another_zone_tax_and_currency(
    client_of: ClientOf, tomas: Person, worked_ticket: Ticket
) -> None:
    """What was agreed stays in its currency; the sums are told apart."""
    shop = worked_ticket.shop
    Shop.objects.filter(pk=shop.pk).update(
        currency="JPY", time_zone="Pacific/Kiritimati"
    )
    shop.terms.update(tax_basis_points=0)
    page = said(client_of("marit"))
    assert "EUR owing" in page
    assert "JPY" not in page
    late = timezone.now() + 60 * DAY
    shop.refresh_from_db()
    [paper] = lists(shop, late).of[Code.OWED]
    assert getattr(paper, "currency", "") == "EUR"


@pytest.mark.parametrize(
    "query",
    ["?list=moon", "?list=untouched&from=-4", "?list=owed&from=99999999999", "?from=x"],
)
def test_an_address_that_makes_no_sense(query: str, client_of: ClientOf) -> None:
    assert "Nothing" in said(client_of("marit"), query)


# --- long lists ---


def many(count: int, by: Person) -> None:
    now = timezone.now()
    customer = CustomerFactory.create(shop=by.memberships.get().shop)
    for n in range(count):
        ticket = TicketFactory.create(
            by=by, customer=customer, at=now - 9 * DAY - n * timedelta(minutes=1)
        )
        if n % 2:
            intake.promise_make(
                ticket=ticket, by=by, promise=now - DAY, at=now - 8 * DAY
            )


def test_a_long_list_shows_eight_and_the_way_to_all(
    client_of: ClientOf, tomas: Person
) -> None:
    many(60, tomas)
    client = client_of("marit")
    html = client.get("/office/").content.decode()
    assert html.count('<td class="number">') == 16
    assert 'href="?list=untouched"' in html
    whole = client.get("/office/?list=untouched").content.decode()
    assert whole.count('<td class="number">') == 50
    assert "1 to 50 of 60" in whole
    assert 'href="?list=untouched&amp;from=50"' in whole
    rest = client.get("/office/?list=untouched&from=50").content.decode()
    assert rest.count('<td class="number">') == 10
    assert "The next ones" not in rest


@pytest.mark.parametrize("tickets", [10, 60])  # more than a whole list shows at once
def test_the_page_asks_as_often_for_many(
    tickets: int, client_of: ClientOf, tomas: Person
) -> None:
    """The first look of a worker, with nothing kept, and the next one."""
    many(tickets, tomas)
    client = client_of("marit")
    cache.clear()
    with CaptureQueriesContext(connection) as first:
        client.get("/office/")
    with CaptureQueriesContext(connection) as second:
        client.get("/office/")
    assert (len(first), len(second)) == (27, 18)


def test_what_is_carried_on_is_there_before_the_first_look(
    worked_ticket: Ticket,
) -> None:
    with CaptureQueriesContext(connection) as cold:
        lists(worked_ticket.shop, timezone.now())
    cache.clear()
    ready.make_ready()
    with CaptureQueriesContext(connection) as warm:
        lists(worked_ticket.shop, timezone.now())
    assert len(warm) < len(cold) - 5
