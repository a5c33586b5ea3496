"""The order number of an account's ticket, while no invoice names it yet."""

from django.db import transaction
from django.utils.translation import gettext as _

from shop.billing import queries
from shop.billing.services import checks
from shop.intake.models import Ticket
from shop.intake.services.rows import keep
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def order_keep(
    *, ticket: Ticket, by: Person, order_number: str, contact: str
) -> Ticket:
    """Keep what the account's own books call this job, and whom to ask about it."""
    row = checks.ticket_locked(ticket)
    billed = queries.standing_invoice(row) or queries.monthly_invoice(row)
    number = order_number.strip()
    if billed is not None and number != row.order_number:
        raise Refused(
            _("Invoice %(number)s bills this ticket already.")
            % {"number": billed.number},
            field="order_number",
        )
    if contact.strip() != row.device.contact:
        row.device.contact = contact.strip()
        keep(row.device, update_fields=["contact"])
    if number != row.order_number:
        row.order_number = number
        keep(row, update_fields=["order_number"])
        records.event_record(
            Kind.ORDER_NUMBER_KEPT,
            shop_id=row.shop_id,
            by_id=by.pk,
            ticket_id=row.pk,
            ids={"number": number},
        )
    return row
