"""The proof of repair: its items and ticks, how far it goes, what its sheet shows."""

from collections.abc import Collection, Mapping
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import proof, proof_photos
from diagnostics.models import ProofItem, ProofLevel
from diagnostics.proof_closing import COUNTED
from diagnostics.proof_state import state_of
from diagnostics.services.telling import keep_note, refuse_closed
from shop.intake.models import Ticket
from shop.people.models import Person, Role
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def proof_item_record(
    *,
    ticket: Ticket,
    by: Person,
    item: str,
    result: str,
    part: str = "",
    count: int | None = None,
    minutes: int | None = None,
    words: str = "",
    at: datetime | None = None,
) -> ProofItem:
    """One item of the proof, or one tick of it; waiving one needs a reason in words.

    Counts go on: five rows of one start are five starts. ``taken_back`` takes back
    the newest row of the item.
    """
    refuse_closed(ticket)
    _refuse_unknown(item, part, result)
    if result == ProofItem.Result.WAIVED and not words.strip():
        raise Refused(_("Waived needs a reason."), field="words")
    row = ProofItem.objects.create(
        ticket=ticket,
        item=item,
        part=part,
        result=result,
        count=count,
        minutes=minutes,
        note=keep_note(
            board=None, ticket=ticket, by=by, kind="proof", text=words, at=at
        ),
        by=by,
        at=at or timezone.now(),
    )
    records.event_record(
        Kind.PROOF_GIVEN,
        shop_id=ticket.shop_id,
        ticket_id=ticket.pk,
        by_id=by.pk,
        at=at,
        codes={
            "item": item,
            "part": part,
            "result": result,
            "is_complete": not state_of(ticket).unproved,
        },
        ids={"proof_item": row.pk},
    )
    return row


def _refuse_unknown(item: str, part: str, result: str) -> None:
    if item not in {*proof.ITEMS, COUNTED}:
        raise Refused(_("The proof has no such item."), field="item")
    if part and part not in {*proof.FUNCTIONS, *proof.BOTH_PORTS_BOTH_SIDES}:
        raise Refused(_("The proof has no such item."), field="part")
    if result not in ProofItem.Result.values:
        raise Refused(_("Say how it went."), field="result")


@transaction.atomic
def proof_ticks_record(
    *,
    ticket: Ticket,
    by: Person,
    item: str,
    ticks: Mapping[str, str],
    words: str = "",
    at: datetime | None = None,
) -> list[ProofItem]:
    """Several ticks of one item in one go: all ok except, or not fitted."""
    if not ticks:
        raise Refused(_("Tick what was tried."))
    return [
        proof_item_record(
            ticket=ticket,
            by=by,
            item=item,
            part=part,
            result=result,
            words=words if result == ProofItem.Result.FAILED else "",
            at=at,
        )
        for part, result in ticks.items()
    ]


@transaction.atomic
def proof_level_choose(
    *, ticket: Ticket, by: Person, level: str, at: datetime | None = None
) -> ProofLevel:
    """Short or full; less than what is suggested is the owner's to choose."""
    refuse_closed(ticket)
    if level not in ProofLevel.Level.values:
        raise Refused(_("Say how far it is proved."), field="level")
    suggested = state_of(ticket).case.suggested
    is_less = level == ProofLevel.Level.SHORT and suggested is proof.Level.FULL
    owns = by.memberships.filter(shop_id=ticket.shop_id, role=Role.OWNER).exists()
    if is_less and not owns:
        raise Refused(
            _("The full proof is suggested here: the owner may choose the short one."),
            field="level",
        )
    return ProofLevel.objects.create(
        ticket=ticket, level=level, by=by, at=at or timezone.now()
    )


@transaction.atomic
def proof_photos_choose(
    *,
    ticket: Ticket,
    by: Person,
    photo_ids: Collection[int],
    at: datetime | None = None,
) -> None:
    """The photos of the sheet: a few of the board's, never of the customer's things."""
    refuse_closed(ticket)
    fit = {photo.pk: photo for photo in proof_photos.fit_for_sheet(ticket)}
    if not set(photo_ids) <= set(fit):
        raise Refused(_("Only photos of the board go on the sheet."), field="photos")
    if len(set(photo_ids)) > proof_photos.MOST:
        raise Refused(
            _("At most %(n)d photos go on the sheet.") % {"n": proof_photos.MOST},
            field="photos",
        )
    on = {photo.pk for photo in proof_photos.chosen(ticket)}
    for photo in fit.values():
        if (photo.pk in photo_ids) != (photo.pk in on):
            ticket.proof_photos.create(
                photo=photo,
                is_on=photo.pk in photo_ids,
                by=by,
                at=at or timezone.now(),
            )
