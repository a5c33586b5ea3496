"""A college with an account, and tickets of its machines that went back."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from shop.billing import services as billing
from shop.billing.accounts.draft import Draft, draft_of
from shop.billing.accounts.issuing import Copies, account_invoice_issue
from shop.billing.models import Invoice
from shop.intake import services as intake
from shop.intake.account_models import AccountTerms
from shop.intake.models import Customer, Ticket
from shop.people.models import Person, Shop
from tests.factories import CustomerFactory, DeviceFactory, TicketFactory
from tests.shop.billing.conftest import EVIDENCE, STORY, euro

MARCH = date(2026, 3, 1)
OPENED = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
IN_APRIL = datetime(2026, 4, 2, 9, 0, tzinfo=UTC)


def college_of(shop: Shop, by: Person, **rules: Any) -> Customer:
    college = CustomerFactory.create(
        shop=shop,
        name="Weir College",
        email="office@weir.example",
        address="1 Mill Race\n12345 Wehrstadt",
        country="DE",
    )
    account_of(college, by, **rules)
    return college


def account_of(customer: Customer, by: Person, **rules: Any) -> AccountTerms:
    asked: dict[str, Any] = {
        "payment_days": 30,
        "standing_cap": euro("200.00"),
        "order_number": "PO-77",
        "billing_contact": "Ludo Brask",
        "billing_email": "accounts@weir.example",
        "seen": getattr(customer.account_terms.last(), "pk", 0),
        "at": OPENED - timedelta(days=1),
    }
    return intake.account_set(customer=customer, by=by, **(asked | rules))


def brought(
    college: Customer, by: Person, *, minutes: int = 60, day: int = 2, **more: Any
) -> Ticket:
    """Taken in on that day of March; repaired."""
    at = OPENED.replace(day=day)
    device = more.pop("device", None) or DeviceFactory.create(
        customer=college, contact="Ida Roth, lab 3"
    )
    ticket = TicketFactory.create(
        by=by, shop=college.shop, device=device, at=at, **more
    )
    billing.time_record(
        ticket=ticket,
        by=by,
        person=by,
        kind="repair",
        minutes=minutes,
        started_at=at + timedelta(hours=1),
    )
    intake.outcome_record(
        ticket=ticket, by=by, kind="fixed", at=at + timedelta(hours=3)
    )
    return ticket


def gone_back(college: Customer, by: Person, *, day: int = 3, **more: Any) -> Ticket:
    ticket = brought(college, by, **more)
    intake.handover_do(
        ticket=ticket, by=by, given_to="Ida Roth", at=OPENED.replace(day=day)
    )
    return ticket


def drafted(college: Customer, **more: Any) -> Draft:
    draft = draft_of(Customer.objects.get(pk=college.pk), MARCH, IN_APRIL, **more)
    assert draft is not None
    return draft


def issued(
    college: Customer, by: Person, *, draft: Draft | None = None, **more: Any
) -> Invoice:
    draft = draft or drafted(college)
    asked: dict[str, Any] = {
        "month": MARCH,
        "copies": {one.ticket.pk: Copies(STORY, EVIDENCE) for one in draft.shares},
        "seen": draft.mark,
        "at": IN_APRIL,
    }
    return account_invoice_issue(customer=college, by=by, **(asked | more))
