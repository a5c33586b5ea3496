"""Acts on loan devices: kept, lent, back. A deposit is held, and is no payment.

It belongs to the customer until the device is back: no invoice takes it.
"""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.forms import HANDED_OVER
from shop.billing.loan_models import Loan, LoanDevice, LoanReturn
from shop.billing.services import checks
from shop.intake.models import Ticket
from shop.intake.services.rows import still_open, tell
from shop.money import Money, nothing
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def loan_device_keep(*, shop: Shop, name: str, serial: str = "") -> LoanDevice:
    Shop.objects.select_for_update().get(pk=shop.pk)
    if shop.loan_devices.filter(name=name.strip(), ended_at=None).exists():
        raise Refused(_("There is one of this name already."), field="name")
    return LoanDevice.objects.create(
        shop=shop, name=name.strip(), serial=serial.strip()
    )


@transaction.atomic
def loan_device_end(*, device: LoanDevice) -> LoanDevice:
    """It is lent no more; while it is out it can't be."""
    device = LoanDevice.objects.select_for_update().get(pk=device.pk)
    if out_of([device]):
        raise Refused(_("It is out: it comes back first."))
    device.ended_at = device.ended_at or timezone.now()
    device.save(update_fields=["ended_at"])
    return device


@transaction.atomic
def loan_give(
    *,
    ticket: Ticket,
    device: LoanDevice,
    by: Person,
    given_with: str = "",
    due_on: date | None = None,
    deposit: Money | None = None,
    deposit_method: str = "",
    at: datetime | None = None,
) -> Loan:
    """Lend a device with a ticket; it is out once at a time."""
    at = at or timezone.now()
    still_open(ticket)
    device = LoanDevice.objects.select_for_update().get(pk=device.pk)
    if device.shop_id != ticket.shop_id or device.ended_at is not None:
        raise Refused(_("This device is not lent."), field="device")
    if out_of([device]):
        raise Refused(_("It is out already."), field="device")
    deposit = deposit or nothing(ticket.currency)
    checks.same_currency(deposit, ticket.currency, field="deposit")
    checks.not_negative(deposit, field="deposit")
    if deposit and deposit_method not in dict(HANDED_OVER):
        raise Refused(_("Say how the deposit was paid."), field="deposit_method")
    if due_on is not None and due_on < checks.shop_day(ticket.shop, at):
        raise Refused(_("This day is over."), field="due_on")
    loan = Loan.objects.create(
        ticket=ticket,
        device=device,
        given_at=at,
        given_by=by,
        due_on=due_on,
        given_with=given_with.strip(),
        currency=ticket.currency,
        deposit_minor=deposit.minor,
        deposit_method=deposit_method if deposit else "",
    )
    _tell(Kind.LOAN_GIVEN, loan, by, at, deposit)
    return loan


@transaction.atomic
def loan_take_back(
    *,
    loan: Loan,
    by: Person,
    state: str = "",
    deposit_back: Money | None = None,
    at: datetime | None = None,
) -> LoanReturn:
    """It is here again; less than the whole deposit back needs words on its state."""
    at = at or timezone.now()
    loan = Loan.objects.select_for_update(of=("self",)).get(pk=loan.pk)
    if LoanReturn.objects.filter(loan=loan).exists():
        raise Refused(_("It came back already."))
    deposit_back = loan.deposit if deposit_back is None else deposit_back
    checks.same_currency(deposit_back, loan.currency, field="deposit_back")
    if not 0 <= deposit_back.amount <= loan.deposit.amount:
        raise Refused(
            _("Between nothing and the whole deposit of %(deposit)s.")
            % {"deposit": loan.deposit},
            field="deposit_back",
        )
    if deposit_back < loan.deposit and not state.strip():
        raise Refused(_("Say why it is not given back whole."), field="state")
    back = LoanReturn.objects.create(
        loan=loan,
        at=at,
        by=by,
        state=state.strip(),
        currency=loan.currency,
        deposit_back_minor=deposit_back.minor,
    )
    _tell(Kind.LOAN_BACK, loan, by, at, deposit_back)
    return back


def out_of(devices: Iterable[LoanDevice]) -> list[Loan]:
    """The loans of these devices that are out."""
    return list(
        Loan.objects.filter(device__in=list(devices), back=None).select_related(
            "device", "ticket"
        )
    )


def _tell(kind: Kind, loan: Loan, by: Person, at: datetime, deposit: Money) -> None:
    tell(
        kind,
        loan.ticket,
        by,
        at,
        ids={"loan": loan.pk},
        codes={"currency": loan.currency},
        amounts={"deposit": deposit.minor},
    )
