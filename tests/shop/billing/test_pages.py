"""The pages about money: what is typed, what is said, what is kept."""

import re
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from shop.billing import papers, queries
from shop.billing import services as billing
from shop.billing.models import (
    Invoice,
    OrderLine,
    PartUse,
    Payment,
    Quote,
    StockItem,
    TimeEntry,
)
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.shop.billing.conftest import euro

Act = Callable[..., Any]


@pytest.fixture
def desk(client_of: Callable[[str], Client]) -> Client:
    return client_of("marit")


def url(name: str, job: Ticket, *more: object) -> str:
    return reverse(f"billing:{name}", args=[job.number, *more])


def post(client: Client, address: str, **fields: Any) -> Any:
    return client.post(address, {"idempotency_key": str(uuid4())} | fields)


def text_of(response: Any) -> str:
    return str(response.content.decode())


def quote_fields(**changes: str) -> dict[str, str]:
    fields = {
        "line-TOTAL_FORMS": "2",
        "line-INITIAL_FORMS": "0",
        "line-0-text": "Repair",
        "line-0-quantity": "90",
        "line-0-unit": "MIN",
        "line-0-code": "labour.repair",
        "line-0-unit_price": "60,00",
        "line-0-tax_percent": "20",
        "line-1-text": "Cleaning",
        "line-1-unit_price": "10.00",
        "line-1-is_fixed": "on",
        "cap": "150,00",
        "cause": "A short on the main rail.",
    }
    return fields | changes


def test_a_quote_starts_from_a_draft(desk: Client, job: Ticket) -> None:
    page = text_of(desk.get(url("quote_new", job)))
    assert "Diagnosis, as agreed" in page
    assert 'value="60"' in page


def test_a_quote_is_sent_from_the_form(desk: Client, job: Ticket) -> None:
    answer = post(desk, url("quote_new", job), **quote_fields())
    assert (answer.status_code, answer["Location"]) == (302, job.get_absolute_url())
    quote = Quote.objects.get()
    assert [(line.code, line.net) for line in quote.lines.all()] == [
        ("labour.repair", euro("90.00")),
        ("fixed", euro("10.00")),
    ]
    assert (quote.total, quote.cap) == (euro("120.00"), euro("150.00"))


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"line-0-quantity": "many"}, "Write a number such as"),
        ({"line-0-tax_percent": "120"}, "cannot be above 100"),
        ({"line-0-unit_price": "-5"}, "cannot be below 0"),
        ({"line-0-text": ""}, "required"),
        ({"line-0-quantity": "-900"}, "less than nothing"),
        ({"cap": "1.00"}, "the cap cannot be below it"),
        ({"cap": "500 SEK"}, "Amounts here are in EUR"),
        ({"valid_until": "2020-01-01"}, "This day is over"),
        ({"valid_until": "soon"}, "valid date"),
        ({"line-TOTAL_FORMS": "oops"}, "missing or"),
    ],
)
def test_a_wrong_quote_is_told_and_kept_as_typed(
    desk: Client, job: Ticket, wrong: dict[str, str], says: str
) -> None:
    answer = post(desk, url("quote_new", job), **quote_fields(**wrong))
    page = text_of(answer)
    assert answer.status_code == 422
    assert says in page
    assert "A short on the main rail." in page
    assert not Quote.objects.exists()


def test_what_a_quote_comes_to_is_said_before_it_is_sent(
    desk: Client, job: Ticket
) -> None:
    """90 min at 60.00 and 10.00 are 100.00; 20 % on it, and up to 150.00 as typed."""
    told = text_of(post(desk, url("quote_sums", job), **quote_fields()))
    assert "It comes to 100.00, with tax <b>120.00 EUR</b>" in told
    assert "up to 150.00" in told
    low = text_of(post(desk, url("quote_sums", job), **quote_fields(cap="1.00")))
    assert "the cap cannot be below it" in low
    wrong = quote_fields(**{"line-0-quantity": "many"})
    assert "can’t be said yet" in text_of(post(desk, url("quote_sums", job), **wrong))
    assert not Quote.objects.exists()


def test_a_quote_of_left_out_lines_is_refused(desk: Client, job: Ticket) -> None:
    left_out = {"line-0-DELETE": "on", "line-1-DELETE": "on"}
    answer = post(desk, url("quote_new", job), **quote_fields(**left_out))
    assert answer.status_code == 422
    assert "at least one line" in text_of(answer)


def test_an_answer_is_recorded_on_the_quotes_page(
    desk: Client, job: Ticket, send: Act
) -> None:
    send("100.00", valid_until=None, at=None)
    assert "Record the answer" in text_of(desk.get(url("quote", job, 1)))
    said = {"is_yes": "yes", "answered_by": "Ada Pell", "channel": "phone"}
    answer = post(desk, url("quote_answer", job, 1), **said)
    assert (answer.status_code, answer["Location"]) == (302, job.get_absolute_url())
    assert queries.agreed(job).amount == euro("120.00")
    assert "Record the answer" not in text_of(desk.get(url("quote", job, 1)))


def test_the_second_answer_is_told_of_the_first(
    desk: Client, job: Ticket, send: Act, answer: Act
) -> None:
    answer(send("100.00", at=None), is_yes=True, at=None)
    said = {"is_yes": "no", "answered_by": "Sam Pell", "channel": "counter"}
    page = post(desk, url("quote_answer", job, 1), **said)
    assert page.status_code == 422
    assert "Already answered: yes, by Ada Pell, by phone." in text_of(page)


def test_an_answer_of_nothing_is_refused(desk: Client, job: Ticket, send: Act) -> None:
    send("100.00", at=None)
    page = post(desk, url("quote_answer", job, 1))
    assert page.status_code == 422
    assert "required" in text_of(page)


def test_a_quote_that_was_never_sent_is_not_there(desk: Client, job: Ticket) -> None:
    assert desk.get(url("quote", job, 7)).status_code == 404


def test_papers_are_read_in_the_browser(
    desk: Client, job: Ticket, send: Act, issue: Act
) -> None:
    send("100.00")
    invoice = issue(job)
    for address in (url("quote_pdf", job, 1), invoice.get_absolute_url()):
        answer = desk.get(address)
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"].startswith("inline;")
        assert answer.content.startswith(b"%PDF")


def test_a_paper_that_was_never_issued_is_not_there(desk: Client) -> None:
    assert (
        desk.get(reverse("billing:invoice_pdf", args=["2026-0777"])).status_code == 404
    )


def test_time_is_recorded_and_taken_back(desk: Client, job: Ticket) -> None:
    post(desk, url("time_record", job), kind="repair", minutes="20")
    entry = TimeEntry.objects.get()
    assert (entry.minutes, entry.person.username) == (20, "marit")
    assert "20 min" in text_of(desk.get(url("work", job)))
    post(desk, url("time_reverse", job, entry.pk))
    assert sum(TimeEntry.objects.values_list("minutes", flat=True)) == 0
    again = post(desk, url("time_reverse", job, entry.pk))
    assert again.status_code == 422
    assert "taken back already" in text_of(again)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"minutes": "-5"}, "greater than or equal to 1"),
        ({"minutes": "9999"}, "less than or equal to 1440"),
        ({"minutes": "an hour"}, "whole number"),
        ({"kind": "tea"}, "not one of the available choices"),
        ({"started_at": "2999-01-01T10:00"}, "lies ahead"),
        ({"started_at": "2001-01-01T10:00"}, "not open yet"),
    ],
)
def test_wrong_time_is_told_beside_its_field(
    desk: Client, job: Ticket, wrong: dict[str, str], says: str
) -> None:
    right = {"kind": "repair", "minutes": "20"}
    answer = post(desk, url("time_record", job), **(right | wrong))
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert not TimeEntry.objects.exists()


def test_a_part_comes_from_the_shelf_and_goes_back(
    desk: Client, job: Ticket, shelf: StockItem
) -> None:
    post(desk, url("part_use", job), is_in_board="on", item=str(shelf.pk), quantity="2")
    use = PartUse.objects.get()
    assert (use.name, use.price, use.quantity) == (shelf.name, euro("2.00"), 2)
    post(desk, url("part_return", job, use.pk))
    shelf.refresh_from_db()
    assert shelf.on_hand == 2


def test_a_double_tap_uses_a_part_once(
    desk: Client, job: Ticket, shelf: StockItem
) -> None:
    tap = {"item": str(shelf.pk), "quantity": "1", "idempotency_key": str(uuid4())}
    tap |= {"is_in_board": "on"}
    first = desk.post(url("part_use", job), tap)
    second = desk.post(url("part_use", job), tap)
    assert first.status_code == second.status_code == 302
    assert PartUse.objects.count() == 1
    shelf.refresh_from_db()
    assert shelf.on_hand == 1


def test_one_key_is_not_used_for_two_acts(desk: Client, job: Ticket) -> None:
    key = {"idempotency_key": str(uuid4()), "kind": "repair"}
    desk.post(url("time_record", job), key | {"minutes": "20"})
    other = desk.post(url("time_record", job), key | {"minutes": "30"})
    assert other.status_code == 422
    assert TimeEntry.objects.count() == 1


def test_a_salvaged_part_has_its_own_price(desk: Client, job: Ticket) -> None:
    part = {"name": "Fuse", "quantity": "1", "is_salvaged": "on", "price": "3,00"}
    part |= {"is_in_board": "on"}
    post(desk, url("part_use", job), **part)
    use = PartUse.objects.get()
    assert (use.cost, use.price) == (euro("0"), euro("3.00"))


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"quantity": "-1"}, "greater than or equal to 1"),
        ({"cost": "-1"}, "cannot be below 0"),
        ({"cost": ""}, "Say what it cost"),
        ({"cost": "5 SEK"}, "Amounts here are in EUR"),
        ({"name": ""}, "Name the part"),
        ({"name": "x" * 10_000}, "at most 120"),
        ({"is_salvaged": "on"}, "price of its own"),
        ({"item": "777"}, "not one of the available choices"),
    ],
)
def test_a_wrong_part_is_told_beside_its_field(
    desk: Client, job: Ticket, wrong: dict[str, str], says: str
) -> None:
    right = {"name": "Fuse", "quantity": "1", "cost": "0,80"}
    answer = post(desk, url("part_use", job), **(right | wrong))
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert not PartUse.objects.exists()


def test_more_than_the_shelf_holds_is_told(
    desk: Client, job: Ticket, shelf: StockItem
) -> None:
    answer = post(
        desk, url("part_use", job), is_in_board="on", item=str(shelf.pk), quantity="3"
    )
    assert answer.status_code == 422
    assert "On the shelf: 2 of" in text_of(answer)


def test_a_part_is_ordered_and_arrives(desk: Client, job: Ticket) -> None:
    order = {"supplier": "Quayside Parts", "name": "Controller", "quantity": "1"}
    post(desk, url("part_order", job), **order, price="6,40", due_on="2030-01-08")
    line = OrderLine.objects.get()
    assert (line.price, str(line.due_on)) == (euro("6.40"), "2030-01-08")
    post(desk, url("part_arrive", job, line.pk))
    assert queries.orders_of(job) == [(line, "arrived")]
    assert post(desk, url("part_arrive", job, line.pk)).status_code == 422


def test_a_payment_is_taken(desk: Client, job: Ticket) -> None:
    assert 'value="42.00"' in text_of(desk.get(url("payment_take", job)))
    post(desk, url("payment_take", job), amount="42,00", method="card")
    assert Payment.objects.get().amount == euro("42.00")


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"amount": "42,001"}, "At most 2 digits"),
        ({"amount": "42 SEK"}, "Amounts here are in EUR"),
        ({"amount": "0"}, "Nothing is no payment"),
        ({"amount": "420"}, "Only 42.00 more"),
        ({"amount": "-1"}, "Only 0.00 was paid"),
        ({"method": "shells"}, "not one of the available choices"),
    ],
)
def test_a_wrong_payment_is_told_beside_its_field(
    desk: Client, job: Ticket, wrong: dict[str, str], says: str
) -> None:
    right = {"amount": "42", "method": "card"}
    answer = post(desk, url("payment_take", job), **(right | wrong))
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert not Payment.objects.exists()


def test_an_invoice_is_taken_back_on_its_page(
    desk: Client, job: Ticket, issue: Act
) -> None:
    invoice = issue(job)
    page = reverse("billing:credit_note", args=[invoice.number])
    assert "Take back invoice 2026-0001" in text_of(desk.get(page))
    assert post(desk, page, reason=" ").status_code == 422
    why = {"reason": "The wrong customer"}
    answer = post(desk, page, **why)
    assert answer["Location"] == job.get_absolute_url()
    note = Invoice.objects.get(kind="credit_note")
    assert "Reason: The wrong customer" in papers.invoice_html(note)
    again = post(desk, page, **why)
    assert again.status_code == 422
    assert "taken back already" in text_of(again)


def test_what_was_paid_is_told_when_its_invoice_is_taken_back(
    desk: Client, job: Ticket, issue: Act, pay: Act
) -> None:
    pay(job, "42.00")
    page = reverse("billing:credit_note", args=[issue(job).number])
    post(desk, page, reason="The wrong customer")
    shown = text_of(desk.get(job.get_absolute_url()))
    assert "42.00 EUR was paid: give it back, or bill the work anew." in shown


def test_the_panel_shows_agreed_used_and_due(
    desk: Client, job: Ticket, ines: Person, send: Act, answer: Act, pay: Act
) -> None:
    from shop.billing.panels import panel

    pay(job, "42.00")
    answer(send("100.00"), is_yes=True)
    page = panel(job, ines)
    for words in ("Accepted, quote 1", "120.00", "132.00", "Due", "accepted"):
        assert words in page


def test_the_panel_says_what_was_worked_after_the_invoice(
    desk: Client, job: Ticket, ines: Person, issue: Act, work: Act
) -> None:
    from shop.billing.panels import panel

    issue(job)
    assert "not billed" not in panel(job, ines)
    work(job, "repair", 15)
    assert "not billed" in panel(job, ines)
    billing.credit_note_issue(invoice=Invoice.objects.get(), by=ines)
    assert "Credit note C2026-0001" in panel(job, ines)


def test_the_panel_asks_the_database_a_fixed_number_of_times(
    job: Ticket,
    ines: Person,
    work: Act,
    send: Act,
    django_assert_max_num_queries: Callable[[int], Any],
) -> None:
    from shop.billing.panels import panel

    for _round in range(5):
        work(job, "repair", 5)
        send("100.00")
    assert job.customer.name  # as a ticket comes from ``ticket_get``
    with django_assert_max_num_queries(26):
        panel(job, ines)


def test_with_the_request_the_panel_holds_the_small_forms(
    job: Ticket, marit: Person, rf: RequestFactory
) -> None:
    from shop.billing.panels import panel

    page = panel(job, marit, rf.get("/"))
    for name in ("time_record", "payment_take"):
        assert f'action="{url(name, job)}"' in page
    assert page.count("csrfmiddlewaretoken") == page.count("idempotency_key") == 2
    assert 'value="42.00"' in page


def test_the_panel_offers_what_the_persons_roles_may_do(
    job: Ticket, tomas: Person, ines: Person
) -> None:
    from shop.billing.panels import panel

    counter, bench = panel(job, tomas), panel(job, ines)
    assert url("payment_take", job) in counter
    assert url("payment_take", job) not in bench
    assert url("time_record", job) in bench
    assert url("time_record", job) not in counter


INPUT = re.compile(r'<input type="(\w+)" name="(line-[^"]+)"(?: value="([^"]*)")?')


def test_the_draft_as_it_is_shown_is_a_quote(desk: Client, job: Ticket) -> None:
    page = text_of(desk.get(url("quote_new", job)))
    shown = {
        name: value for kind, name, value in INPUT.findall(page) if kind != "checkbox"
    }
    assert post(desk, url("quote_new", job), **shown).status_code == 302
    assert [(line.code, line.net) for line in Quote.objects.get().lines.all()] == [
        ("fee", euro("35.00")),
        ("labour.repair", euro("60.00")),
        ("consumables", euro("4.00")),
    ]
