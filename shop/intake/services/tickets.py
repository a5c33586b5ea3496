"""Taking one in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake import accounts, numbers, paper_language
from shop.intake.facts import FIRST_WORD, READY
from shop.intake.models import (
    Answer,
    Consent,
    Customer,
    Device,
    Goal,
    IntakeKind,
    Ticket,
)
from shop.intake.services import outage
from shop.intake.services.customers import (
    customer_change,
    customer_keep,
)
from shop.intake.services.devices import device_brought
from shop.intake.services.outage import SERIES, OnPaper
from shop.intake.services.rows import keep, note, tell
from shop.intake.services.things_in import ThingDraft, things_keep, with_itself
from shop.intake.services.waiting import promise_tell
from shop.intake.story import NOTE_KIND
from shop.money import Money
from shop.people import queries as people
from shop.people.models import Person, Shop, Terms
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

PHONE_COLUMN = "phone_typed"
MOST_MACHINES = 40


@dataclass(frozen=True)
class Machine:
    """One of several taken in together: which, and its fault as told."""

    what: Mapping[str, Any]
    told: str
    things: Sequence[ThingDraft] = ()


@transaction.atomic
def ticket_open(
    *,
    shop: Shop,
    by: Person,
    customer: Customer,
    device: Device,
    told: str,
    intake_kind: str = IntakeKind.COUNTER,
    goal: str = Goal.MACHINE_WORKS,
    liquid: str = Answer.NOT_RECORDED,
    dropped: str = Answer.NOT_RECORDED,
    hot_or_swollen: str = Answer.NOT_RECORDED,
    opened_before: str = Answer.NOT_RECORDED,
    triage: Sequence[str] = (),
    fee_agreed: str = Answer.NOT_RECORDED,
    things: Sequence[ThingDraft] = (),
    consents: Mapping[str, str] | None = None,
    pre_approved: Money | None = None,
    reassembly: str = Answer.NOT_RECORDED,
    reassembly_price: Money | None = None,
    is_express: bool = False,
    promise: datetime | None = None,
    ready_by: datetime | None = None,
    their_reference: str = "",
    order_number: str = "",
    returns_to: Ticket | None = None,
    old_number: str = "",
    terms: Terms | None = None,
    tracking: str = "",
    brought: Mapping[str, str] | None = None,
    came_with: Ticket | None = None,
    at: datetime | None = None,
    on_paper: OnPaper | None = None,
) -> Ticket:
    """Take one in: the ticket, what came with it, what was told and agreed.

    ``terms`` are named for one that is older than the shop's first terms;
    ``brought`` holds the words that came with it, by ``arriving.BROUGHT``;
    ``came_with`` is the first of several taken in together; ``on_paper`` is the
    blank slip on which it was taken in before, and when.
    """
    if on_paper is not None:
        at, terms = outage.paper_checked(on_paper, shop), outage.terms_of(on_paper)
    at = at or timezone.now()
    _belong_together(shop, customer, device, returns_to, pre_approved)
    _may_return(customer, intake_kind, returns_to)
    terms = terms or _terms_at(customer, at)
    if pre_approved is None:
        pre_approved = _standing_cap(customer, at)
    serial = (
        on_paper.slip.serial
        if on_paper
        else records.number_take(shop_id=shop.pk, kind=SERIES)
    )
    ticket = Ticket(
        shop=shop,
        serial=serial,
        number=numbers.number_of(serial),
        customer=customer,
        device=device,
        intake_kind=intake_kind,
        goal=goal,
        opened_at=at,
        returns_to=returns_to,
        came_with=came_with,
        their_reference=their_reference.strip(),
        order_number=order_number.strip(),
        old_number=old_number.strip(),
        tracking=tracking.strip(),
        liquid=liquid,
        dropped=dropped,
        hot_or_swollen=hot_or_swollen,
        opened_before=opened_before,
        triage=" ".join(triage),
        fee_agreed=fee_agreed,
        currency=shop.currency,
        diagnosis_fee_minor=terms.diagnosis_fee_minor,
        diagnosis_minutes=terms.diagnosis_minutes,
        fee_rule=terms.fee_rule,
        pre_approved_minor=None if pre_approved is None else pre_approved.minor,
        reassembly=reassembly,
        reassembly_minor=None if reassembly_price is None else reassembly_price.minor,
        express_percent=terms.express_percent if is_express else 0,
    )
    keep(ticket)
    drafts = list(with_itself(device, things))
    things_keep(ticket, drafts, is_on_paper=on_paper is not None)
    for purpose, answer in (consents or {}).items():
        keep(Consent(ticket=ticket, purpose=purpose, answer=answer, at=at))
    _opening_tell(ticket, by, told)
    if on_paper is not None:
        outage.paper_typed_in(on_paper, ticket, by)
    for kind, text in (brought or {}).items():
        if text.strip():
            note(ticket, by, kind, text, at)
    if promise is not None:
        promise_tell(ticket, by, promise, about=FIRST_WORD, at=at)
    if ready_by is not None:
        promise_tell(ticket, by, ready_by, about=READY, at=at, field="ready_by")
    return ticket


@transaction.atomic
def ticket_take_in(
    *,
    shop: Shop,
    by: Person,
    customer: Customer | None,
    version: int,
    who: Mapping[str, str],
    what: Mapping[str, Any],
    **opening: Any,
) -> Ticket:
    """The counter's page in one act: customer, device and ticket.

    A customer who was here before (``customer``, seen at ``version``) is changed
    to what the page says; a device with the same serial number is the same one.
    """
    customer = _customer(shop, by, customer, version, who)
    device = device_brought(customer, by, what)
    return ticket_open(shop=shop, by=by, customer=customer, device=device, **opening)


@transaction.atomic
def tickets_take_in(
    *,
    shop: Shop,
    by: Person,
    customer: Customer | None,
    version: int,
    who: Mapping[str, str],
    machines: Sequence[Machine],
    **opening: Any,
) -> list[Ticket]:
    """Several machines of one customer: a ticket each, under one slip."""
    if not 1 <= len(machines) <= MOST_MACHINES:
        raise Refused(_("Name at least one machine, and at most 40."))
    customer = _customer(shop, by, customer, version, who)
    taken: list[Ticket] = []
    for machine in machines:
        ticket = ticket_open(
            shop=shop,
            by=by,
            customer=customer,
            device=device_brought(customer, by, machine.what),
            told=machine.told,
            things=machine.things,
            intake_kind=IntakeKind.SEVERAL,
            came_with=taken[0] if taken else None,
            **opening,
        )
        taken.append(ticket)
    return taken


def _customer(
    shop: Shop,
    by: Person,
    known: Customer | None,
    version: int,
    who: Mapping[str, str],
) -> Customer:
    if known is None:
        return customer_keep(shop=shop, by=by, **who)
    fields = {PHONE_COLUMN if k == "phone" else k: v for k, v in who.items()}
    return customer_change(customer=known, by=by, version=version, **fields)


def _terms_at(customer: Customer, at: datetime) -> Terms:
    """The shop's terms, under an account customer's own list."""
    try:
        terms = people.terms_at(customer.shop, at)
    except Terms.DoesNotExist:
        raise Refused(
            _("The shop has no terms for that day yet: the owner sets them first.")
        ) from None
    return accounts.laid_over(terms, accounts.prices_at(customer, at))


def _standing_cap(customer: Customer, at: datetime) -> Money | None:
    """An account's standing yes, frozen on each ticket as if it were said anew."""
    rules = accounts.rules_at(customer, at)
    cap = rules.standing_cap if rules else None
    return cap if cap and cap.currency == customer.shop.currency else None


def _belong_together(
    shop: Shop,
    customer: Customer,
    device: Device,
    returns_to: Ticket | None,
    pre_approved: Money | None,
) -> None:
    shops = {customer.shop_id, device.shop_id} | (
        {returns_to.shop_id} if returns_to else set()
    )
    if shops != {shop.pk} or device.customer_id != customer.pk:
        raise Refused(_("Customer, device and shop don't belong together."))
    if customer.erased_at is not None:
        raise Refused(_("This customer was erased: take them in as a new one."))
    if pre_approved is not None and pre_approved.currency != shop.currency:
        raise Refused(
            _("The shop reckons in %(currency)s.") % {"currency": shop.currency},
            field="pre_approved",
        )


def _may_return(
    customer: Customer, intake_kind: str, returns_to: Ticket | None
) -> None:
    """A warranty check is about one of the customer's own closed tickets."""
    if intake_kind == IntakeKind.WARRANTY and returns_to is None:
        raise Refused(_("Say which earlier ticket it is about."), field="returns_to")
    if returns_to is None:
        return
    if returns_to.customer_id != customer.pk:
        raise Refused(
            _("Ticket %(number)s is another customer’s.")
            % {"number": returns_to.number},
            field="returns_to",
        )
    if not hasattr(returns_to, "handover"):
        raise Refused(
            _("Ticket %(number)s is still open.") % {"number": returns_to.number},
            field="returns_to",
        )


def _opening_tell(ticket: Ticket, by: Person, told: str) -> None:
    codes = {
        "intake_kind": str(ticket.intake_kind),
        "goal": str(ticket.goal),
        "liquid": str(ticket.liquid),
        "hot_or_swollen": str(ticket.hot_or_swollen),
        "fee_agreed": str(ticket.fee_agreed),
        "is_pre_approved": ticket.pre_approved_minor is not None,
        "currency": ticket.currency,
        **paper_language.kept(ticket),
    }
    if ticket.old_number:
        codes["old_number"] = ticket.old_number
    tell(
        Kind.TICKET_OPENED,
        ticket,
        by,
        ticket.opened_at,
        ids={"number": ticket.number},
        codes=codes,
        amounts={"diagnosis_fee": ticket.diagnosis_fee_minor},
        note=note(ticket, by, NOTE_KIND["told"], told, ticket.opened_at),
    )
