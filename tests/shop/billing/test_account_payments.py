"""Cash of an account: whole coins, rounded once; and one receipt for one sum."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from shop.billing import receipts
from shop.billing.account_models import PaidTogether
from shop.billing.accounts import paying
from shop.billing.accounts.paying import account_payment_take
from shop.billing.accounts.statement import balance_at
from shop.billing.accounts.sums import sums_of
from shop.billing.models import Invoice, Payment
from shop.billing.paying.cash import in_coins
from shop.billing.paying.rules import rules_set
from shop.books.balance import trial_balance
from shop.books.bundle.checks import ties
from shop.books.journal import entries
from shop.books.periods import Period
from shop.books.posting.accounts import Account
from shop.intake.models import Customer
from shop.money import Money, total
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.shop.billing.accounts import IN_APRIL, OPENED, college_of, gone_back, issued
from tests.shop.billing.conftest import euro


@pytest.fixture
def college(hollin_lane: Shop, marit: Person) -> Customer:
    rules_set(
        shop=hollin_lane,
        by=marit,
        deposit_paper="receipt",
        cash_step_minor=5,
        at=OPENED,
    )
    return college_of(hollin_lane, marit)


@pytest.fixture
def two(college: Customer, ines: Person) -> list[Invoice]:
    """An hour, and three quarters of one, with the diagnosis of each."""
    found = []
    for minutes in (60, 45):
        gone_back(college, ines, minutes=minutes)
        found.append(issued(college, ines))
    return found


def pay(customer: Customer, by: Person, amount: str, **more: str) -> list[Payment]:
    return account_payment_take(
        customer=customer,
        by=by,
        amount=euro(amount),
        method=more.pop("method", "cash"),
        at=IN_APRIL + timedelta(days=5),
        **more,
    )


def credited(invoice: Invoice, by: Person, net: str) -> None:
    """Take a few cents off, so that no coins make up what is left."""
    from shop.billing import services as billing

    place = invoice.lines.order_by("-net_minor")[0].position
    billing.credit_note_issue(
        invoice=invoice, by=by, takes={place: euro(net)}, at=IN_APRIL
    )


def test_rounding_is_on_the_payment_once_and_on_the_oldest(
    college: Customer, two: list[Invoice], marit: Person
) -> None:
    """118.80 and 100.80, less 0.02 of the older: 219.58 is paid by 219.60."""
    assert [one.total for one in two] == [euro("118.80"), euro("100.80")]
    credited(two[0], marit, "0.02")
    taken = pay(college, marit, "219.58")
    assert [(one.amount, one.rounding, one.settled) for one in taken] == [
        (euro("118.80"), euro("0.02"), euro("118.78")),
        (euro("100.80"), euro("0.00"), euro("100.80")),
    ]
    assert balance_at(college, IN_APRIL + timedelta(days=9)).minor == 0
    month = Period(college.shop, IN_APRIL.date(), IN_APRIL.date() + timedelta(days=9))
    sums = trial_balance(entries(month))
    assert sums.balance("EUR", Account.CASH) == 21960
    assert sums.balance("EUR", Account.ROUNDING) == -2
    assert all(tie.holds for tie in ties(month, sums))


def test_coins_for_the_oldest_alone_settle_it(
    college: Customer, two: list[Invoice], marit: Person
) -> None:
    credited(two[0], marit, "0.02")
    (taken,) = pay(college, marit, "118.80")
    assert (taken.invoice, taken.rounding) == (two[0], euro("0.02"))
    with pytest.raises(Refused, match=r"No coins make this up: 10\.00 or 10\.05"):
        pay(college, marit, "10.02")
    with pytest.raises(Refused, match=r"Only 100\.80 is due"):
        pay(college, marit, "100.85")


def test_a_transfer_is_exact(
    college: Customer, two: list[Invoice], marit: Person
) -> None:
    credited(two[0], marit, "0.02")
    taken = pay(college, marit, "219.58", method="transfer")
    assert [one.rounding.minor for one in taken] == [0, 0]


@given(
    st.lists(st.integers(1, 400), min_size=1, max_size=5),
    st.sampled_from([1, 5, 10, 50, 100]),
)
def test_the_carrier_bears_it_wherever_one_can(dues: list[int], step: int) -> None:
    """Never below nothing, unless no part is as large as what is rounded off."""
    parts = [Money.from_minor(due, "CHF") for due in dues]
    owed = total(parts, "CHF")
    rounding = in_coins(owed, step) - owed
    place = paying._carrier(parts, rounding)
    could = [n for n, part in enumerate(parts) if (part + rounding).amount >= 0]
    assert place == (could[0] if could else 0)
    assert abs(rounding.minor) * 2 <= step


def test_one_sum_has_one_receipt_that_names_each_invoice(
    college: Customer, two: list[Invoice], marit: Person
) -> None:
    credited(two[0], marit, "0.02")
    taken = pay(college, marit, "200.00")
    assert PaidTogether.objects.count() == 2
    pages = {receipts.receipt_html(one) for one in taken}
    assert len(pages) == 1
    (page,) = pages
    for told in (
        f"Receipt {two[0].number}/1",
        "200.00 EUR",
        f"For invoice {two[0].number}",
        "118.78",
        f"For invoice {two[1].number}",
        "81.22",
        f"Left to pay of {two[1].number}",
        "19.58",
        "Weir College",
    ):
        assert told in page, told
    assert "Rounded to coins" not in page
    (paid,) = sums_of(college)
    assert (paid.amount, paid.receipt) == (euro("200.00"), f"{two[0].number}/1")
    assert paid.numbers == (two[0].number, two[1].number)


def test_the_page_takes_the_coins_and_shows_the_receipt(
    college: Customer, two: list[Invoice], client_of: Callable[[str], Client]
) -> None:
    desk = client_of("tomas")
    url = reverse("billing:account_payment", args=[college.pk])
    typed = {"amount": "219.60", "method": "cash", "number": ""}
    key = {"idempotency_key": "a-key-of-the-account"}
    assert [desk.post(url, typed | key).status_code for _tap in "12"] == [302, 302]
    assert Payment.objects.count() == 2
    page = desk.get(reverse("billing:account", args=[college.pk])).content.decode()
    assert "219.60 by cash" in page
    first = Payment.objects.earliest("id")
    assert first.invoice is not None
    paper = reverse("billing:invoice_receipt", args=[first.invoice.number, first.pk])
    assert paper in page
    assert desk.get(paper)["Content-Type"] == "application/pdf"
