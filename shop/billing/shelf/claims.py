"""Wrong or dead on arrival: what the supplier has to make good, and whether it did."""

from datetime import date, datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import OrderLine
from shop.billing.services import checks
from shop.billing.shelf import moves, ordering, reserving
from shop.billing.shelf_models import Claim, ClaimEnd, StockLot
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def claim_at_arrival(
    *,
    order_line: OrderLine,
    by: Person,
    kind: str,
    quantity: int,
    again_by: date | None = None,
    is_replaced: bool = False,
    at: datetime | None = None,
) -> Claim:
    """Pieces that came and are not what was ordered: they never reach the shelf.

    With ``is_replaced`` the supplier sends others, and the turn stays a supplier's.
    """
    at = at or timezone.now()
    line = ordering.line_locked(order_line)
    ordering.refuse_beyond_awaited(line, quantity)
    line.awaited -= quantity
    line.save(update_fields=["awaited"])
    again = _again(line, by, quantity, again_by, at) if is_replaced else None
    if not line.awaited:
        _tell_over(line, by, at, kind)
    return _opened(
        Claim(
            shop=line.shop,
            item=line.item,
            ticket=line.ticket,
            order_line=line,
            replacement=again,
            kind=kind,
            supplier=line.supplier,
            name=line.name,
            quantity=quantity,
            currency=line.currency,
            worth_minor=line.price_minor * quantity,
            by=by,
            at=at,
        )
    )


@transaction.atomic
def claim_from_shelf(
    *,
    lot: StockLot,
    by: Person,
    kind: str,
    quantity: int,
    supplier: str = "",
    again_by: date | None = None,
    is_replaced: bool = False,
    ticket: Ticket | None = None,
    at: datetime | None = None,
) -> Claim:
    """Pieces of a lot proved dead or wrong later: they go back off the shelf.

    With a ``ticket`` that had them it waits for what replaces them.
    """
    at = at or timezone.now()
    checks.at_least_one(quantity)
    line = lot.came_by.order_line
    supplier = supplier or (line.supplier if line else lot.item.supplier)
    if not supplier:
        raise Refused(_("Say whose part this was."), field="supplier")
    move = moves.send_back(lot=lot, by=by, quantity=quantity, at=at)
    if ticket is None and line and line.ticket and not _is_closed(line.ticket):
        ticket = line.ticket
        reserving.consume(lot.item, ticket, by, quantity, at)
    again = None
    if is_replaced:
        again = ordering.line_make(
            shop=lot.item.shop,
            by=by,
            ticket=ticket,
            item=lot.item,
            supplier=supplier,
            name=lot.item.name,
            quantity=quantity,
            price=lot.cost,
            due_on=again_by,
            reference=line.reference if line else "",
            at=at,
        )
    return _opened(
        Claim(
            shop=lot.item.shop,
            item=lot.item,
            ticket=ticket,
            order_line=line,
            move=move,
            replacement=again,
            kind=kind,
            supplier=supplier,
            name=lot.item.name,
            quantity=quantity,
            currency=lot.item.currency,
            worth_minor=lot.cost_minor * quantity,
            by=by,
            at=at,
        )
    )


@transaction.atomic
def claim_end(
    *,
    claim: Claim,
    by: Person,
    how: str,
    amount: Money | None = None,
    reference: str = "",
    at: datetime | None = None,
) -> ClaimEnd:
    """The supplier credited or replaced it, or will do neither."""
    at = at or timezone.now()
    claim = Claim.objects.select_for_update(of=("self",)).get(pk=claim.pk)
    if ClaimEnd.objects.filter(claim=claim).exists():
        raise Refused(_("This claim is settled already."))
    amount = amount or Money.of(0, claim.currency)
    checks.same_currency(amount, claim.currency, field="amount")
    if how == ClaimEnd.How.CREDITED and amount.amount <= 0:
        raise Refused(_("Write what was credited."), field="amount")
    if how != ClaimEnd.How.CREDITED and amount:
        raise Refused(_("Only a credit has an amount."), field="amount")
    if amount.minor > claim.worth_minor:
        raise Refused(
            _("The pieces cost %(worth)s.") % {"worth": claim.worth}, field="amount"
        )
    again = claim.replacement
    if again is not None and how != ClaimEnd.How.REPLACED and again.awaited:
        ordering.give_up(again, by, at, why=how)
    end = ClaimEnd.objects.create(
        claim=claim,
        how=how,
        currency=claim.currency,
        amount_minor=amount.minor,
        reference=reference,
        by=by,
        at=at,
    )
    _tell(Kind.CLAIM_ENDED, claim, by, at, how)
    return end


def replaced_by(line: OrderLine, by: Person, at: datetime) -> None:
    """The last of what makes a claim good is here."""
    claim = Claim.objects.filter(replacement=line, end=None).first()
    if claim is not None:
        claim_end(claim=claim, by=by, how=ClaimEnd.How.REPLACED, at=at)


def _tell_over(line: OrderLine, by: Person, at: datetime, kind: str) -> None:
    """Nothing more comes of this order: either some of it was right, or none."""
    if line.moves.exists():
        ordering.tell(Kind.PART_ARRIVED, line, by, at, {})
    else:
        ordering.tell(Kind.ORDER_ENDED, line, by, at, {"why": kind})


def _is_closed(ticket: Ticket) -> bool:
    return hasattr(ticket, "handover")


def _again(
    line: OrderLine, by: Person, quantity: int, due_on: date | None, at: datetime
) -> OrderLine:
    return ordering.line_make(
        shop=line.shop,
        by=by,
        ticket=line.ticket,
        item=line.item,
        supplier=line.supplier,
        name=line.name,
        quantity=quantity,
        price=line.price,
        due_on=due_on,
        reference=line.reference,
        at=at,
    )


def _opened(claim: Claim) -> Claim:
    claim.save()
    _tell(Kind.CLAIM_OPENED, claim, claim.by, claim.at, claim.kind)
    return claim


def _tell(kind: Kind, claim: Claim, by: Person, at: datetime, how: str) -> None:
    records.event_record(
        kind,
        shop_id=claim.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=claim.ticket_id,
        ids={"claim": claim.pk},
        codes={"how": how},
        amounts={"quantity": claim.quantity},
    )
