"""The bundle's list of advances, reckoned a second time with plain sums by hand."""

import csv
import io
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.billing import services as billing
from shop.billing.accounts.paying import account_payment_take
from shop.billing.loans import services as loans
from shop.billing.paying.rules import rules_set
from shop.books.balance import trial_balance
from shop.books.bundle.checks import ties
from shop.books.bundle.writing import bundle
from shop.books.journal import entries
from shop.books.periods import Period
from shop.books.posting.accounts import Account
from shop.books.posting.advances import Step, moves
from shop.intake.models import Customer, Ticket
from shop.people.models import Person, Shop
from tests.drills.year import live
from tests.factories import TicketFactory
from tests.shop.billing.accounts import IN_APRIL, OPENED, college_of, gone_back, issued
from tests.shop.books.acts import billed, eur, pay

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
MARCH = (date(2026, 3, 1), date(2026, 3, 31))
APRIL = (date(2026, 4, 1), date(2026, 4, 30))
Row = dict[str, str]
Act = Callable[..., Ticket]


@pytest.fixture
def opened(hollin_lane: Shop, tomas: Person) -> Act:
    def ticket(**columns: Any) -> Ticket:
        asked = {"by": tomas, "shop": hollin_lane, "at": OPENED} | columns
        return TicketFactory.create(**asked)

    return ticket


def taking(shop: Shop, by: Person, paper: str, at: datetime) -> None:
    rules_set(shop=shop, by=by, deposit_paper=paper, cash_step_minor=1, at=at)


def files(shop: Shop, first: date, last: date) -> Callable[[str], list[Row]]:
    body = b"".join(bundle(Period(shop, first, last), paper=lambda _row: b""))
    archive = zipfile.ZipFile(io.BytesIO(body))

    def rows(name: str) -> list[Row]:
        text = archive.read(name).decode("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text)))

    return rows


def held_of(rows: list[Row], when: str) -> list[str]:
    return [row["held"] for row in rows if row["what"] == f"held at the {when}"]


def told(rows: list[Row]) -> list[tuple[str, str, str]]:
    return [(row["what"], row["document"][:1], row["held"]) for row in rows]


def held_to_tie(shop: Shop, first: date, last: date) -> list[Row]:
    """The list, after adding it up anew from the file and holding it to the journal.

    Account by account: what is held at the end, less what was at the start, is the
    credit of the journal less its debit; each owner's own rows add up as well.
    """
    rows_of = files(shop, first, last)
    rows, journal = rows_of("advances.csv"), rows_of("journal.csv")
    for account in {row["account"] for row in rows}:
        own = [row for row in rows if row["account"] == account]
        moved = sum(Decimal(row["amount"]) for row in own if row["amount"])
        start, end = (sum(map(Decimal, held_of(own, w))) for w in ("start", "end"))
        lines = [line for line in journal if line["account"] == account]
        credit = sum(Decimal(one["credit"]) - Decimal(one["debit"]) for one in lines)
        assert end - start == moved == credit
    listed = {row["account"] for row in rows}
    for line in journal:
        is_of_advances = line["account"][:4] in {"1710", "1718", "1730"}
        assert not is_of_advances or line["account"] in listed
    period = Period(shop, first, last)
    sums = trial_balance(entries(period))
    assert [one.what for one in ties(period, sums) if not one.holds] == []
    return rows


def test_taken_set_off_given_back_and_held(
    opened: Act, hollin_lane: Shop, tomas: Person
) -> None:
    """20.00 taken and set off, 30.00 still held, 15.00 given back: by hand."""
    done, waits, back = (opened() for _n in range(3))
    pay(done, tomas, "20.00", at=OPENED)
    pay(waits, tomas, "30.00", "card", at=OPENED)
    pay(back, tomas, "15.00", at=OPENED)
    pay(back, tomas, "-15.00", at=OPENED + DAY)
    bill = billed(done, tomas, at=OPENED + DAY)
    rows = held_to_tie(hollin_lane, *MARCH)
    by_ticket = {
        one.number: [row for row in rows if row["ticket"] == one.number]
        for one in (done, waits, back)
    }
    assert told(by_ticket[done.number]) == [
        ("held at the start", "", "0.00"),
        ("taken", "P", "20.00"),
        ("set off", "2", "0.00"),
        ("held at the end", "", "0.00"),
    ]
    assert by_ticket[done.number][2]["document"] == bill.number
    assert by_ticket[done.number][1]["how"] == "cash"
    assert by_ticket[waits.number][-1]["held"] == "30.00"
    assert [row["amount"] for row in by_ticket[back.number]] == [
        "",
        "15.00",
        "-15.00",
        "",
    ]
    assert by_ticket[back.number][2]["what"] == "given back"


def test_the_next_month_begins_with_what_was_held(
    opened: Act, hollin_lane: Shop, tomas: Person
) -> None:
    waits, gone = opened(), opened()
    pay(waits, tomas, "30.00", at=OPENED)
    pay(gone, tomas, "20.00", at=OPENED)
    billed(gone, tomas, at=OPENED + DAY)
    rows = held_to_tie(hollin_lane, *APRIL)
    assert told(rows) == [
        ("held at the start", "", "30.00"),
        ("held at the end", "", "30.00"),
    ]
    billed(waits, tomas, at=IN_APRIL)
    rows = held_to_tie(hollin_lane, *APRIL)
    assert [row["what"] for row in rows][1:2] == ["set off"]
    assert rows[-1]["held"] == "0.00"
    assert held_to_tie(hollin_lane, date(2026, 5, 1), date(2026, 5, 31)) == []


def test_a_billed_advance_is_a_liability_by_its_rate(
    opened: Act, hollin_lane: Shop, tomas: Person
) -> None:
    """24.00 with 20 %: 20.00 net is held until the work is billed."""
    taking(hollin_lane, tomas, "invoice", OPENED - DAY)
    done, waits, back = (opened() for _n in range(3))
    for ticket in (done, waits, back):
        pay(ticket, tomas, "24.00", "card", at=OPENED)
    billed(done, tomas, at=OPENED + DAY)
    billing.credit_note_issue(invoice=back.invoices.get(), by=tomas, at=OPENED + DAY)
    rows = [r for r in held_to_tie(hollin_lane, *MARCH) if r["account"] == "1718-S20"]
    whats = {
        ticket: [r["what"] for r in rows if r["ticket"] == ticket.number][1:]
        for ticket in (done, waits, back)
    }
    assert whats == {
        done: ["billed in advance", "set off", "held at the end"],
        waits: ["billed in advance", "held at the end"],
        back: ["billed in advance", "credited", "held at the end"],
    }
    held = {r["ticket"]: r["held"] for r in rows if r["what"] == "held at the end"}
    assert held == {done.number: "0.00", waits.number: "20.00", back.number: "0.00"}


@pytest.fixture
def college(hollin_lane: Shop, marit: Person) -> Customer:
    return college_of(hollin_lane, marit)


def test_an_accounts_advance_is_set_off_on_its_month_once(
    college: Customer, ines: Person, marit: Person
) -> None:
    """Taken back whole and issued anew it is held between, and set off again."""
    ticket = gone_back(college, ines)
    pay(ticket, marit, "18.80", at=OPENED + DAY)
    first = issued(college, ines)
    billing.credit_note_issue(
        invoice=first, by=marit, reason="wrong", at=IN_APRIL + DAY
    )
    second = issued(college, ines, at=IN_APRIL + 2 * DAY)
    rows = held_to_tie(college.shop, *APRIL)
    assert [(r["what"], r["document"], r["held"]) for r in rows] == [
        ("held at the start", "", "18.80"),
        ("set off", first.number, "0.00"),
        ("freed by a credit note", first.credit_notes.get().number, "18.80"),
        ("set off", second.number, "0.00"),
        ("held at the end", "", "0.00"),
    ]
    assert {r["customer"] for r in rows} == {"Weir College"}
    march = held_to_tie(college.shop, *MARCH)
    assert [r["ticket"] for r in march] == ["", ticket.number, ""]


def test_part_of_an_accounts_invoice_credited_and_given_back_ties(
    college: Customer, ines: Person, marit: Person
) -> None:
    """118.80, of which 18.80 was paid on the ticket; 100.00 paid, 60.00 goes back."""
    pay(gone_back(college, ines), marit, "18.80", at=OPENED + DAY)
    bill = issued(college, ines)
    account_payment_take(
        customer=college, by=marit, amount=eur("100.00"), method="card", at=IN_APRIL
    )
    billing.credit_note_issue(
        invoice=bill, by=marit, takes={2: eur("50.00")}, at=IN_APRIL + DAY
    )
    billing.payment_take(
        shop=college.shop,
        by=marit,
        invoice=bill,
        amount=eur("-60.00"),
        method="card",
        reason="too much",
        at=IN_APRIL + 2 * DAY,
    )
    rows = held_to_tie(college.shop, *APRIL)
    assert rows[-1]["held"] == "0.00"
    period = Period(college.shop, *APRIL)
    assert not trial_balance(entries(period)).balance("EUR", Account.RECEIVABLES)


def test_a_loan_devices_deposit_is_listed_until_it_is_back(
    opened: Act, hollin_lane: Shop, tomas: Person
) -> None:
    ticket, other = opened(), opened()
    at = {ticket: OPENED, other: OPENED + DAY}
    for n, one in enumerate((ticket, other)):
        device = loans.loan_device_keep(shop=hollin_lane, name=f"Loan laptop {n}")
        loans.loan_give(
            ticket=one,
            by=tomas,
            device=device,
            deposit=eur("50.00"),
            deposit_method="cash",
            at=at[one],
        )
    loans.loan_take_back(
        loan=ticket.loans.get(),
        by=tomas,
        deposit_back=eur("40.00"),
        state="A scratch.",
        at=OPENED + 2 * DAY,
    )
    rows = [r for r in held_to_tie(hollin_lane, *MARCH) if r["account"] == "1730"]
    assert [r["what"] for r in rows if r["ticket"] == ticket.number] == [
        "held at the start",
        "taken",
        "ended: the device is back",
        "held at the end",
    ]
    assert held_of(rows, "end") == ["0.00", "50.00"]


def test_a_told_year_ties(hollin_lane: Shop, tomas: Person) -> None:
    live(hollin_lane, tomas, tickets=40, seed=11)
    ever = Period(hollin_lane, date(2000, 1, 1), date(2100, 1, 1))
    days = [one.day for one in entries(ever)]
    middle = days[len(days) // 2]
    assert held_to_tie(hollin_lane, days[0], middle)
    held_to_tie(hollin_lane, middle + DAY, days[-1])


def test_the_contents_page_names_the_list(hollin_lane: Shop, ticket: Ticket) -> None:
    body = b"".join(bundle(Period(hollin_lane, *MARCH), paper=lambda _row: b""))
    page = zipfile.ZipFile(io.BytesIO(body)).read("index.html").decode()
    assert '<a href="advances.csv">' in page
    assert "still held" in page
    assert "advances: at the start and moved, and held at the end" in page


steps = st.lists(
    st.tuples(st.sampled_from(["paid", "billed"]), st.integers(-500, 500)), max_size=12
)


@given(steps)
def test_what_is_held_is_what_no_paper_has_asked_for(
    told: list[tuple[str, int]],
) -> None:
    """The moves come to what was paid less what was billed, or to nothing."""

    def made() -> Iterator[Step]:
        for n, (what, minor) in enumerate(told):
            at = OPENED + n * DAY
            if what == "paid":
                yield Step(at, 1, n, "", str(n), paid=minor)
            else:
                yield Step(at, 1, n, "", str(n), billed=minor)

    paid = sum(minor for what, minor in told if what == "paid")
    asked = sum(minor for what, minor in told if what == "billed")
    assert sum(minor for _step, minor in moves(made())) == max(paid - asked, 0)
