"""The counter's papers as the printing room takes them."""

from django.utils.translation import gettext_lazy as _

from shop.intake import outage_papers, papers, tags
from shop.intake.models import Place, Ticket
from shop.intake.outage_models import OutagePack
from shop.printing.makers import Made, made_by
from shop.printing.models import Paper
from shop.printing.services import Order

SLIP, SLIP_ALONE, TAG, LABEL = "slip", "slip_alone", "tag", "label"
PACK = "outage_pack"


def offer() -> None:
    made_by(SLIP, _("Job slip"), Paper.SLIP, _slip)
    made_by(SLIP_ALONE, _("Job slip"), Paper.SLIP, _slip_alone)
    made_by(TAG, _("Bag tag"), Paper.TAG, _tag)
    made_by(LABEL, _("Shelf label"), Paper.TAG, _label)
    made_by(PACK, _("Outage pack"), Paper.SLIP, _pack)


def slip_order(ticket: Ticket, *, has_tags: bool) -> Order:
    return Order(SLIP if has_tags else SLIP_ALONE, ticket.pk, ticket_id=ticket.pk)


def tag_orders(ticket: Ticket, *, only: int | None = None) -> list[Order]:
    """One paper a tag: each has its own length."""
    return [
        Order(TAG, ticket.pk, thing.tag, ticket_id=ticket.pk)
        for thing in ticket.things.all()
        if only in {None, thing.tag}
    ]


def label_order(place: Place) -> Order:
    return Order(LABEL, place.pk)


def pack_order(pack: OutagePack) -> Order:
    return Order(PACK, pack.pk)


def _ticket(pk: int) -> Ticket:
    return Ticket.objects.select_related("shop", "customer", "device").get(pk=pk)


def _slip(pk: int, part: int) -> Made:
    ticket = _ticket(pk)
    return Made(papers.job_slip(ticket), ticket.shop.paper_size)


def _slip_alone(pk: int, part: int) -> Made:
    ticket = _ticket(pk)
    return Made(papers.job_slip(ticket, has_tags=False), ticket.shop.paper_size)


def _tag(pk: int, part: int) -> Made:
    roll = tags.bag_tags(_ticket(pk), only=part)
    return Made(roll.body, roll.media)


def _label(pk: int, part: int) -> Made:
    roll = tags.shelf_labels([Place.objects.select_related("shop").get(pk=pk)])
    return Made(roll.body, roll.media)


def _pack(pk: int, part: int) -> Made:
    pack = OutagePack.objects.select_related("shop", "printed_by").get(pk=pk)
    return Made(outage_papers.pack_pdf(pack), pack.shop.paper_size)
