"""Acts that need several rooms: issuing the invoice, handing over."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from diagnostics import evidence
from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing.models import Invoice
from shop.intake import queries as tickets
from shop.intake import services as intake
from shop.intake.models import Handover, Ticket
from shop.people.models import Person
from shop.records.errors import Refused


@transaction.atomic
def invoice_issue(*, ticket: Ticket, by: Person, at: datetime | None = None) -> Invoice:
    """Bill the ticket's work, with the bench's evidence frozen into the paper."""
    story = tickets.story_of(ticket)
    device = ticket.device
    return billing.invoice_issue(
        ticket=ticket,
        by=by,
        evidence=evidence.for_an_invoice(ticket),
        story={
            "told": story.told,
            "found": story.found,
            "done": story.done,
            "proved": story.proved,
        },
        device={"model": device.model, "serial": device.serial},
        at=at or timezone.now(),
    )


@transaction.atomic
def hand_over(
    *,
    ticket: Ticket,
    by: Person,
    given_to: str,
    owing_reason: str = "",
    may_owe: bool = False,
    at: datetime | None = None,
) -> Handover:
    """Give the device back. With money owing only by the owner, with a reason."""
    if not hasattr(ticket, "outcome"):
        raise Refused(_("The bench has not said yet how the work ended."))
    due = money.balance(ticket).due
    if due.amount > 0 and not may_owe:
        raise Refused(
            _("%(due)s is still owing. The owner may hand over all the same.")
            % {"due": due}
        )
    if due.amount > 0 and not owing_reason:
        raise Refused(_("Say why it goes out unpaid."), field="owing_reason")
    return intake.handover_do(
        ticket=ticket, by=by, given_to=given_to, owing_reason=owing_reason, at=at
    )
