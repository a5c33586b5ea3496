"""An account's discount in what a quote begins with: first, from the bench, more."""

from collections.abc import Sequence
from decimal import Decimal

import pytest

from shop.billing import drafts
from shop.billing import services as billing
from shop.billing.accounts.price_list import DISCOUNT
from shop.billing.totals import Line
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from tests.factories import DeviceFactory, TicketFactory
from tests.shop.billing.accounts import OPENED, college_of
from tests.shop.billing.conftest import euro


@pytest.fixture
def theirs(hollin_lane: Shop, marit: Person) -> Ticket:
    """A machine of an account with a tenth off labour, parts and consumables."""
    college = college_of(hollin_lane, marit)
    intake.account_prices_set(
        customer=college, by=marit, discount_basis_points=1000, now=OPENED
    )
    device = DeviceFactory.create(customer=college)
    return TicketFactory.create(by=marit, shop=hollin_lane, device=device)


def discounts(lines: Sequence[Line]) -> list[Decimal]:
    return [line.net.amount for line in lines if line.code == DISCOUNT]


def test_a_first_draft_from_the_bench_takes_it_off(theirs: Ticket) -> None:
    """An hour at 60.00, a part at 20.00, consumables at 4.00: 8.40 off 84.00."""
    lines = drafts.lines_for(
        theirs, minutes=60, part="Charger", price=euro("20.00"), at=theirs.opened_at
    )
    assert discounts(lines) == [Decimal("-8.40")]


def test_more_is_reckoned_anew_and_not_on_top(theirs: Ticket, marit: Person) -> None:
    """84.00 quoted at 8.40 off; 30 min and 10.00 more: 12.40 off 124.00, once."""
    first = drafts.lines_for(
        theirs, minutes=60, part="Charger", price=euro("20.00"), at=theirs.opened_at
    )
    quote = billing.quote_send(ticket=theirs, by=marit, lines=first)
    billing.quote_answer(
        quote=quote,
        is_yes=True,
        answered_by="Ida Roth",
        channel="phone",
        recorded_by=marit,
    )
    lines = drafts.lines_with_more(theirs, minutes=30, part="Fuse", price=euro("10.00"))
    assert discounts(lines) == [Decimal("-12.40")]
    again = drafts.lines_with_more(theirs, minutes=30, part="Fuse", price=euro("10.00"))
    assert list(again) == list(lines)
