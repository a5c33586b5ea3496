"""A shop with the prices of the worked cases (domain.md, 12) and one ticket."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from shop.billing import services as billing
from shop.billing.models import Invoice, Quote, StockItem
from shop.billing.totals import Line
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from tests.factories import TicketFactory

OPENED = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
STORY = {
    "told": "Dead, no light.",
    "found": "A capacitor had shorted.",
    "done": "Capacitor renewed.",
    "proved": "Every supply present.",
}
EVIDENCE: list[dict[str, Any]] = [
    {
        "rail": "main",
        "name": "main rail",
        "before": {
            "rung": "down",
            "value": "0.2 Ω",
            "verdict": "bad",
            "verdict_word": "bad",
            "at": "2026-03-02T10:00:00+00:00",
        },
        "after": {
            "rung": "up",
            "value": "19.1 V",
            "verdict": "good",
            "verdict_word": "good",
            "at": "2026-03-04T16:00:00+00:00",
        },
        "should_read": "18.5–20.0 V",
    },
    {
        "rail": "cpu.core",
        "name": "CPU core",
        "before": None,
        "after": {"rung": "up", "value": "0.98 V", "verdict": "good"},
        "should_read": "",
    },
]


def euro(amount: str) -> Money:
    return Money.of(amount, "EUR")


def ticket_for(shop: Shop, **columns: Any) -> Ticket:
    """A ticket taken in at ``OPENED``, with what the test sets on its row."""
    by = Person.objects.filter(memberships__shop=shop).first()
    ticket = TicketFactory.create(by=by, shop=shop, at=OPENED)
    Ticket.objects.filter(pk=ticket.pk).update(**columns)
    ticket.refresh_from_db()
    return ticket


@pytest.fixture
def job(hollin_lane: Shop, ines: Person) -> Ticket:
    return ticket_for(hollin_lane)


@pytest.fixture
def shelf(hollin_lane: Shop, ines: Person) -> StockItem:
    item = StockItem.objects.create(
        shop=hollin_lane, code="C-22", name="Capacitor 22 µF", currency="EUR"
    )
    billing.stock_receive(item=item, by=ines, quantity=2, cost=euro("0.30"), at=OPENED)
    return item


def a_line(price: str = "100.00", **columns: Any) -> Line:
    fields: dict[str, Any] = {
        "code": "estimate",
        "text": "Repair",
        "quantity": Decimal(1),
    }
    fields |= {"tax_percent": Decimal(20), "currency": "EUR"} | columns
    return Line.priced(unit_price=Decimal(price), **fields)


@pytest.fixture
def send(job: Ticket, ines: Person) -> Callable[..., Quote]:
    def quote(price: str = "100.00", **words: Any) -> Quote:
        fields: dict[str, Any] = {
            "ticket": job,
            "by": ines,
            "at": OPENED + timedelta(hours=2),
        } | words
        lines = fields.pop("lines", None) or [a_line(price)]
        return billing.quote_send(lines=lines, **fields)

    return quote


@pytest.fixture
def answer(ines: Person) -> Callable[..., Any]:
    def keep(quote: Quote, *, is_yes: bool, **words: Any) -> Any:
        fields: dict[str, Any] = {
            "answered_by": "Ada Pell",
            "channel": "phone",
            "recorded_by": ines,
        }
        fields |= {"at": OPENED + timedelta(hours=3)} | words
        return billing.quote_answer(quote=quote, is_yes=is_yes, **fields)

    return keep


@pytest.fixture
def work(ines: Person) -> Callable[..., Any]:
    def minutes(ticket: Ticket, kind: str, count: int) -> Any:
        return billing.time_record(
            ticket=ticket,
            by=ines,
            person=ines,
            kind=kind,
            minutes=count,
            started_at=OPENED + timedelta(hours=4),
        )

    return minutes


@pytest.fixture
def issue(ines: Person) -> Callable[..., Invoice]:
    def invoice(ticket: Ticket, **words: Any) -> Invoice:
        fields: dict[str, Any] = {
            "evidence": EVIDENCE,
            "story": STORY,
            "device": {"model": "Heron-14", "serial": "R7-1"},
            "at": OPENED + timedelta(days=3),
        }
        return billing.invoice_issue(ticket=ticket, by=ines, **(fields | words))

    return invoice


@pytest.fixture
def pay(hollin_lane: Shop, ines: Person) -> Callable[..., Any]:
    def take(ticket: Ticket, amount: str, **words: Any) -> Any:
        fields: dict[str, Any] = {
            "method": "card",
            "at": OPENED + timedelta(minutes=5),
        } | words
        return billing.payment_take(
            shop=hollin_lane, by=ines, amount=euro(amount), ticket=ticket, **fields
        )

    return take
