"""What a customer is handed: rows in plain words and for machines, from the lists.

Of each table what is theirs or of their job; never who of the staff wrote it, nor
what only the program needs.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Model
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from shop.billing.models import Invoice
from shop.intake.counter_models import IntakeDraft
from shop.intake.drafts import fields_of
from shop.intake.event_words import happened
from shop.money import Money
from shop.opening.models import ImportRow
from shop.records.holding import HANDED_OUT, Table
from shop.records.models import Event, Note
from shop.records.sealed import CannotOpen, SealedField, unseal
from shop.rights import said, sales, searched
from shop.rights.tables import ModelClass, of_customers, rows_of
from shop.rights.whom import Whom
from shop.searching.sources import NOTES

NOT_SET: tuple[Any, ...] = (None, "", {}, [])
TO_TICKET = ("ticket_id", "quote", "draft", "invoice")


LINE = ("text", "net_minor")
READ: Mapping[str, Sequence[str]] = {
    "billing.QuoteLine": LINE,
    "billing.QuoteDraftLine": LINE,
    "billing.InvoiceLine": LINE,
    "billing.InvoiceTax": ("taxable_minor", "tax_minor"),
}
ELSEWHERE: Mapping[str, Sequence[str]] = {
    "billing.Invoice": ("seller", "evidence", "texts"),
    "billing.Quote": ("seller",),
    "intake.Signature": ("sealed",),
    "intake.Ticket": ("number", "currency"),  # said beside it
}
MOST_ON_A_LINE = 3
SALES = "(sales)"


@dataclass(frozen=True)
class Row:
    """One row: of which ticket, its columns for machines, and in words."""

    ticket: str
    data: Mapping[str, Any]
    told: list[tuple[str, str]]


@dataclass(frozen=True)
class Part:
    """All rows of one table."""

    name: str
    title: str
    rows: list[Row]

    @property
    def is_short(self) -> bool:
        """Each row fits on one line, and says by itself what it is."""
        return all(len(row.told) <= MOST_ON_A_LINE for row in self.rows)


def parts_of(whom: Whom) -> list[Part]:
    """Everything, by table, those without rows left out."""
    numbers = {ticket.pk: ticket.number for ticket in whom.tickets}
    parts = [
        Part(model._meta.label, _title(model), _rows(model, table, whom, numbers))
        for model, table in of_customers()
        if table.named(*HANDED_OUT) and not table.goes  # the same words once more
    ]
    return [part for part in (*parts, *_searched(whom)) if part.rows]


def _title(model: ModelClass) -> str:
    return str(said.TABLE[model._meta.label])


def _rows(
    model: ModelClass, table: Table, whom: Whom, numbers: Mapping[int, str]
) -> list[Row]:
    rows = rows_of(
        model, table, customers=whom.customer_ids, tickets=whom.ticket_ids
    ).order_by("pk")
    columns = table.named(*HANDED_OUT)
    return [_row(row, columns, numbers) for row in _distinct(rows.iterator())]


def _distinct(rows: Iterator[Model]) -> Iterator[Model]:
    """A way over several tickets may lead to a row twice."""
    seen = set[Any]()
    for row in rows:
        if row.pk not in seen:
            seen.add(row.pk)
            yield row


def _row(row: Model, columns: list[str], numbers: Mapping[int, str]) -> Row:
    data = {name: _value(row, name) for name in columns}
    data = {name: value for name, value in data.items() if value not in NOT_SET}
    is_said = (name for name in data if _is_read(row, name))
    told = [(_label(name), _words(row, name, data[name])) for name in is_said]
    if isinstance(row, Event):
        told = [
            (_label("at"), SPOKEN[datetime](row.at)),
            (_label("kind"), happened(row)),
        ]
    return Row(numbers.get(_ticket_id(row), ""), data, told)


def _is_read(row: Model, name: str) -> bool:
    """What lies beside the page as a drawing or a paper is read there."""
    kind = row._meta.label
    return name in READ.get(kind, (name,)) and name not in ELSEWHERE.get(kind, ())


def _ticket_id(row: Any) -> int:
    """Of the row or of what it is a line of; 0 for none."""
    if row._meta.label == "intake.Ticket":
        return int(row.pk)
    for way in TO_TICKET:
        if hasattr(row, way):
            found = getattr(row, way)
            return int((found if way == "ticket_id" else found.ticket_id) or 0)
    return 0


def _value(row: Model, name: str) -> Any:
    if isinstance(row._meta.get_field(name), SealedField):
        return _opened(row, name)
    return getattr(row, name)


@sensitive_variables()
def _opened(row: Model, name: str) -> str:
    """A sealed column as text; nothing where its key is lost."""
    try:
        return str(unseal(row, name))
    except CannotOpen:
        return ""


def _label(name: str) -> str:
    return str(said.COLUMN[name])


def _words(row: Any, name: str, value: Any) -> str:
    """A value as a person reads it: choices by name, sums with their currency."""
    if name.endswith("_minor") and isinstance(value, int):
        currency = _currency(row)
        return f"{Money.from_minor(value, currency)} {currency}"
    if type(value) in SPOKEN:
        return SPOKEN[type(value)](value)
    if isinstance(row, Note) and name == "kind":
        return str(NOTES.get(value, value)).replace("_", " ")
    if row._meta.get_field(name).choices:
        return str(getattr(row, f"get_{name}_display")())
    return str(value)


SPOKEN: Mapping[type, Callable[[Any], str]] = {
    bool: lambda value: str(_("yes") if value else _("no")),
    datetime: lambda value: date_format(value, "j F Y, H:i"),
    date: lambda value: date_format(value, "j F Y"),
    dict: lambda value: "; ".join(
        f"{name}: {one}" for name, one in value.items() if one not in NOT_SET
    ),
}


def _currency(row: Any) -> str:
    """Of the row, or of the paper or ticket that it belongs to."""
    of = (getattr(row, name, None) for name in ("quote", "ticket"))
    return str(next(one.currency for one in (row, *of) if hasattr(one, "currency")))


def _searched(whom: Whom) -> Iterator[Part]:
    """What is of no one row's customer, and names them all the same.

    Not why they were parted from another: that speaks of the other too.
    """
    shop, named = whom.customer.shop, searched.naming(whom.rows)
    drafts = searched.drafts_naming(shop, named, set(map(str, whom.customer_ids)))
    yield _part(IntakeDraft, [_loose(_flat(fields_of(row))) for row in drafts])
    yield Part(
        f"{Invoice._meta.label} {SALES}",
        str(said.SALES),
        [_sale(row) for row in sales.sales_naming(shop, named)],
    )
    rows = ImportRow.objects.filter(run__shop=shop).exclude(values={})
    told = [row.values for row in rows.iterator() if named.search(searched.told(row))]
    yield _part(ImportRow, [_loose(values) for values in told])


def _sale(row: Invoice) -> Row:
    """A sale at the counter: what was typed of them, and what it came to."""
    data = {
        "number": row.number,
        "issued_at": row.issued_at,
        "buyer": {part: row.buyer.get(part, "") for part in sales.TYPED},
        "total_minor": row.total_minor,
    }
    return Row(
        "", data, [(_label(name), _words(row, name, data[name])) for name in data]
    )


def _flat(fields: Mapping[str, list[str]]) -> dict[str, str]:
    return {name: ", ".join(values) for name, values in fields.items() if any(values)}


def _part(model: ModelClass, rows: list[Row]) -> Part:
    return Part(model._meta.label, _title(model), rows)


def _loose(data: Mapping[str, Any]) -> Row:
    return Row("", data, [(str(name), str(value)) for name, value in data.items()])
