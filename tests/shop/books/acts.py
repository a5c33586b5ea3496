"""What several tests of the books do."""

import uuid
from datetime import datetime
from typing import Any

from django.test import Client
from django.urls import reverse

from shop.billing import services as billing
from shop.billing.models import Invoice, Payment
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person


def eur(amount: str) -> Money:
    return Money.of(amount, "EUR")


def pay(
    ticket: Ticket,
    by: Person,
    amount: str,
    method: str = "cash",
    at: datetime | None = None,
) -> Payment:
    return billing.payment_take(
        shop=ticket.shop,
        by=by,
        ticket=ticket,
        amount=eur(amount),
        method=method,
        reason="given back" if amount.startswith("-") else "",
        at=at,
    )


def billed(ticket: Ticket, by: Person, at: datetime | None = None) -> Invoice:
    """The diagnosis fee with tax: 35.00 + 7.00."""
    return billing.invoice_issue(
        ticket=ticket, by=by, evidence=[], story={}, device={}, at=at
    )


def send(
    client: Client, name: str, form: dict[str, Any], *args: object, key: str = ""
) -> str:
    """Post a form of the page once; the key that it was sent with."""
    key = key or str(uuid.uuid4())
    answer = client.post(reverse(name, args=args), form | {"idempotency_key": key})
    assert answer.status_code == 302, answer.content.decode()[:3000]
    return key


def refused(client: Client, name: str, form: dict[str, Any], *args: object) -> str:
    """The page that a form which is refused is answered with."""
    own = form | {"idempotency_key": str(uuid.uuid4())}
    answer = client.post(reverse(name, args=args), own)
    assert answer.status_code == 422, answer.status_code
    return answer.content.decode()
