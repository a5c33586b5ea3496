"""The books of a period: they balance, tie, and an auditor may look at them."""

import csv
import hashlib
import io
import zipfile
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.billing import services as billing
from shop.books import services, tables
from shop.books.balance import trial_balance
from shop.books.bundle.checks import ties
from shop.books.bundle.streaming import csv_pieces
from shop.books.bundle.writing import bundle
from shop.books.journal import entries
from shop.books.naming import Accounts
from shop.books.periods import Period
from shop.books.posting.accounts import Account
from shop.books.services import Named
from shop.intake.models import Customer, Ticket
from shop.people.models import Membership, Person, Role, Shop
from shop.people.services import person_join, roles_change
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.drills.books import faults
from tests.drills.year import live
from tests.factories import PASSWORD, TicketFactory
from tests.shop.books.acts import billed, eur, pay, refused

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def today_of(shop: Shop) -> Period:
    today = timezone.now().astimezone(shop.zone).date()
    return Period(shop, today, today)


@pytest.fixture
def sold(ticket: Ticket, tomas: Person) -> Ticket:
    """A deposit, an invoice, the rest by card, a credit note, the money back."""
    pay(ticket, tomas, "20.00")
    invoice = billed(ticket, tomas)
    pay(ticket, tomas, "22.00", "card")
    billing.credit_note_issue(invoice=invoice, by=tomas, reason="wrong")
    pay(ticket, tomas, "-42.00")
    services.cash_day_end(shop=ticket.shop, by=tomas, counted=eur("0"), after=0)
    return ticket


def test_a_year_told_by_the_services_balances_and_ties(
    hollin_lane: Shop, tomas: Person
) -> None:
    """Forty tickets here; ``manage.py drill books --rounds 5000`` tells more."""
    live(hollin_lane, tomas, tickets=40, seed=7)
    assert not list(faults(hollin_lane))


def test_sold_taken_back_and_given_back_leaves_nothing(sold: Ticket) -> None:
    sums = trial_balance(entries(today_of(sold.shop)))
    left = {code: moved.balance for code, moved in sums.of("EUR").items()}
    assert {code: minor for code, minor in left.items() if minor} == {
        Account.CARDS: 2200,
        Account.OWNER: -2200,  # the first count found no cash: the owner put it in
    }
    assert all(tie.holds for tie in ties(today_of(sold.shop), sums))


def test_the_csv_is_harmless_and_its_numbers_are_numbers(
    sold: Ticket, tomas: Person, client_of: Callable[[str], Client]
) -> None:
    """OWASP, CSV Injection: a cell that would run has an apostrophe before it."""
    Customer.objects.filter(pk=sold.customer_id).update(name="=1+cmd|' /C calc'!A0")
    again = TicketFactory.create(by=tomas, customer=sold.customer)
    again.customer.refresh_from_db()
    billed(again, tomas)
    period = today_of(sold.shop)
    asked = f"first={period.first}&last={period.last}"
    answer = client_of("marit").get(f"/books/papers.csv?{asked}")
    rows = list(csv.reader(io.StringIO(b"".join(answer).decode())))
    assert "'=1+cmd|' /C calc'!A0" in {row[3] for row in rows}
    assert "-42.00" in {row[8] for row in rows}
    journal = client_of("marit").get(f"/books/journal.csv?{asked}")
    lines = list(csv.DictReader(io.StringIO(b"".join(journal).decode())))
    assert sum(float(line["debit"]) - float(line["credit"]) for line in lines) == 0


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ("2026-03-01", "2026-02-01", "before the first"),
        ("2026-03-01", "2999-01-01", "has not come yet"),
        ("soon", "2026-02-01", "valid date"),
        ("2000-01-01", "2020-01-01", "ten years"),
    ],
)
def test_a_period_that_cannot_be_is_refused(
    ticket: Ticket,
    client_of: Callable[[str], Client],
    first: str,
    last: str,
    said: str,
) -> None:
    owner, asked = client_of("marit"), {"first": first, "last": last}
    answer = owner.get("/books/", asked)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert owner.get("/books/journal.csv", asked).status_code == 422
    assert said in refused(owner, "books:bundle", asked)


def test_an_empty_month_says_so(
    ticket: Ticket, tomas: Person, client_of: Callable[[str], Client]
) -> None:
    owner = client_of("marit")
    asked = {"first": "2025-01-01", "last": "2025-01-31"}
    assert "Nothing was booked" in owner.get("/books/", asked).content.decode()
    pages = whole(Period(ticket.shop, date(2025, 1, 1), date(2025, 1, 31)))
    assert "Nothing was booked" in pages["index.html"].decode()
    pay(ticket, tomas, "1.00")  # a month without an invoice
    day = f"{today_of(ticket.shop).first}"
    page = owner.get("/books/", {"first": day, "last": day}).content.decode()
    assert "No paper was issued" in page


def whole(period: Period) -> dict[str, bytes]:
    body = b"".join(bundle(period))
    with zipfile.ZipFile(io.BytesIO(body)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_bundle_has_all_with_its_hashes_and_the_same_bytes_again(
    sold: Ticket,
) -> None:
    period = today_of(sold.shop)
    files = whole(period)
    assert {"papers/2026-0001.pdf"} <= {
        name.replace(f"{period.last.year}-", "2026-") for name in files
    }
    sums = files["SHA256SUMS.txt"].decode().splitlines()
    listed = {name: digest for digest, name in (line.split("  ", 1) for line in sums)}
    others = {name: body for name, body in files.items() if name != "SHA256SUMS.txt"}
    assert listed == {
        name: hashlib.sha256(body).hexdigest() for name, body in others.items()
    }
    page = files["index.html"].decode()
    assert "no certified till" in page
    assert "does NOT tie" not in page
    assert b"".join(bundle(period)) == b"".join(bundle(period))


def test_accounts_keep_their_old_names_before_the_day(
    sold: Ticket, marit: Person, client_of: Callable[[str], Client]
) -> None:
    today = today_of(sold.shop).last
    named = [Named("cash", "2880", "Kassa"), Named("bank", "2800", "Bank")]
    services.accounts_name(shop=sold.shop, by=marit, named=named, since=today)
    assert Accounts(sold.shop, today).number("cash") == "2880"
    assert Accounts(sold.shop, today - DAY).number("cash") == "1000"
    rows = tables.journal(entries(today_of(sold.shop)), Accounts(sold.shop, today))
    text = b"".join(csv_pieces(rows)).decode()
    assert "2880,Kassa" in text
    page = client_of("marit").get("/books/accounts/").content.decode()
    assert 'value="Kassa"' in page
    twice = [Named("cash", "1", "a"), Named("bank", "1", "b")]
    with pytest.raises(Refused, match="twice"):
        services.accounts_name(shop=sold.shop, by=marit, named=twice, since=today)


def test_an_auditor_looks_until_the_last_day_and_not_after(
    sold: Ticket, marit: Person, vera: Person, client_of: Callable[[str], Client]
) -> None:
    auditor = client_of("vera")
    assert auditor.get("/", follow=True).status_code == 200
    number = sold.invoices.earliest("id").number
    assert auditor.get(f"/invoices/{number}.pdf").status_code == 200
    find = reverse("searching:find")
    for closed in (f"/tickets/{sold.number}/", "/books/till/", find):
        assert auditor.get(closed).status_code == 403
    today = timezone.now().astimezone(sold.shop.zone).date()
    until(today, vera, marit)
    assert auditor.get("/books/").status_code == 200
    until(today - DAY, vera, marit)
    assert auditor.get("/books/").status_code == 403
    sign_in = {"username": "vera", "password": PASSWORD}
    assert Client().post("/sign-in/", sign_in).status_code == 422
    assert (
        Client().post("/sign-in/", sign_in | {"username": "marit"}).status_code == 302
    )


def until(day: date, auditor: Person, owner: Person) -> None:
    shop = owner.memberships.get().shop
    roles_change(shop=shop, person=auditor, roles=[Role.AUDITOR], by=owner, ends_on=day)


def test_the_owner_lets_an_auditor_in_until_a_day(
    hollin_lane: Shop, marit: Person, client_of: Callable[[str], Client]
) -> None:
    form = {"name": "Odd Berg", "username": "odd", "language": "en"}
    owner = client_of("marit")
    answer = owner.post("/people/new/", form | {"ends_on": "2099-12-31"})
    assert answer.status_code == 200
    held = Membership.objects.get(person__username="odd")
    assert (held.role, held.ends_on) == (Role.AUDITOR, date(2099, 12, 31))
    both = form | {"username": "two", "ends_on": "2099-12-31", "roles": ["owner"]}
    assert owner.post("/people/new/", both).status_code == 422
    assert owner.post("/people/new/", form | {"username": "none"}).status_code == 422
    with pytest.raises(Refused, match="until which day"):
        person_join(
            shop=hollin_lane, username="x", name="X", password="p", roles=[Role.AUDITOR]
        )


def test_who_was_given_the_bundle_is_kept(
    sold: Ticket, client_of: Callable[[str], Client]
) -> None:
    period = today_of(sold.shop)
    asked = {"first": f"{period.first}", "last": f"{period.last}"}
    answer = client_of("vera").post("/books/bundle/", asked)
    assert zipfile.is_zipfile(io.BytesIO(b"".join(answer)))
    given = Event.objects.get(kind=Kind.BOOKS_GIVEN)
    assert given.by is not None
    assert (given.by.username, given.codes["period"]) == ("vera", str(period))


def test_papers_are_paged_with_the_period_in_the_address(
    hollin_lane: Shop,
    tomas: Person,
    client_of: Callable[[str], Client],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Five papers, two at a time: each stands on one page, the newest first."""
    monkeypatch.setattr("shop.books.views.PAPERS_SHOWN", 2)
    made = [
        billed(TicketFactory.create(by=tomas, shop=hollin_lane), tomas).number
        for _n in range(5)
    ]
    today = str(today_of(hollin_lane).first)
    seen = []
    for number in ("1", "2", "3"):
        asked = {"first": today, "last": today, "page": number}
        page = client_of("marit").get(reverse("books:books"), asked)
        seen += [one.number for one in page.context["papers"]]
    assert seen == made[::-1]
    second = client_of("marit").get(
        reverse("books:books"), {"first": today, "last": today, "page": "2"}
    )
    for page_number in (1, 3):
        link = f"?first={today}&amp;last={today}&amp;page={page_number}#papers"
        assert link in second.content.decode()
    beyond = client_of("marit").get(
        reverse("books:books"), {"first": today, "last": today, "page": "99x"}
    )
    assert beyond.context["papers"].number == 1
