"""A shop whose owner has read the texts, a customer with an address, e-mail sent."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.utils import timezone

from shop.intake.models import Customer, Ticket
from shop.people import house_services
from shop.people.message_texts import ours
from shop.people.models import Person, Shop
from shop.records import messages
from shop.records.models import OutgoingMessage
from tests.factories import CustomerFactory, TicketFactory

Mails = list[mail.EmailMessage]


@pytest.fixture
def texts_read(hollin_lane: Shop, marit: Person) -> Shop:
    """The messages as they come with the program, read and found right."""
    texts = {(kind, "en"): text for kind, text in ours("en").items()}
    house_services.texts_keep(shop=hollin_lane, by=marit, texts=texts, seen={})
    last = hollin_lane.texts.latest("id").pk
    house_services.texts_confirm(shop=hollin_lane, by=marit, last_seen=last)
    return hollin_lane


@pytest.fixture
def ada(hollin_lane: Shop) -> Customer:
    return CustomerFactory.create(
        shop=hollin_lane, channel="email", email="ada@example.org"
    )


@pytest.fixture
def job(texts_read: Shop, ada: Customer, tomas: Person) -> Ticket:
    """Ada's, taken in a moment ago."""
    return TicketFactory.create(by=tomas, customer=ada)


@pytest.fixture
def mails(settings: Any) -> Mails:
    settings.MAIL_GOES_OUT = True
    settings.DEFAULT_FROM_EMAIL = "desk@hollin-lane.example"
    settings.SHOP_ADDRESS = "https://repairs.hollin-lane.example"
    return mail.outbox


@pytest.fixture
def send() -> Callable[..., None]:
    """``send()``: what is due goes out; ``send(days=2)``: as of then."""

    def go(**later: int) -> None:
        due = OutgoingMessage.objects.filter(
            next_try_at__lte=timezone.now() + timedelta(**later)
        )
        due.update(next_try_at=timezone.now() - timedelta(seconds=1))
        messages.send_due()

    return go
