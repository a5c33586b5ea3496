"""Goods in the books: what their lots cost, whoever they came from or went back to."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db.models import F, Sum

from shop.billing import services as billing
from shop.billing.models import StockItem, StockMove
from shop.billing.paying.rules import rules_set
from shop.billing.shelf import claims, moves
from shop.books import stock_tables
from shop.books.balance import trial_balance
from shop.books.bundle.checks import ties
from shop.books.journal import entries
from shop.books.periods import Period
from shop.books.posting.accounts import Account
from shop.books.rate_tables import rates
from shop.intake import services as intake
from shop.people.models import FixedJob, LabourRate, MarkupTier, Person, Shop, Terms
from tests.shop.billing.accounts import OPENED, college_of
from tests.shop.books.acts import eur

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
MARCH = (date(2026, 3, 1), date(2026, 3, 31))


@pytest.fixture
def fuse(hollin_lane: Shop, tomas: Person) -> StockItem:
    """Three at 1.00, then two at 1.25, then one off a donor."""
    item = billing.stock_item_keep(shop=hollin_lane, code="FUSE", name="Fuse, 8 A")
    for quantity, cost in ((3, "1.00"), (2, "1.25")):
        billing.stock_receive(
            item=item, by=tomas, quantity=quantity, cost=eur(cost), at=OPENED
        )
    donor = moves.Origin("donor board", "donor-1", eur("0.50"))
    why = StockMove.Why.SALVAGED
    moves.bring(moves.item_locked(item), tomas, 1, eur("0"), why, of=donor, at=OPENED)
    return item


def test_the_shelf_is_worth_its_lots(fuse: StockItem, tomas: Person) -> None:
    """By hand: 5.50 came; sold 1.00; lost 3 for 3.25; back 1.25, of which 0.75 came.

    First in, first out (IAS 2, paragraph 25). Three lost pieces are two of 1.00 and
    one of 1.25, which no mean in whole cents makes up.
    """
    shop = fuse.shop
    one = billing.Sold("Fuse", Decimal(1), eur("3.00"), Decimal(20), item=fuse)
    billing.sale_do(
        shop=shop, by=tomas, sold=[one], method="card", with_tax=False, at=OPENED
    )
    moves.move_stock(fuse, tomas, -3, eur("0"), StockMove.Why.COUNTED, at=OPENED)
    second = fuse.lots.get(cost_minor=125)
    claim = claims.claim_from_shelf(
        lot=second, by=tomas, kind="dead", quantity=1, supplier="Orrin", at=OPENED
    )
    later = OPENED + DAY
    claims.claim_end(
        claim=claim, by=tomas, how="credited", amount=eur("0.75"), at=later
    )
    period = Period(shop, *MARCH)
    sums = trial_balance(entries(period))
    found = {
        account: sums.balance("EUR", account)
        for account in (
            Account.STOCK,
            Account.PARTS_COST,
            Account.STOCK_DIFFERENCES,
            Account.SUPPLIERS,
        )
    }
    assert found == {
        Account.STOCK: 0,
        Account.PARTS_COST: 100,
        Account.STOCK_DIFFERENCES: 325 + 50,
        Account.SUPPLIERS: -550 + 75,
    }
    left = fuse.lots.aggregate(worth=Sum(F("left") * F("cost_minor")))
    assert left["worth"] == found[Account.STOCK]
    assert all(tie.holds for tie in ties(period, sums))
    (_heads, *rows) = stock_tables.stock_value(period)
    assert [(row[1], row[5], row[7]) for row in rows] == [
        ("donor board", 1, Decimal("0.00"))
    ]
    (_heads, *draws) = stock_tables.stock_draws(period)
    assert sum(int(str(row[2])) for row in draws) == 1


def test_every_kind_of_price_is_among_the_changes(
    hollin_lane: Shop, tomas: Person
) -> None:
    college = college_of(hollin_lane, tomas)
    intake.account_prices_set(
        customer=college,
        by=tomas,
        hourly_rate=eur("55.00"),
        first_day=OPENED.date(),
        now=OPENED,
    )
    rules_set(
        shop=hollin_lane,
        by=tomas,
        deposit_paper="invoice",
        cash_step_minor=5,
        at=OPENED,
    )
    old = Terms.objects.filter(shop=hollin_lane).latest("valid_from")
    old.pk, old.valid_from = None, OPENED + DAY
    old.save()
    LabourRate.objects.create(terms=old, kind="proof", rate_minor=4500)
    LabourRate.objects.create(terms=old, person=tomas, rate_minor=9000)
    FixedJob.objects.create(terms=old, name="Clean", price_minor=3900, minutes=30)
    MarkupTier.objects.create(terms=old, percent=40)
    (_heads, *rows) = rates(Period(hollin_lane, *MARCH))
    changed = {str(row[1]): row[3] for row in rows}
    assert changed["labour_rate proof"] == 4500
    assert changed[f"labour_rate {tomas.name}"] == 9000
    assert changed["fixed_job Clean: price_minor"] == 3900
    assert changed["markup else: percent"] == 40
    assert changed["deposit_paper"] == "invoice"
    assert changed["cash_step_minor"] == 5
    assert changed["Weir College: hourly_rate_minor"] == 5500
    assert "hourly_rate_minor" not in changed  # the new terms left it as it was
