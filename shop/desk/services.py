"""Acts that need several rooms: issuing the invoice, handing over."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext_lazy as _

from diagnostics import evidence
from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing.accounts.credit import credit_of
from shop.billing.loans.queries import out_with
from shop.billing.models import Invoice
from shop.intake import queries as tickets
from shop.intake import services as intake
from shop.intake.counter_models import Signed
from shop.intake.models import STAYS_HERE, Customer, Handover, HandoverWay, Ticket
from shop.intake.services import Ending
from shop.intake.signing import signature_keep
from shop.people.models import Person
from shop.records.errors import Refused


@transaction.atomic
def invoice_issue(
    *,
    ticket: Ticket,
    by: Person,
    is_up_to_cap: bool = False,
    at: datetime | None = None,
) -> Invoice:
    """Bill the ticket's work, with the bench's evidence frozen into the paper."""
    story = tickets.story_of(ticket)
    device = ticket.device
    with translation.override(ticket.customer.language):
        rows = evidence.for_an_invoice(ticket)
    return billing.invoice_issue(
        ticket=ticket,
        by=by,
        evidence=rows,
        story={
            "told": story.told,
            "found": story.found,
            "done": story.done,
            "proved": story.proved,
        },
        device={"model": device.model, "serial": device.serial},
        is_up_to_cap=is_up_to_cap,
        at=at or timezone.now(),
    )


@transaction.atomic
def hand_over(
    *,
    ticket: Ticket,
    by: Person,
    given_to: str,
    owing_reason: str = "",
    ending: Ending | None = None,
    drawn: str = "",
    is_paper_signed: bool = False,
    may_owe: bool = False,
    at: datetime | None = None,
) -> Handover:
    """Give the device back, or keep it. With money owing only by the owner.

    ``drawn`` is a signature on the screen. What stays with us needs one, or a paper
    that is signed.
    """
    if not hasattr(ticket, "outcome"):
        raise Refused(_("The bench has not said yet how the work ended."))
    ending = ending or Ending()
    _refuse_lent(ticket, ending)
    _refuse_owing(ticket, ending, owing_reason, may_owe=may_owe)
    if ending.way == HandoverWay.SENT and not ending.tracking.strip():
        raise Refused(_("Write the tracking number."), field="tracking")
    if ending.way in STAYS_HERE:
        _refuse_unsigned(ending, is_signed=bool(drawn) or is_paper_signed)
    if drawn:
        signature_keep(ticket=ticket, by=by, drawn=drawn, about=Signed.HANDOVER, at=at)
    return intake.handover_do(
        ticket=ticket,
        by=by,
        given_to=given_to,
        owing_reason=owing_reason,
        ending=ending,
        at=at,
    )


def _refuse_owing(
    ticket: Ticket, ending: Ending, owing_reason: str, *, may_owe: bool
) -> None:
    """A parcel is paid before it is sent, all else before it goes out of the door.

    What is billed monthly goes out unpaid, up to the account's credit limit.
    """
    if money.is_billed_monthly(ticket):
        _refuse_above_limit(ticket, owing_reason, may_owe=may_owe)
        return
    due = money.balance(ticket).due
    if due.amount <= 0:
        return
    if not may_owe:
        said = _("%(due)s is still owing. The owner may hand over all the same.")
        if ending.way == HandoverWay.SENT:
            said = _("%(due)s is still owing: a parcel is paid before it is sent.")
        raise Refused(said % {"due": due})
    if not owing_reason.strip():
        raise Refused(_("Say why it goes out unpaid."), field="owing_reason")


def _refuse_above_limit(ticket: Ticket, owing_reason: str, *, may_owe: bool) -> None:
    """Two handovers at once count each other: the customer's row is locked."""
    customer = Customer.objects.select_for_update().get(pk=ticket.customer_id)
    above = credit_of(customer, ticket).above
    if not above:
        return
    if not may_owe:
        text = _(
            "With this the account owes %(above)s more than its limit. The owner may "
            "hand over all the same."
        )
        raise Refused(text % {"above": above})
    if not owing_reason.strip():
        text = _("Say why it goes out above the account’s limit.")
        raise Refused(text, field="owing_reason")


def _refuse_lent(ticket: Ticket, ending: Ending) -> None:
    """The loan device comes back over the counter, when theirs goes out over it."""
    out = out_with(ticket)
    if out and ending.way == HandoverWay.COLLECTED:
        raise Refused(
            _("Our loan device is still out: %(device)s.") % {"device": out[0].device}
        )


def _refuse_unsigned(ending: Ending, *, is_signed: bool) -> None:
    """What becomes ours: its drive is spoken of, and its owner has signed."""
    if not ending.drive:
        raise Refused(_("Say what becomes of the drive."), field="drive")
    if ending.way == HandoverWay.SOLD and ending.price is None:
        raise Refused(_("Write the price that was agreed."), field="price")
    if not is_signed:
        raise Refused(
            _("It becomes ours with a signed paper alone."), field="paper_signed"
        )
