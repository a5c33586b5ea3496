"""A year of a shop's money, told by the services: what is owed, paid, given back.

From its middle on advances have invoices and cash is rounded.

Told from its start to its end, so that ids follow the time as in a real shop.
"""

import random
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from shop.billing import owing
from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing.models import Invoice, StockItem
from shop.billing.paying.rules import rules_set
from shop.books import services as books
from shop.books import till
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from tests.factories import CustomerFactory, DeviceFactory, TicketFactory

START = datetime(2025, 1, 2, 8, tzinfo=UTC)
YEAR = timedelta(days=360)
METHODS = ("cash", "cash", "card", "transfer")
COIN = 5
A_DAY = 20  # tickets between two day ends


@dataclass
class Year:
    """The shop's year; ``at`` is the moment that it has come to."""

    shop: Shop
    by: Person
    chance: random.Random
    step: timedelta
    at: datetime = START

    def go_on(self) -> datetime:
        self.at += self.step
        return self.at

    def pay(self, ticket: Ticket, minor: int, invoice: Invoice | None = None) -> None:
        billing.payment_take(
            shop=self.shop,
            by=self.by,
            ticket=ticket,
            invoice=invoice,
            amount=Money.from_minor(minor, ticket.currency),
            method=self.chance.choice(METHODS),
            reason="given back" if minor < 0 else "",
            at=self.go_on(),
        )


def live(shop: Shop, by: Person, tickets: int, seed: int) -> Year:
    """A year of that many tickets, every twentieth followed by a day end."""
    steps = tickets * 10 + tickets // A_DAY * 2 + 10
    year = Year(shop, by, random.Random(seed), YEAR / steps)
    item = shop.stock_items.create(code="C1", name="capacitor", currency=shop.currency)
    many, cost = tickets + 1, Money.of("0.30", shop.currency)
    billing.stock_receive(item=item, by=by, quantity=many, cost=cost, at=year.go_on())
    customer = CustomerFactory.create(shop=shop)
    device = DeviceFactory.create(customer=customer)
    _end_day(year)
    for number in range(tickets):
        if number == tickets // 2:
            _take_otherwise(year)
        ticket = TicketFactory.create(
            by=by,
            shop=shop,
            customer=customer,
            device=device,
            pre_approved=Money.of(500, shop.currency),
            at=year.go_on(),
        )
        _job(year, ticket, item if number % 3 == 0 else None)
        if number % A_DAY == A_DAY - 1:
            _end_day(year)
    return year


def _take_otherwise(year: Year) -> None:
    """From now on advances get invoices, and cash is paid to the next 0.05."""
    rules_set(
        shop=year.shop,
        by=year.by,
        deposit_paper="invoice",
        cash_step_minor=COIN,
        at=year.go_on(),
    )


def _job(year: Year, ticket: Ticket, item: StockItem | None) -> None:
    chance, by = year.chance, year.by
    if chance.random() < 0.3:
        year.pay(ticket, 4200)  # the fee, at the counter
    if item is not None:
        billing.part_use(
            ticket=ticket,
            by=by,
            name="capacitor",
            cost=Money.of("0.30", ticket.currency),
            item=item,
            at=year.go_on(),
        )
    billing.time_record(
        ticket=ticket,
        by=by,
        person=by,
        kind="repair",
        minutes=chance.randint(5, 120),
        started_at=year.go_on(),
    )
    invoice = _issued(year, ticket)
    if chance.random() < 0.9:
        _settle(year, ticket, invoice)
    if chance.random() < 0.06:
        billing.credit_note_issue(invoice=invoice, by=by, at=year.go_on())
        after = chance.choice(["back", "anew", "left"])
        if after == "back":
            _give_back(year, ticket)
        elif after == "anew":
            _settle(year, ticket, _issued(year, ticket))


def _issued(year: Year, ticket: Ticket) -> Invoice:
    return billing.invoice_issue(
        ticket=ticket, by=year.by, evidence=[], story={}, device={}, at=year.go_on()
    )


def _settle(year: Year, ticket: Ticket, invoice: Invoice) -> None:
    """At once, or in two parts, of which the second may not come."""
    due = money.balance(ticket).due.minor
    if due <= 0:
        return
    first = due if year.chance.random() < 0.8 else max(due // 3 // COIN, 1) * COIN
    year.pay(ticket, first, invoice)
    if first < due and year.chance.random() < 0.7:
        year.pay(ticket, due - first, invoice)


def _give_back(year: Year, ticket: Ticket) -> None:
    for advance in owing.standing_prepayments(ticket):
        billing.credit_note_issue(invoice=advance, by=year.by, at=year.go_on())
    received = money.paid(ticket).minor
    if received > 0:
        year.pay(ticket, -received)


def _end_day(year: Year) -> None:
    """Some days a little is missing or too much; then most goes to the bank."""
    shop, by = year.shop, year.by
    expected = till.now(shop).expected
    off = year.chance.choice([0, 0, 0, -35, 20])
    counted = max(Money.from_minor(expected.minor + off, shop.currency), expected * 0)
    after = shop.cash_days.count()
    books.cash_day_end(
        shop=shop,
        by=by,
        counted=counted,
        after=after,
        reason="miscounted" if off else "",
        at=year.go_on(),
    )
    if counted.minor > 20000:
        books.cash_move(
            shop=shop,
            by=by,
            why="to_bank",
            amount=Money.from_minor(counted.minor - 15000, shop.currency),
            at=year.go_on(),
        )
