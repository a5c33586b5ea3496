"""Reads of what was printed ahead: which blank slips are used, left or void."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils import timezone

from shop.intake import numbers, scans
from shop.intake.outage_models import OutagePack, PaperSlip
from shop.people import queries as people
from shop.people.models import Shop

MOST_PACKS = 50


@dataclass(frozen=True)
class Pack:
    """A pack with its slips sorted: what is left, used and void."""

    row: OutagePack
    left: Sequence[PaperSlip]
    used: Sequence[PaperSlip]
    void: Sequence[PaperSlip]
    is_fee_changed: bool


def slips_of(shop: Shop) -> QuerySet[PaperSlip]:
    return PaperSlip.objects.filter(shop=shop).select_related(
        *("pack__printed_by", "pack__shop", "ticket__device"),
        *("typed_by", "taken_by", "voided_by"),
    )


def packs_of(shop: Shop) -> list[Pack]:
    """The newest packs, newest first."""
    rows = shop.outage_packs.select_related("printed_by", "shop").order_by("-id")
    return [pack_of(row) for row in rows[:MOST_PACKS]]


def pack_of(row: OutagePack) -> Pack:
    slips = list(slips_of(row.shop).filter(pack=row))
    left = [one for one in slips if one.is_left]
    return Pack(
        row=row,
        left=left,
        used=[one for one in slips if one.ticket_id is not None],
        void=[one for one in slips if one.void_reason],
        is_fee_changed=bool(left) and _is_fee_changed(row),
    )


def _is_fee_changed(row: OutagePack) -> bool:
    """Whether the fee in print is another than today's."""
    printed, today = (
        people.terms_at(row.shop, at) for at in (row.printed_at, timezone.now())
    )
    return (
        printed.diagnosis_fee_minor,
        printed.fee_rule,
        printed.diagnosis_minutes,
        printed.tax_basis_points,
    ) != (
        today.diagnosis_fee_minor,
        today.fee_rule,
        today.diagnosis_minutes,
        today.tax_basis_points,
    )


def slip_numbered(shop: Shop, typed: str) -> PaperSlip | None:
    """The slip of a number that was typed or scanned whole, by its tag too."""
    read = scans.read(typed)
    number = read.number or numbers.compact(typed)
    if not numbers.is_valid(number):
        return None
    return slips_of(shop).filter(number=number).first()


def slips_meant(shop: Shop, typed: str) -> list[PaperSlip]:
    """Blank slips of this number, or of those that are one slip of the finger away."""
    number = numbers.compact(typed)
    if not numbers.looks_like_one(number):
        return []
    meant = {number} if numbers.is_valid(number) else numbers.near_mistypes(number)
    rows = slips_of(shop).filter(number__in=meant, ticket=None, void_reason="")
    return list(rows)
