"""The bills of domain.md section 12, through the services, to the last cent."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from shop.billing import queries
from shop.billing import services as billing
from shop.billing.models import Invoice, StockItem
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.shop.billing.conftest import euro

Act = Callable[..., Any]


def amounts(invoice: Invoice) -> list[Decimal]:
    due = invoice.total - invoice.prepaid
    parts = (invoice.net, invoice.tax, invoice.total, invoice.prepaid, due)
    return [part.amount for part in parts]


def test_case_a_the_shorted_capacitor(
    job: Ticket,
    ines: Person,
    shelf: StockItem,
    pay: Act,
    work: Act,
    send: Act,
    answer: Act,
    issue: Act,
) -> None:
    pay(job, "42.00")
    work(job, "diagnosis", 40)
    answer(send(lines=queries.draft_lines(job)), is_yes=True)
    work(job, "repair", 55)
    billing.part_use(ticket=job, by=ines, name=shelf.name, cost=shelf.cost, item=shelf)
    invoice = issue(job)
    assert amounts(invoice) == list(
        map(Decimal, ("101.00", "20.20", "121.20", "42.00", "79.20"))
    )
    assert [(row.text, str(row.net.amount)) for row in invoice.lines.all()] == [
        ("Diagnosis, as agreed", "35.00"),
        ("Repair", "60.00"),
        ("Capacitor 22 µF", "2.00"),
        ("Consumables", "4.00"),
    ]
    assert queries.balance(job).due == euro("79.20")


def test_case_b_the_silent_controller(
    job: Ticket, ines: Person, pay: Act, work: Act, send: Act, answer: Act, issue: Act
) -> None:
    pay(job, "42.00")
    answer(send("150.00"), is_yes=True)
    work(job, "diagnosis", 45)
    work(job, "repair", 30)
    work(job, "repair", 50)
    billing.part_use(
        ticket=job, by=ines, name="Keep-alive controller", cost=euro("6.40")
    )
    invoice = issue(job)
    assert amounts(invoice) == list(
        map(Decimal, ("139.24", "27.85", "167.09", "42.00", "125.09"))
    )
    assert [str(row.net.amount) for row in invoice.lines.all()] == [
        "35.00",
        "90.00",
        "10.24",
        "4.00",
    ]
    assert queries.balance(job).due == euro("125.09")
