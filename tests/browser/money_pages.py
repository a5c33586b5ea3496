"""The pages of money that need something done first: loans, sales, drafts."""

from decimal import Decimal
from typing import TYPE_CHECKING

from diagnostics import services as bench
from diagnostics.models import Board
from shop.billing import services as billing
from shop.billing.loan_models import Loan
from shop.billing.loans import services as loans
from shop.billing.models import Invoice, QuoteDraft
from shop.desk.quoting import quote_draft_from_suspect
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop

if TYPE_CHECKING:
    from tests.browser.pages import Seen


def money_counter_pages(ticket: Ticket) -> "list[Seen]":
    """A device of ours is out with the ticket."""
    from tests.browser.pages import Seen

    loan, at = lent(ticket), f"/tickets/{ticket.number}/"
    return [
        Seen("loan", f"{at}loan/"),
        Seen("loan-back", f"{at}loans/{loan.pk}/back/"),
        Seen("loan-devices", "/loan-devices/"),
        Seen("ticket-with-loan", at),
    ]


def lent(ticket: Ticket) -> Loan:
    out = ticket.loans.filter(back=None).first()
    if out is not None:
        return out
    for name in ("Loan laptop 1", "Loan laptop 2"):
        device = loans.loan_device_keep(shop=ticket.shop, name=name)
    return loans.loan_give(
        ticket=ticket,
        device=device,
        by=Person.objects.get(username="tomas"),
        given_with="adapter",
        deposit=Money.of(100, ticket.currency),
        deposit_method="cash",
    )


def money_office_pages() -> "list[Seen]":
    """A sale, and one of which a part goes back to whoever bought it."""
    from tests.browser.pages import Seen

    at = f"/invoices/{sold_and_credited().number}/"
    return [
        Seen("sale", "/sale/"),
        Seen("invoice-of-a-sale", at),
        Seen("invoice-pay", f"{at}payment/"),
    ]


def sold_and_credited() -> Invoice:
    sales = Invoice.objects.filter(ticket=None, corrects=None, account=None)
    if (known := sales.first()) is not None:
        return known
    shop, by = Shop.objects.get(), Person.objects.get(username="marit")
    thing = billing.Sold(
        "Cable 1 m", Decimal(1), Money.of(9, shop.currency), Decimal(20)
    )
    sale = billing.sale_do(shop=shop, by=by, sold=[thing], method="cash", with_tax=True)
    takes = {1: Money.of(2, shop.currency)}
    billing.credit_note_issue(invoice=sale.invoice, by=by, takes=takes, reason="short")
    return sale.invoice


def quote_drafted() -> "Seen":
    """A quote as it is drafted from what the bench suspects."""
    from tests.browser.pages import Seen

    board = Board.objects.get(serial="31K-1")
    ticket = board.ticket_boards.get().ticket
    if not QuoteDraft.objects.filter(ticket=ticket).exists():
        by = Person.objects.get(username="ines")
        bench.finding_confirm(
            board=board, ticket=ticket, by=by, part_id="p.pdc", mode_id="no_output"
        )
        quote_draft_from_suspect(ticket=ticket, board=board, by=by)
    return Seen("quote-drafted", f"/tickets/{ticket.number}/quote/")
