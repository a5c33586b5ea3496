"""The cast: one shop and the people who have, or have no, business in it."""

from collections.abc import Callable

import pytest
from django.test import Client

from shop import pdf
from shop.intake.models import Ticket
from shop.people.models import Person, Role, Shop
from tests.factories import PersonFactory, ShopFactory, TicketFactory


@pytest.fixture
def hollin_lane(db: None) -> Shop:
    return ShopFactory.create()


@pytest.fixture
def marit(hollin_lane: Shop) -> Person:
    """Owns the shop."""
    return PersonFactory.create(
        username="marit", name="Marit Hollin", shop=hollin_lane, roles=[Role.OWNER]
    )


@pytest.fixture
def tomas(hollin_lane: Shop) -> Person:
    """Stands at the front desk."""
    return PersonFactory.create(
        username="tomas", name="Tomas Reyl", shop=hollin_lane, roles=[Role.FRONT_DESK]
    )


@pytest.fixture
def ines(hollin_lane: Shop) -> Person:
    """A technician."""
    return PersonFactory.create(
        username="ines", name="Ines Okafor", shop=hollin_lane, roles=[Role.TECHNICIAN]
    )


@pytest.fixture
def sami(hollin_lane: Shop) -> Person:
    """The other technician."""
    return PersonFactory.create(
        username="sami", name="Sami Aalto", shop=hollin_lane, roles=[Role.TECHNICIAN]
    )


@pytest.fixture
def vera(hollin_lane: Shop) -> Person:
    """Looks at the books until a day."""
    return PersonFactory.create(
        username="vera", name="Vera Lund", shop=hollin_lane, roles=[Role.AUDITOR]
    )


@pytest.fixture
def nobody(db: None) -> Person:
    """Can sign in, but has no role in any shop."""
    return PersonFactory.create(username="nobody", name="No Role")


@pytest.fixture
def elsewhere(db: None) -> Person:
    """Owner, front desk and technician of another shop."""
    shop = ShopFactory.create(name="Fenn Street Electronics")
    return PersonFactory.create(
        username="elsewhere", name="Rue Fenn", shop=shop, roles=list(Role)
    )


@pytest.fixture
def client_of(
    marit: Person,
    tomas: Person,
    ines: Person,
    sami: Person,
    vera: Person,
    nobody: Person,
) -> Callable[[str], Client]:
    """``client_of("ines")``: a browser in which Ines is signed in."""
    cast = {p.username: p for p in (marit, tomas, ines, sami, vera, nobody)}

    def signed_in(username: str) -> Client:
        client = Client()
        client.force_login(cast[username])
        return client

    return signed_in


@pytest.fixture
def stranger() -> Client:
    """A browser in which nobody is signed in."""
    return Client()


@pytest.fixture
def client_elsewhere(elsewhere: Person) -> Client:
    client = Client()
    client.force_login(elsewhere)
    return client


@pytest.fixture
def ticket(tomas: Person) -> Ticket:
    """One taken in by Tomas a moment ago."""
    return TicketFactory.create(by=tomas)


BLANK = b"%PDF-1.7"


@pytest.fixture
def blank_papers(monkeypatch: pytest.MonkeyPatch) -> None:
    """For tests that ask nothing of papers: laying one out takes up to seconds."""
    for name in ("render", "render_archived"):
        monkeypatch.setattr(pdf, name, lambda html, **_asked: BLANK)
    monkeypatch.setattr(pdf, "count_pages", lambda html: 1)
    monkeypatch.setattr(
        pdf, "render_strips", lambda htmls, **asked: pdf.Roll(BLANK, 80.0, (100.0,))
    )
