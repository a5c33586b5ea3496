"""Acts on a ticket's passcode. It lies sealed, and no longer than the ticket is open.

Nothing here puts a passcode into an event, a message or an exception; the functions
that hold one say so to Django's error reports.
"""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from shop.intake.models import Ticket
from shop.intake.passcode_models import WITH_TEXT, Passcode, PasscodeKind, ShownFor
from shop.intake.services.rows import lock, still_open, tell
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from shop.records.sealed import CannotOpen, Secret, seal, unseal

LONGEST = 128
DOTS = "123456789"
FEWEST_DOTS = 4


def listen() -> None:
    records.when(Kind.TICKET_CLOSED, erase_at_closing)


@sensitive_variables("text")
def passcode_keep(
    *, ticket: Ticket, by: Person, kind: str, text: str = "", seen: int = 0
) -> Passcode:
    """Keep how the machine is opened, in place of what was kept before.

    The same again changes nothing, so that a form may be sent twice without its
    contents being kept for comparison. ``seen`` is the version that the writer saw.
    """
    text = _in_order(kind, text)
    with transaction.atomic():
        still_open(ticket)
        return _keep(ticket, by, kind, text, seen)


@sensitive_variables("text")
def _keep(ticket: Ticket, by: Person, kind: str, text: str, seen: int) -> Passcode:
    row = Passcode.objects.filter(ticket=ticket).first()
    if row is not None and _is_same(row, kind, text):
        return row
    if (row.version if row else 0) != seen:
        raise Refused(_("Somebody else kept another one meanwhile. Look again."))
    row = row or Passcode(ticket=ticket, version=0)
    row.kind, row.kept_by, row.kept_at = kind, by, timezone.now()
    row.erased_at, row.version = None, row.version + 1
    seal(row, "sealed", text)
    row.save()
    tell(Kind.PASSCODE_KEPT, ticket, by, row.kept_at, codes={"kind": str(kind)})
    return row


@sensitive_variables("text")
def _in_order(kind: str, text: str) -> str:
    if kind not in PasscodeKind.values:
        raise Refused(_("Choose one from the list."), field="kind")
    if kind not in WITH_TEXT:
        return ""
    if not text:
        raise Refused(_("Type it, or choose another answer above."), field="passcode")
    if len(text) > LONGEST:
        raise Refused(_("At most %(n)d characters.") % {"n": LONGEST}, field="passcode")
    if kind == PasscodeKind.PIN and not (text.isascii() and text.isdigit()):
        raise Refused(
            _("A PIN has digits alone. Anything else is a password."), field="passcode"
        )
    if kind == PasscodeKind.PATTERN and not is_pattern(text):
        raise Refused(
            _("Give the dots in their order, at least four, each once: 1 to 9."),
            field="passcode",
        )
    return text


def is_pattern(text: str) -> bool:
    """Dots of a square of three by three, as numbered on a telephone."""
    is_once = len(set(text)) == len(text) >= FEWEST_DOTS
    return is_once and set(text) <= set(DOTS)


@sensitive_variables("text")
def _is_same(row: Passcode, kind: str, text: str) -> bool:
    if row.kind != kind or row.erased_at is not None:
        return False
    try:
        return unseal(row, "sealed") == text
    except CannotOpen:
        return False


@transaction.atomic
@sensitive_variables("text")
def passcode_show(*, ticket: Ticket, by: Person, reason: str) -> Secret:
    """The passcode, for one look, on an open ticket; the look is an event."""
    still_open(ticket)
    if reason not in ShownFor.values:
        raise Refused(_("Say why you need it."), field="reason")
    row = Passcode.objects.filter(ticket=ticket).first()
    if row is None or not row.is_kept:
        raise Refused(_("No passcode is kept with this ticket."))
    try:
        text = unseal(row, "sealed")
    except CannotOpen:
        raise Refused(lost()) from None
    tell(Kind.PASSCODE_SHOWN, ticket, by, None, codes={"reason": str(reason)})
    return text


def lost() -> str:
    return _("Its key is lost: it can’t be opened any more. Ask the customer again.")


@transaction.atomic
def passcode_erase(*, ticket: Ticket, by: Person) -> None:
    """Erase it by hand, at any time; once is enough."""
    lock(ticket)
    _erase(ticket.pk, ticket.shop_id, by.pk, because="by_hand")


def erase_at_closing(event: Event) -> None:
    """The ticket is closed: in the same transaction nothing is left of it."""
    assert event.ticket_id is not None, "a closing is of a ticket"
    _erase(event.ticket_id, event.shop_id, event.by_id, because="closed")


def _erase(ticket_id: int, shop_id: int, by_id: int | None, *, because: str) -> None:
    rows = Passcode.objects.filter(ticket_id=ticket_id).exclude(sealed="")
    if not rows.update(sealed="", erased_at=timezone.now()):
        return
    records.event_record(
        Kind.PASSCODE_ERASED,
        shop_id=shop_id,
        ticket_id=ticket_id,
        by_id=by_id,
        codes={"because": because},
    )
