"""What is owing now, by how long it is due; each currency by itself."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.billing.models import Invoice
from shop.books import queries as books
from shop.books.posting.ageing import NOT_DUE, Open, bucket_of
from shop.office import told
from shop.office.asked import Asked
from shop.office.kept import kept
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.people.models import Shop

BUCKETS = (NOT_DUE, 0, 1, 2, 3, 4)
Owed = Mapping[str, Sequence[Open]]  # nobody is named: it is kept


def owed_of(shop: Shop) -> Owed:
    """By currency, the oldest due first; those that the shop has left too."""
    papers = Invoice.objects.filter(shop=shop).exclude(currency=shop.currency)
    former = papers.order_by("currency").values_list("currency", flat=True).distinct()
    return {
        one: [
            replace(row, buyer="", number="")
            for row in books.open_invoices(shop, currency=one)
        ]
        for one in (shop.currency, *former)
    }


def section(shop: Shop, asked: Asked) -> Section:
    owed = kept("owed", shop, asked, lambda: owed_of(shop))
    today = asked.now.astimezone(shop.zone).date()
    late = {c: [one.days_late(today) for one in found] for c, found in owed.items()}
    return Section(
        code="owing",
        title=_("Owing"),
        unit=_("now, by days past the due day"),
        says=" ".join(_said(c, owed[c], late[c]) for c in owed if owed[c])
        or _("Nothing is owing."),
        means=_(
            "What is not paid of invoices, less credit notes, as it stands now, tax "
            "included. A ticket’s payments settle its oldest invoice first."
        ),
        table=Table(
            [
                Column("days", _("Days past the due day"), Kind.TEXT),
                Column("currency", _("Currency"), Kind.TEXT),
                Column("invoices", _("Invoices"), Kind.COUNT),
                Column("owed", _("Owing"), Kind.AMOUNT),
            ],
            list(_rows(owed, late)),
        ),
    )


def _said(currency: str, found: Sequence[Open], late: Sequence[int]) -> str:
    owing = told.money(sum(one.owed for one in found), currency)
    values = {"owing": owing, "n": len(found), "days": max(late)}
    if max(late) <= 0:
        said = ngettext(
            "%(owing)s is owing on %(n)s invoice that is not late.",
            "%(owing)s is owing on %(n)s invoices, none of them late.",
            len(found),
        )
    else:
        said = ngettext(
            "%(owing)s is owing (open invoices: %(n)s), the oldest %(days)s day late.",
            "%(owing)s is owing (open invoices: %(n)s), the oldest %(days)s days late.",
            max(late),
        )
    return said % values


def _rows(owed: Owed, late: Mapping[str, Sequence[int]]) -> Iterator[Sequence[Cell]]:
    names = _names()
    for currency, found in owed.items():
        for bucket in BUCKETS if found else ():
            inside = [
                one.owed
                for one, days in zip(found, late[currency], strict=True)
                if bucket_of(days) == bucket
            ]
            minor = told.amount(sum(inside), currency)
            yield names[bucket], currency, len(inside), minor


def _names() -> dict[int, str]:
    return {
        NOT_DUE: _("not due yet"),
        0: "0–3",
        1: "4–7",
        2: "8–14",
        3: "15–30",
        4: _("over 30"),
    }
