"""Names typed at the counter's sales: of no customer's row, so they are looked for.

A sale's paper is kept as issued for the years that the law asks, like any; then its
name goes with those of all papers (``paper_rows``). Before that the owner may take it
off where the law asks for no name: a paper lets itself be emptied, and no more.
"""

import re
from collections.abc import Iterable

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import Invoice
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from shop.rights import searched

TYPED = ("name", "address", "tax_id")


def named_sales(shop: Shop) -> QuerySet[Invoice]:
    """Sales and credit notes to them that still name somebody."""
    rows = Invoice.objects.filter(shop=shop, ticket=None, account=None)
    return rows.exclude(buyer={}).order_by("pk")


def sales_naming(shop: Shop, named: re.Pattern[str]) -> list[Invoice]:
    """Those that hold one of these words in what was typed of the buyer."""
    return [row for row in named_sales(shop).iterator() if named.search(told(row))]


def sales_with(shop: Shop, typed: str) -> list[Invoice]:
    """The same for a name that the owner types; too short a one finds nothing."""
    text = typed.strip()
    if len(text) < searched.SHORTEST:
        return []
    return sales_naming(shop, re.compile(re.escape(text), re.IGNORECASE))


def told(row: Invoice) -> str:
    return "\n".join(str(row.buyer.get(part, "")) for part in TYPED)


@transaction.atomic
def sale_names_erase(*, shop: Shop, by: Person, numbers: Iterable[str]) -> Event:
    """Empty who stands on these sales; their sums and numbers stay."""
    rows = list(named_sales(shop).filter(number__in=list(numbers)))
    if not rows:
        raise Refused(_("Tick the sales whose name is to go."))
    Invoice.objects.filter(pk__in=[row.pk for row in rows]).update(buyer={})
    searched.answers_empty()
    return records.event_record(
        Kind.PERSONAL_ERASED,
        shop_id=shop.pk,
        by_id=by.pk,
        at=timezone.now(),
        codes={"what": "sales"},
        amounts={"rows": len(rows)},
    )
