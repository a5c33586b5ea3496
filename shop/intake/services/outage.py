"""Blank slips printed ahead: their numbers reserved, used, or void with a reason."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from shop.intake import numbers
from shop.intake.models import Ticket
from shop.intake.outage_models import OutagePack, PaperSlip, VoidReason
from shop.intake.services.rows import tell
from shop.people import queries as people
from shop.people.models import Person, Shop, Terms
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

SERIES = "ticket"
SLIPS_A_PACK = 20
MOST_LEFT = 100  # jd: more blank slips than that are lost count of


@dataclass(frozen=True)
class OnPaper:
    """What a blank slip says by pen: taken in when, and by whom."""

    slip: PaperSlip
    taken_at: datetime
    taken_by: Person


@transaction.atomic
def pack_print(*, shop: Shop, by: Person, at: datetime | None = None) -> OutagePack:
    """Reserve the numbers of twenty blank slips."""
    at = at or timezone.now()
    Shop.objects.select_for_update().only("pk").get(pk=shop.pk)
    left = PaperSlip.objects.filter(shop=shop, ticket=None, void_reason="").count()
    if left + SLIPS_A_PACK > MOST_LEFT:
        raise Refused(
            _("%(n)d blank slips are left: use them, or make them void first.")
            % {"n": left}
        )
    pack = OutagePack.objects.create(shop=shop, printed_by=by, printed_at=at)
    slips = [_reserved(pack) for _one in range(SLIPS_A_PACK)]
    codes = {"first": slips[0].number, "last": slips[-1].number}
    _pack_tell(Kind.PACK_PRINTED, pack, by, at, codes)
    return pack


def _reserved(pack: OutagePack) -> PaperSlip:
    serial = records.number_take(shop_id=pack.shop_id, kind=SERIES)
    number = numbers.number_of(serial)
    return PaperSlip.objects.create(
        pack=pack, shop_id=pack.shop_id, serial=serial, number=number
    )


@transaction.atomic
def paper_slips_void(
    *, pack: OutagePack, by: Person, ticked: Collection[str], reason: str
) -> int:
    """No ticket gets these numbers; how many they were."""
    if reason not in VoidReason.values:
        raise Refused(_("Say why."), field="reason")
    rows = list(pack.slips.select_for_update().filter(number__in=ticked))
    if not rows or len(rows) != len(set(ticked)):
        raise Refused(_("Tick the slips that are void."), field="slips")
    for slip in rows:
        if slip.ticket_id is not None:
            raise Refused(
                _("Slip %(number)s was typed in meanwhile.") % {"number": slip},
                field="slips",
            )
    now = timezone.now()
    fresh = [slip for slip in rows if slip.is_left]
    for slip in fresh:
        slip.void_reason, slip.voided_at, slip.voided_by = reason, now, by
        slip.save(update_fields=["void_reason", "voided_at", "voided_by"])
        codes = {"number": slip.number, "reason": reason}
        _pack_tell(Kind.PAPER_VOIDED, pack, by, now, codes)
    return len(fresh)


@transaction.atomic
def paper_slip_restore(*, slip: PaperSlip, by: Person) -> None:
    """A void slip turned up with writing on it: it may be typed in again."""
    row = PaperSlip.objects.select_for_update().get(pk=slip.pk)
    if row.void_reason:
        row.void_reason, row.voided_at, row.voided_by = "", None, None
        row.save(update_fields=["void_reason", "voided_at", "voided_by"])
        codes = {"number": row.number}
        _pack_tell(Kind.PAPER_RESTORED, row.pack, by, timezone.now(), codes)


def _pack_tell(
    kind: Kind, pack: OutagePack, by: Person, at: datetime, codes: dict[str, str]
) -> None:
    records.event_record(
        kind,
        shop_id=pack.shop_id,
        by_id=by.pk,
        at=at,
        ids={"pack": pack.pk},
        codes=codes,
    )


def paper_checked(paper: OnPaper, shop: Shop) -> datetime:
    """When it was taken in, if that can be so and the slip is blank still."""
    slip = PaperSlip.objects.select_for_update().get(pk=paper.slip.pk, shop=shop)
    if slip.ticket_id is not None:
        raise Refused(
            _("Slip %(number)s was typed in already: see its ticket.")
            % {"number": slip}
        )
    if slip.void_reason:
        raise Refused(_("Slip %(number)s is void.") % {"number": slip})
    if paper.taken_at > timezone.now():
        raise Refused(_("That is still to come."), field="taken_at")
    printed = slip.pack.printed_at.replace(second=0, microsecond=0)
    if paper.taken_at < printed:
        when = timezone.localtime(slip.pack.printed_at)
        raise Refused(
            _("The slip was printed on %(when)s: it can’t be earlier.")
            % {"when": date_format(when, "j F, H:i")},
            field="taken_at",
        )
    return paper.taken_at


def terms_of(paper: OnPaper) -> Terms:
    """The fee that is printed on the slip is the one that was signed for."""
    pack = paper.slip.pack
    return people.terms_at(pack.shop, pack.printed_at)


def paper_typed_in(paper: OnPaper, ticket: Ticket, by: Person) -> None:
    """The slip is used; the ticket says for good that it was typed in later."""
    slip, now = paper.slip, timezone.now()
    slip.ticket, slip.typed_at, slip.typed_by = ticket, now, by
    slip.taken_by = paper.taken_by
    slip.save(update_fields=["ticket", "typed_at", "typed_by", "taken_by"])
    tell(
        Kind.TYPED_IN_LATER,
        ticket,
        by,
        now,
        ids={"pack": slip.pack_id},
        codes={"taken_in": paper.taken_at.isoformat()},
        person_id=paper.taken_by.pk,
    )
