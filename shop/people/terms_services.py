"""Acts on the shop's terms: dated rows that are never edited.

The next terms follow the last ones; those that have not begun may be withdrawn, since
nothing was agreed by them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.people.models import FixedJob, LabourRate, MarkupTier, Person, Shop, Terms
from shop.records import services as records
from shop.records.changes import Value, before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind

Rows = Iterable[Mapping[str, Any]]
NOTHING: Mapping[str, Value] = MappingProxyType({})


@dataclass(frozen=True)
class Tables:
    """What hangs on a set of terms, as columns; None stays as it was before."""

    tiers: Rows | None = None
    labour_rates: Rows | None = None
    fixed_jobs: Rows | None = None

    def over(self, last: Terms) -> "Tables":
        return Tables(
            tiers=_kept(self.tiers, last.markup_tiers.all()),
            labour_rates=_kept(self.labour_rates, last.labour_rates.all()),
            fixed_jobs=_kept(self.fixed_jobs, last.fixed_jobs.all()),
        )


def _kept(rows: Rows | None, before: Iterable[Any]) -> Rows:
    if rows is not None:
        return rows
    return [
        {
            f.attname: getattr(row, f.attname)
            for f in row._meta.concrete_fields
            if f.attname not in {"id", "terms_id"}
        }
        for row in before
    ]


@transaction.atomic
def terms_set(
    *,
    shop: Shop,
    by: Person,
    seen: int,
    at: datetime | None = None,
    tables: Tables = Tables(),
    **columns: Any,
) -> Terms:
    """New terms from ``at`` on (now): what is not named stays as it was.

    ``seen`` are the terms that the page showed. Nothing begins in the past, nor
    before terms that were set already.
    """
    Shop.objects.select_for_update().get(pk=shop.pk)
    last = shop.terms.latest("valid_from")
    if last.pk != seen:
        raise Refused(_("Somebody else set new terms meanwhile: look again."))
    now = timezone.now()
    if at is not None and at < now:
        raise Refused(_("Rates begin today or later."), field="valid_from")
    if (at or now) <= last.valid_from:
        raise Refused(
            _("Other terms are set already for a later day: withdraw them first."),
            field="valid_from",
        )
    kept = {
        f.attname: getattr(last, f.attname)
        for f in Terms._meta.concrete_fields
        if f.attname not in {"id", "valid_from"}
    }
    return terms_start(
        shop=shop, by=by, at=at or now, tables=tables.over(last), **(kept | columns)
    )


def terms_start(
    *,
    shop: Shop,
    by: Person,
    tiers: Rows = (),
    tables: Tables | None = None,
    at: datetime | None = None,
    **columns: Any,
) -> Terms:
    columns.pop("shop_id", None)
    tables = tables or Tables(tiers=tiers)
    last = shop.terms.order_by("valid_from").last()
    terms = Terms.objects.create(shop=shop, valid_from=at or timezone.now(), **columns)
    for row in tables.tiers or ():
        MarkupTier.objects.create(terms=terms, **row)
    for row in tables.labour_rates or ():
        LabourRate.objects.create(terms=terms, **row)
    for row in tables.fixed_jobs or ():
        FixedJob.objects.create(terms=terms, **row)
    _tell(Kind.TERMS_SET, terms, by, _told(last) if last else {}, _told(terms))
    return terms


@transaction.atomic
def terms_withdraw(*, terms: Terms, by: Person) -> None:
    """Take back terms that have not begun, which nobody was told yet."""
    shop = Shop.objects.select_for_update().get(pk=terms.shop_id)
    if not shop.terms.filter(pk=terms.pk).exists():
        raise Refused(_("These terms are withdrawn already."))
    if terms.valid_from <= timezone.now():
        raise Refused(_("These terms have begun: set new ones instead."))
    if terms != shop.terms.latest("valid_from"):
        raise Refused(_("Withdraw the later ones first."))
    _tell(Kind.TERMS_WITHDRAWN, terms, by)
    for rows in (terms.markup_tiers, terms.labour_rates, terms.fixed_jobs):
        rows.all().delete()
    terms.delete()


def _told(terms: Terms) -> dict[str, Value]:
    """Every figure of the terms, and of each table that hangs on them its rows.

    A row is told by its figures; what a job is called stays out of the trail.
    """
    columns: dict[str, Value] = {
        f.attname: getattr(terms, f.attname)
        for f in Terms._meta.concrete_fields
        if f.attname not in {"id", "shop_id", "valid_from", "untaxed_reason"}
    }
    tiers = terms.markup_tiers.order_by("cost_below_minor", "id")
    rates = terms.labour_rates.order_by("id")
    jobs = terms.fixed_jobs.order_by("id")
    return columns | {
        "markup_tiers": " ".join(
            f"{t.cost_below_minor or ''}:{t.percent}:{t.minimum_minor}" for t in tiers
        ),
        "labour_rates": " ".join(
            f"{r.kind}:{r.person_id or ''}:{r.rate_minor}" for r in rates
        ),
        "fixed_jobs": " ".join(f"{j.price_minor}:{j.minutes}" for j in jobs),
    }


def _tell(
    kind: Kind,
    terms: Terms,
    by: Person,
    before: Mapping[str, Value] = NOTHING,
    after: Mapping[str, Value] = NOTHING,
) -> None:
    changed = before_after(before, after) if before else {}
    records.event_record(
        kind,
        shop_id=terms.shop_id,
        by_id=by.pk,
        ids={"terms": terms.pk},
        codes={
            "valid_from": terms.valid_from.isoformat(),
            "currency": terms.shop.currency,
            **changed,
        },
        amounts={
            "hourly_rate": terms.hourly_rate_minor,
            "diagnosis_fee": terms.diagnosis_fee_minor,
        },
    )
