"""Everything of the set-up can be changed: by the owner, dated, nothing lost."""

from collections.abc import Callable
from datetime import time
from io import BytesIO
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader

from shop.intake import papers
from shop.intake.models import Ticket
from shop.intake.services import ThingDraft
from shop.opening.default_texts import DEFAULTS
from shop.people import house_services as house
from shop.people.house_services import Stretch, hours_keep
from shop.people.models import Person, Shop
from shop.people.queries import terms_at
from tests.factories import PASSWORD, TermsFactory, TicketFactory

pytestmark = pytest.mark.django_db
ClientOf = Callable[[str], Client]
NINE, FIVE = time(9), time(17)


def fields(client: Client, url: str) -> dict[str, Any]:
    """What the page's form would send, untouched."""
    page = client.get(url)
    form = page.context["form"]
    found = {f.name: f.value() for f in form if f.value() not in (None, "")}
    found.setdefault("version", page.context.get("version", 0))
    return found | {"idempotency_key": uuid4().hex}


@pytest.fixture
def owner(client_of: ClientOf, hollin_lane: Shop) -> Client:
    hollin_lane.country = "DE"
    hollin_lane.time_zone = "Europe/Berlin"
    hollin_lane.save()
    client = client_of("marit")
    client.post("/sign-in/", {"username": "marit", "password": PASSWORD})
    return client


def test_the_shop_is_changed(owner: Client, hollin_lane: Shop) -> None:
    form = fields(owner, "/opening/settings/shop/") | {"town": "Eastmere"}
    assert owner.post("/opening/settings/shop/", form).status_code == 302
    hollin_lane.refresh_from_db()
    assert (hollin_lane.town, hollin_lane.version) == ("Eastmere", 2)


@pytest.mark.parametrize(
    ("field", "wrong", "right"),
    [
        ("account", "DE89 3704 0044 0532 0130 01", "DE89 3704 0044 0532 0130 00"),
        ("tax_id", "DE 136,695 977", "DE 136,695 976"),
    ],
)
def test_a_mistyped_iban_or_vat_id_is_said_beside_its_field(
    owner: Client, hollin_lane: Shop, field: str, wrong: str, right: str
) -> None:
    """IBAN: the example of ISO 13616; VAT id: python-stdnum's own."""
    url = "/opening/settings/shop/"
    answer = owner.post(url, fields(owner, url) | {field: wrong})
    assert answer.status_code == 422
    assert "check digits" in answer.context["form"].errors[field][0]
    assert answer.context["form"][field].value() == wrong
    assert owner.post(url, fields(owner, url) | {field: right}).status_code == 302
    hollin_lane.refresh_from_db()
    assert getattr(hollin_lane, field) == right


def test_why_there_is_no_tax_is_dated_with_the_rates(
    owner: Client, hollin_lane: Shop
) -> None:
    url = "/opening/settings/rates/"
    said = {"tax_percent": "0", "untaxed_as": "O", "untaxed_reason": "No tax here."}
    assert owner.post(url, fields(owner, url) | said).status_code == 302
    now = terms_at(hollin_lane, timezone.now())
    assert (now.untaxed_as, now.untaxed_reason) == ("O", "No tax here.")


def test_who_saves_second_sees_what_the_first_saved(
    owner: Client, hollin_lane: Shop, marit: Person
) -> None:
    form = fields(owner, "/opening/settings/shop/") | {"town": "Mine"}
    house.shop_change(shop=hollin_lane, by=marit, version=1, town="Theirs")
    answer = owner.post("/opening/settings/shop/", form)
    assert answer.status_code == 422
    assert "Theirs" in answer.content.decode()
    assert "Mine" in answer.content.decode()


def test_the_currency_stays_once_there_are_tickets(
    owner: Client, hollin_lane: Shop, tomas: Person
) -> None:
    url = "/opening/settings/shop/"
    yen = fields(owner, url) | {"currency": "JPY"}
    assert owner.post(url, yen).status_code == 302
    assert terms_at(hollin_lane, timezone.now()).hourly_rate_minor == 60
    TicketFactory.create(by=tomas, shop=Shop.objects.get())
    back = fields(owner, url) | {"currency": "EUR"}
    assert owner.post(url, back).status_code == 422
    assert Shop.objects.get().currency == "JPY"


def test_rates_are_dated(owner: Client, hollin_lane: Shop) -> None:
    before = timezone.now()
    form = fields(owner, "/opening/settings/rates/") | {"hourly_rate": "72,50"}
    assert owner.post("/opening/settings/rates/", form).status_code == 302
    assert terms_at(hollin_lane, before).hourly_rate_minor == 6000
    now = terms_at(hollin_lane, timezone.now())
    assert now.hourly_rate_minor == 7250
    assert now.markup_tiers.count() == 3
    stale = form | {"hourly_rate": "80", "idempotency_key": uuid4().hex}
    assert owner.post("/opening/settings/rates/", stale).status_code == 422


def test_rates_ask_for_the_password_again(client_of: ClientOf) -> None:
    client = client_of("marit")
    session = client.session
    session["signed_in_at"] = 0.0
    session.save()
    answer = client.get("/opening/settings/rates/")
    assert answer["Location"].startswith("/sign-in/again/")


def test_hours_give_the_first_promise(
    owner: Client, hollin_lane: Shop, marit: Person
) -> None:
    url = "/opening/settings/hours/"
    form = fields(owner, url) | {"day0_opens_1": "09:00", "day0_closes_1": "17:00"}
    assert owner.post(url, form).status_code == 302
    page = owner.get("/counter/new/")
    promise = page.context["form"].initial["promise"].astimezone(hollin_lane.zone)
    assert (promise.weekday(), promise.hour) == (0, 17)
    twice = fields(owner, url) | {"day0_opens_2": "16:00", "day0_closes_2": "18:00"}
    assert owner.post(url, twice).status_code == 422
    again = fields(owner, url) | {"version": 1}
    assert owner.post(url, again).status_code == 422


def test_texts_are_kept_and_confirmed(owner: Client, hollin_lane: Shop) -> None:
    form = {"job_terms_en": "Our terms.", "idempotency_key": uuid4().hex}
    assert owner.post("/opening/settings/texts/", form).status_code == 302
    page = owner.get("/opening/settings/texts/")
    read = {"last": page.context["last"].pk, "idempotency_key": uuid4().hex}
    owner.post("/opening/settings/texts/read/", read)
    assert owner.get("/opening/settings/texts/").context["are_read"]


def slip_of(ticket: Ticket) -> str:
    return " ".join(papers.job_slip_html(ticket).split())


def test_the_slip_says_texts_hours_and_what_is_paid(
    owner: Client, hollin_lane: Shop, marit: Person, tomas: Person
) -> None:
    bare = TicketFactory.create(by=tomas)
    TermsFactory.create(
        shop=hollin_lane,
        valid_from=timezone.now(),
        prices_with_tax=True,
        tax_basis_points=1900,
    )
    key = ("job_terms", "en")
    house.texts_keep(shop=hollin_lane, by=marit, texts={key: "Our terms."}, seen={})
    last = hollin_lane.texts.latest("id").pk
    house.texts_confirm(shop=hollin_lane, by=marit, last_seen=last)
    hours_keep(
        shop=hollin_lane,
        by=marit,
        version=1,
        week=[Stretch(d, NINE, FIVE) for d in range(5)],
        closed=[],
    )
    slip = slip_of(TicketFactory.create(by=tomas))
    assert "Our terms." in slip
    assert "Mon to Fri 9:00 to 17:00" in slip
    assert "41.65 EUR" in slip  # 35.00 and 19 % of it
    assert "Our terms." not in slip_of(bare)
    assert "with tax" not in slip_of(bare)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_usual_slip_with_its_terms_is_one_page(
    owner: Client, hollin_lane: Shop, marit: Person, tomas: Person, paper: str
) -> None:
    hollin_lane.paper_size = paper
    hollin_lane.save()
    texts = {(kind, "en"): text for kind, text in DEFAULTS.items()}
    house.texts_keep(shop=hollin_lane, by=marit, texts=texts, seen={})
    last = hollin_lane.texts.latest("id").pk
    house.texts_confirm(shop=hollin_lane, by=marit, last_seen=last)
    things = [ThingDraft("adapter"), ThingDraft("bag")]
    ticket = TicketFactory.create(
        by=tomas, shop=Shop.objects.get(), things=things, liquid="unsure"
    )
    pages = PdfReader(BytesIO(papers.job_slip(ticket))).pages
    assert len(pages) == 1
    assert "do not browse your files" in " ".join(pages[0].extract_text().split())


def test_the_logo_is_on_the_slip(
    owner: Client, hollin_lane: Shop, tomas: Person
) -> None:
    before = TicketFactory.create(by=tomas)
    out = BytesIO()
    Image.new("RGB", (200, 80), "navy").save(out, format="PNG")
    picture = SimpleUploadedFile("logo.png", out.getvalue())
    form = fields(owner, "/opening/settings/shop/") | {"logo": picture}
    assert owner.post("/opening/settings/shop/", form).status_code == 302
    after = TicketFactory.create(by=tomas)
    images = [
        len(PdfReader(BytesIO(papers.job_slip(ticket))).pages[0].images)
        for ticket in (before, after)
    ]
    assert images == [0, 1]
