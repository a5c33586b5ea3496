"""Cash in coins: published roundings, and a payment that settles what is owed."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shop.billing import papers, queries, receipts
from shop.billing.paying.cash import NoSuchCoins, handed, in_coins
from shop.billing.paying.rules import rules_set
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.shop.billing.conftest import OPENED, euro

Act = Callable[..., Any]


# Wikipedia, "Cash rounding": Swedish receipts of 1992 to 2010 (0.50), Australia (0.05).
@pytest.mark.parametrize(
    ("amount", "step", "coins"),
    [
        ("223.20", 50, "223.00"),
        ("65.40", 50, "65.50"),
        ("20.42", 5, "20.40"),
        ("20.43", 5, "20.45"),
        ("20.41", 5, "20.40"),
        ("20.44", 5, "20.45"),
        ("-20.43", 5, "-20.45"),
        ("99.50", 100, "100.00"),
        ("99.49", 100, "99.00"),
        ("12.34", 1, "12.34"),
    ],
)
def test_published_roundings(amount: str, step: int, coins: str) -> None:
    assert in_coins(Money.of(amount, "SEK"), step) == Money.of(coins, "SEK")


def test_it_is_never_off_by_more_than_half_a_coin() -> None:
    for step in (1, 5, 10, 50, 100):
        for minor in range(-250, 251):
            owed = Money.from_minor(minor, "CHF")
            if not owed:
                continue
            hand = handed(owed, step=step, settling=(owed,))
            assert hand.amount - hand.rounding == owed
            assert abs(hand.rounding.minor) * 2 <= step
            assert hand.amount.minor % step == 0


def test_what_no_coins_make_up_is_refused_unless_it_settles() -> None:
    with pytest.raises(NoSuchCoins) as refusal:
        handed(euro("10.02"), step=5, settling=(euro("30.03"),))
    assert refusal.value.near == (euro("10.00"), euro("10.05"))


@pytest.fixture
def in_fives(hollin_lane: Shop, ines: Person) -> None:
    rules_set(
        shop=hollin_lane,
        by=ines,
        deposit_paper="receipt",
        cash_step_minor=5,
        at=OPENED,
    )


@pytest.mark.usefixtures("in_fives")
def test_cash_settles_an_invoice_that_stays_as_it_was(
    job: Ticket, issue: Act, pay: Act
) -> None:
    """35.03 and 20 % are 42.04 (7.006 is 7.01): 42.05 is paid, 0.01 of it rounding."""
    Ticket.objects.filter(pk=job.pk).update(diagnosis_fee_minor=3503)
    invoice = issue(job)
    before = papers.invoice_html(invoice)
    with pytest.raises(Refused, match=r"No coins make this up: 10\.00 or 10\.05"):
        pay(job, "10.02", method="cash")
    payment = pay(job, "42.04", method="cash")
    assert (payment.amount, payment.rounding) == (euro("42.05"), euro("0.01"))
    assert payment.settled == euro("42.04")
    assert queries.balance(job).due.amount == 0
    assert papers.invoice_html(invoice) == before
    said = receipts.receipt_html(payment)
    assert "Rounded to coins" in said
    assert "0.01" in said
    back = pay(job, "-42.04", method="cash", reason="Not fixed")
    assert (back.amount, back.rounding) == (euro("-42.05"), euro("-0.01"))
    assert queries.paid(job).amount == 0


@pytest.mark.usefixtures("in_fives")
def test_a_card_pays_to_the_cent_and_before_the_rule_so_did_cash(
    job: Ticket, pay: Act
) -> None:
    assert pay(job, "10.02").rounding.amount == 0
    early = pay(job, "10.03", method="cash", at=OPENED.replace(hour=8))
    assert (early.amount, early.rounding) == (euro("10.03"), euro("0.00"))


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"cash_step_minor": 7}, "cash_step_minor"),
        ({"deposit_paper": "x"}, "deposit_paper"),
    ],
)
def test_rules_that_make_no_sense_are_refused(
    hollin_lane: Shop, ines: Person, change: dict[str, Any], field: str
) -> None:
    rules: dict[str, Any] = {"deposit_paper": "receipt", "cash_step_minor": 1} | change
    with pytest.raises(Refused) as refusal:
        rules_set(shop=hollin_lane, by=ines, **rules)
    assert refusal.value.field == field


def test_the_owner_sets_the_rules_and_others_do_not(
    hollin_lane: Shop, client_of: Callable[[str], Client]
) -> None:
    key = {"idempotency_key": "a-key-of-the-rules"}
    wish = key | {"deposit_paper": "invoice", "cash_step_minor": "5"}
    for name, count in (("ines", 0), ("marit", 1)):
        client_of(name).post("/payment-rules/", wish)
        assert hollin_lane.payment_rules.count() == count
    kept = hollin_lane.payment_rules.get()
    assert (kept.deposit_paper, kept.cash_step_minor) == ("invoice", 5)
