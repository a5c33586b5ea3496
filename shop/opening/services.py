"""Opening the shop: everything that the set-up answers, in one act."""

import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import Invoice
from shop.intake.models import Ticket
from shop.intake.services.outage import SERIES
from shop.money import minor_digits
from shop.opening import backup_place, default_texts, first_key
from shop.opening.people_form import Newcomer
from shop.people import house_services as house
from shop.people import logos, message_texts, terms_services
from shop.people.house_services import Closed, Stretch
from shop.people.models import Person, Role, Shop, Terms
from shop.people.services import person_join
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

# Markup on the cost of parts by tiers (domain brief, section 9, judgement): in main
# units of the currency below which cost, per cent, at least.
MARKUP = ((20, 60, 2), (60, 30, 0), (None, 15, 0))
LEASE = "set_up"


@dataclass(frozen=True)
class Opened:
    """The new shop, its owner, and the others' first passwords, which are told once."""

    shop: Shop
    owner: Person
    passwords: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Owner:
    name: str
    username: str
    password: str
    roles: Iterable[Role]


@transaction.atomic
def shop_open(
    *,
    shop: Mapping[str, str],
    owner: Owner,
    others: Iterable[Newcomer],
    terms: Mapping[str, Any],
    tiers: Iterable[Mapping[str, Any]],
    week: Iterable[Stretch],
    closed: Iterable[Closed],
    texts: Mapping[tuple[str, str], str],
    series: Mapping[str, int],
    logo: bytes = b"",
) -> Opened:
    """Everything or nothing; refused where there is a shop already."""
    _alone()
    place = backup_place.tried(shop.get("backup_place", ""))
    png = logos.encoded(logo) if logo else b""
    row = Shop.objects.create(**{**shop, "backup_place": place})
    person = person_join(
        shop=row,
        username=owner.username,
        name=owner.name,
        password=owner.password,
        roles=owner.roles,
    )
    records.event_record(Kind.SHOP_OPENED, shop_id=row.pk, by_id=person.pk)
    terms_services.terms_start(shop=row, by=person, tiers=tiers, **terms)
    house.hours_keep(shop=row, by=person, version=row.version, week=week, closed=closed)
    _texts(row, person, texts)
    if png:
        house.logo_keep(shop=row, by=person, png=png)
    for kind, first in series.items():
        records.series_start(shop_id=row.pk, kind=kind, first=first)
    passwords = {new.username: _join(row, new) for new in others}
    transaction.on_commit(first_key.discard)
    row.refresh_from_db()
    return Opened(row, person, passwords)


def _alone() -> None:
    """One set-up at a time, and only the first."""
    now = timezone.now()
    holder = secrets.token_hex(8)
    is_mine = records.lease_take(name=LEASE, holder=holder, seconds=60, now=now)
    if Shop.objects.exists() or not is_mine:
        raise Refused(_("A shop was set up here already."))


def _texts(shop: Shop, by: Person, texts: Mapping[tuple[str, str], str]) -> None:
    """What was typed; and ours in all languages of the shop that we speak."""
    written = {key: typed.replace("\r\n", "\n").strip() for key, typed in texts.items()}
    for language in default_texts.has_ours(shop.language_codes):
        ours = {**default_texts.ours(language), **message_texts.ours(language)}
        written = {(kind, language): text for kind, text in ours.items()} | written
    for (kind, language), text in written.items():
        ours = {**default_texts.ours(language), **message_texts.ours(language)}
        house.text_add(
            shop=shop,
            by=by,
            kind=kind,
            language=language,
            text=text,
            is_ours=text == ours.get(kind),
        )


def _join(shop: Shop, new: Newcomer) -> str:
    password = secrets.token_urlsafe(9)
    person_join(
        shop=shop,
        username=new.username,
        name=new.name,
        password=password,
        roles=new.roles,
        must_change_password=True,
    )
    return password


def series_of(
    next_ticket: int, next_invoice: int, next_prepayment: int = 1
) -> dict[str, int]:
    return {
        SERIES: next_ticket,
        Invoice.Kind.INVOICE.value: next_invoice,
        Invoice.Kind.PREPAYMENT.value: next_prepayment,
    }


@transaction.atomic
def currency_change(*, shop: Shop, by: Person, currency: str) -> None:
    """Before the first ticket: the same figures in another currency."""
    if Ticket.objects.filter(shop=shop).exists():
        raise Refused(
            _("There are tickets in %(old)s already.") % {"old": shop.currency},
            field="currency",
        )
    last = shop.terms.latest("valid_from")
    factor = 10 ** (minor_digits(currency) - minor_digits(shop.currency))

    def scaled(minor: int | None) -> int | None:
        return None if minor is None else int(minor * factor)

    columns = {
        f.attname: getattr(last, f.attname)
        for f in Terms._meta.concrete_fields
        if f.attname not in {"id", "valid_from", "shop_id"}
    }
    amounts = {n: scaled(v) for n, v in columns.items() if n.endswith("_minor")}
    tiers = [
        {
            "cost_below_minor": scaled(tier.cost_below_minor),
            "percent": tier.percent,
            "minimum_minor": scaled(tier.minimum_minor),
        }
        for tier in last.markup_tiers.all()
    ]
    tables = terms_services.Tables(
        tiers=tiers,
        labour_rates=[
            {
                "kind": row.kind,
                "person_id": row.person_id,
                "rate_minor": scaled(row.rate_minor),
            }
            for row in last.labour_rates.all()
        ],
        fixed_jobs=[
            {
                "name": row.name,
                "price_minor": scaled(row.price_minor),
                "minutes": row.minutes,
            }
            for row in last.fixed_jobs.all()
        ],
    )
    terms_services.terms_start(shop=shop, by=by, tables=tables, **(columns | amounts))
