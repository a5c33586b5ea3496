"""The weekly sheet: made once, kept as it was, sent to who wishes it."""

import io
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from pypdf import PdfReader

from shop.office.weekly import mailing, papers, services
from shop.office.weekly.models import WeeklySheet
from shop.office.weekly.weeks import Week, week_of
from shop.people.models import Membership, Person, Shop
from shop.records.messages import Withheld
from shop.records.models import Event, OutgoingMessage
from tests.factories import TicketFactory
from tests.shop.office.sample_sections import sections

pytestmark = pytest.mark.one_database

ClientOf = Callable[[str], Client]
MONDAY = datetime(2026, 11, 23, 8, 0, tzinfo=UTC)
WEEK = week_of((MONDAY - timedelta(days=7)).date())


@pytest.fixture
def shop(hollin_lane: Shop, tomas: Person, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """One ticket came in that week; the figures are the samples."""
    monkeypatch.setattr("shop.office.weekly.telling.ROOMS", {"money": sections})
    TicketFactory.create(by=tomas, at=MONDAY - timedelta(days=5))
    return hollin_lane


@pytest.fixture
def owner(marit: Person) -> Person:
    marit.email = "marit@hollin.example"
    marit.save()
    return marit


def due(shop: Shop, at: datetime = MONDAY) -> WeeklySheet | None:
    return services.sheet_send_due(shop=shop, now=at)


def test_the_same_week_and_data_give_the_same_bytes(shop: Shop) -> None:
    made = [papers.sheet(shop, WEEK, MONDAY, "en") for _time in range(2)]
    assert made[0] == made[1]
    reader = PdfReader(io.BytesIO(made[0]))
    assert len(reader.pages) <= 2
    words = reader.pages[0].extract_text()
    assert "Week of 16 November to 22 November 2026" in words
    assert "1 ticket came in" in words
    assert "Where the days went" in words


def test_the_pictures_on_paper_say_what_they_show(shop: Shop) -> None:
    html = papers.sheet_html(shop, WEEK, MONDAY, "en")
    assert html.count("<title>Where the days went. A ticket took 9.0 days") == 1
    assert 'class="f-' not in html
    assert "Days from intake to handover" in html


def test_it_is_made_once_a_week(shop: Shop) -> None:
    sheet = due(shop)
    assert sheet is not None
    assert sheet.monday == WEEK.monday
    assert due(shop, MONDAY + timedelta(hours=1)) is None
    assert due(shop, MONDAY + timedelta(days=6)) is None
    following = due(shop, MONDAY + timedelta(days=7))
    assert following is not None
    assert following.monday == WEEK.monday + timedelta(days=7)


def test_weeks_that_were_missed_are_caught_up_by_one_sheet(shop: Shop) -> None:
    due(shop)
    late = due(shop, MONDAY + timedelta(days=30))
    assert late is not None
    assert shop.weekly_sheets.count() == 2


def test_a_shop_without_a_ticket_has_nothing_to_tell(hollin_lane: Shop) -> None:
    assert due(hollin_lane) is None


def test_it_goes_to_nobody_who_has_not_asked(shop: Shop, owner: Person) -> None:
    due(shop)
    assert not OutgoingMessage.objects.filter(kind=services.WEEKLY).exists()


def test_it_goes_to_the_owner_who_asked_with_the_paper(
    shop: Shop, owner: Person
) -> None:
    services.wish_set(shop=shop, by=owner, is_wished=True)
    sheet = due(shop)
    assert sheet is not None
    message = OutgoingMessage.objects.get(kind=services.WEEKLY)
    told = mailing.word(message)
    assert told.to == owner.email
    assert "Week of 16 November to 22 November 2026" in told.subject
    assert "Hello Marit Hollin," in told.text
    paper = mailing.paper(message)
    assert (paper.name, paper.body) == ("week-2026-11-16.pdf", bytes(sheet.pdf))


def test_a_wish_can_be_taken_back_and_is_logged(shop: Shop, owner: Person) -> None:
    for is_wished in (True, False):
        services.wish_set(shop=shop, by=owner, is_wished=is_wished)
    due(shop)
    assert not OutgoingMessage.objects.filter(kind=services.WEEKLY).exists()
    logged = Event.objects.filter(kind="settings_changed", by=owner)
    assert [event.codes["is_wished"] for event in logged] == [True, False]
    assert shop.weekly_wishes.count() == 2


def test_who_is_no_owner_any_more_is_sent_nothing(shop: Shop, owner: Person) -> None:
    services.wish_set(shop=shop, by=owner, is_wished=True)
    due(shop)
    Membership.objects.filter(person=owner).delete()
    message = OutgoingMessage.objects.get(kind=services.WEEKLY)
    with pytest.raises(Withheld):
        mailing.word(message)
    assert due(shop, MONDAY + timedelta(days=7)) is not None
    assert OutgoingMessage.objects.filter(kind=services.WEEKLY).count() == 1


def test_a_sheet_stands_though_the_data_changes(
    shop: Shop, owner: Person, tomas: Person
) -> None:
    sheet = due(shop)
    assert sheet is not None
    TicketFactory.create(by=tomas, at=MONDAY - timedelta(days=4))
    kept = services.sheet_make(shop=shop, now=MONDAY + timedelta(hours=2))
    assert (kept.pk, bytes(kept.pdf)) == (sheet.pk, bytes(sheet.pdf))


def test_the_page_and_its_acts(shop: Shop, owner: Person, client_of: ClientOf) -> None:
    client = client_of("marit")
    page = client.get("/office/weekly/")
    assert "None yet" in page.content.decode()
    sent = client.post("/office/weekly/send/", {"idempotency_key": "a" * 36})
    assert sent.status_code == 302
    message = OutgoingMessage.objects.get(kind=services.WEEKLY)
    assert mailing.word(message).to == owner.email
    sheet = shop.weekly_sheets.get()
    page = client.get("/office/weekly/")
    assert papers.heading(Week(sheet.monday)) in page.content.decode()
    kept = client.get(f"/office/weekly/{sheet.pk}.pdf")
    assert kept.content == bytes(sheet.pdf)
    assert client.get("/office/weekly/so-far.pdf").content[:5] == b"%PDF-"


@pytest.mark.parametrize("act", ["send", "wish"])
def test_without_an_address_it_says_so(
    shop: Shop, client_of: ClientOf, act: str
) -> None:
    told = client_of("marit").post(
        f"/office/weekly/{act}/", {"idempotency_key": "b" * 36, "is_wished": "on"}
    )
    assert told.status_code == 422
    assert "No e-mail address of yours is known" in told.content.decode()
    assert not shop.weekly_wishes.exists()
    assert not OutgoingMessage.objects.filter(kind=services.WEEKLY).exists()


def test_a_tick_is_kept(shop: Shop, owner: Person, client_of: ClientOf) -> None:
    client = client_of("marit")
    answer = client.post(
        "/office/weekly/wish/", {"idempotency_key": "c" * 36, "is_wished": "on"}
    )
    assert answer.status_code == 302
    assert "checked" in client.get("/office/weekly/").content.decode()
