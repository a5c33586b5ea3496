"""Money in and money back.

Before an invoice money is an advance: taken up to what the customer has said
yes to, or what the work has come to. After it, up to what is due. A typing
error of a digit is so refused at the counter, not found in the books; what is
paid too much on purpose ``keeps_more``, and is the customer's. Money back is a
negative payment with its reason, at most what was paid.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import owing, queries
from shop.billing.models import Invoice, Payment
from shop.billing.paying.cash import Handed, NoSuchCoins, handed
from shop.billing.paying.models import DepositPaper, PaymentRules
from shop.billing.paying.rules import rules_at
from shop.billing.services import checks
from shop.billing.services.prepayments import prepayment_issue
from shop.intake import paper_language
from shop.intake.models import Ticket
from shop.money import Money, nothing
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@dataclass(frozen=True)
class Account:
    """What a payment is for: a ticket with its papers, or one invoice by itself.

    ``limit`` is how much may be paid in all, without more being kept as credit.
    """

    ticket: Ticket | None
    invoice: Invoice | None
    currency: str
    limit: Money
    paid: Money

    @property
    def due(self) -> Money:
        return self.limit - self.paid


@transaction.atomic
def payment_take(
    *,
    shop: Shop,
    by: Person,
    amount: Money,
    method: str,
    ticket: Ticket | None = None,
    invoice: Invoice | None = None,
    reference: str = "",
    reason: str = "",
    keeps_more: bool = False,
    at: datetime | None = None,
) -> Payment:
    """Take a payment for a ticket or its invoice; negative: give it back."""
    at = at or timezone.now()
    if method not in Payment.Method:
        raise Refused(_("Say how it was paid."), field="method")
    account = _account_locked(shop, ticket, invoice, amount, at)
    rules = rules_at(shop, at)
    hand = _in_coins(account, rules, amount, method)
    _fits_or_refused(account, hand, reason, keeps_more=keeps_more)
    paper = account.invoice
    if _is_prepayment(account, rules, hand) and account.ticket is not None:
        settled = hand.amount - hand.rounding
        paper = prepayment_issue(ticket=account.ticket, by=by, amount=settled, at=at)
    return payment_keep(
        Payment(
            shop=shop,
            ticket=account.ticket,
            invoice=paper,
            currency=account.currency,
            amount_minor=hand.amount.minor,
            rounding_minor=hand.rounding.minor,
            method=method,
            reference=reference,
            back_reason=reason.strip(),
            by=by,
            at=at,
        )
    )


def payment_keep(payment: Payment) -> Payment:
    """Save a payment, and say in the story that it came; within a transaction."""
    payment.save(force_insert=True)
    language = paper_language.kept(payment.ticket) if payment.ticket else {}
    records.event_record(
        Kind.PAYMENT_TAKEN,
        shop_id=payment.shop_id,
        by_id=payment.by_id,
        at=payment.at,
        ticket_id=payment.ticket_id,
        ids={"payment": payment.pk},
        codes={"method": payment.method, "currency": payment.currency, **language},
        amounts={"amount": payment.amount_minor},
    )
    return payment


def _account_locked(
    shop: Shop,
    ticket: Ticket | None,
    invoice: Invoice | None,
    amount: Money,
    at: datetime,
) -> Account:
    """What is paid on, locked: two payments at once wait for each other."""
    if invoice is not None and invoice.ticket is None and ticket is None:
        return _of_invoice(shop, invoice, amount)
    found = invoice.ticket if invoice is not None else ticket
    if found is None or found.shop_id != shop.pk or ticket not in {None, found}:
        raise Refused(_("A payment is for a ticket of this shop or its invoice."))
    found = checks.ticket_locked(found)
    checks.same_currency(amount, found.currency, field="amount")
    if (monthly := queries.monthly_invoice(found)) is not None:
        raise Refused(
            _("It is on invoice %(number)s of the account: take the payment there.")
            % {"number": monthly.number}
        )
    standing = owing.standing_invoice(found)
    if invoice is not None and invoice != standing:
        raise Refused(_("This invoice was taken back by a credit note."))
    limit = owing.invoiced(found) if standing else _agreed(found, at)
    return Account(found, standing, found.currency, limit, owing.paid(found))


def _of_invoice(shop: Shop, invoice: Invoice, amount: Money) -> Account:
    if invoice.shop_id != shop.pk or invoice.kind == Invoice.Kind.CREDIT_NOTE:
        raise Refused(_("A payment is for a ticket of this shop or its invoice."))
    invoice = Invoice.objects.select_for_update(of=("self",)).get(pk=invoice.pk)
    checks.same_currency(amount, invoice.currency, field="amount")
    limit = owing.left_of(invoice) - owing.prepaid_of(invoice)
    paid = owing.paid_on(invoice)
    return Account(None, invoice, invoice.currency, limit, paid)


def _agreed(ticket: Ticket, at: datetime) -> Money:
    agreed = queries.agreed(ticket, at=at)
    return max(agreed.cap, agreed.used)


def _in_coins(
    account: Account, rules: PaymentRules, amount: Money, method: str
) -> Handed:
    if method != Payment.Method.CASH:
        return Handed(amount, nothing(amount.currency))
    settling = (account.due,) if amount.amount > 0 else (account.due, -account.paid)
    return coins_or_refused(amount, step=rules.cash_step_minor, settling=settling)


def coins_or_refused(
    amount: Money, *, step: int, settling: tuple[Money, ...]
) -> Handed:
    """What a cash payment is; refused where no coins make it up."""
    try:
        return handed(amount, step=step, settling=settling)
    except NoSuchCoins as refusal:
        below, above = refusal.near
        raise Refused(
            _("No coins make this up: %(below)s or %(above)s.")
            % {"below": below, "above": above},
            field="amount",
        ) from refusal


def _is_prepayment(account: Account, rules: PaymentRules, hand: Handed) -> bool:
    is_advance = account.invoice is None and hand.amount.amount > 0
    return is_advance and rules.deposit_paper == DepositPaper.INVOICE


def _fits_or_refused(
    account: Account, hand: Handed, reason: str, *, keeps_more: bool
) -> None:
    amount = hand.amount - hand.rounding
    if not amount:
        raise Refused(_("Nothing is no payment."), field="amount")
    if amount.amount < 0:
        _refuse_back(account, amount, reason)
        return
    left = max(account.due, nothing(account.currency))
    if amount <= left or (keeps_more and account.invoice is not None):
        return
    text = (
        _("Only %(limit)s is due.")
        if account.invoice is not None
        else _("Only %(limit)s more can be taken before the customer agrees to more.")
    )
    raise Refused(text % {"limit": left}, field="amount")


def _refuse_back(account: Account, amount: Money, reason: str) -> None:
    if (account.paid + amount).amount < 0:
        said = _("Only %(paid)s was paid.") % {"paid": account.paid}
        raise Refused(said, field="amount")
    if not reason.strip():
        raise Refused(_("Say why the money goes back."), field="reason")
    if account.ticket is not None and account.invoice is None:
        _refuse_uncredited(account.ticket, account.paid + amount)


def _refuse_uncredited(ticket: Ticket, kept: Money) -> None:
    """An advance with an invoice of its own goes back after its credit note."""
    papers = owing.standing_prepayments(ticket)
    billed = sum((owing.left_of(one) for one in papers), nothing(ticket.currency))
    if papers and kept < billed:
        raise Refused(
            _("Prepayment invoice %(number)s says it is paid: credit that one first.")
            % {"number": papers[-1].number}
        )
