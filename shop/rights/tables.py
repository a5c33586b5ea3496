"""The rooms' lists together: each model of the house with what its columns hold."""

from collections.abc import Iterator, Sequence
from typing import Any, TypeAlias

from django.apps import apps
from django.db.models import JSONField, Model, QuerySet

from diagnostics import holds as of_diagnostics
from shop.billing import holds as of_billing
from shop.books import holds as of_books
from shop.intake import holds as of_intake
from shop.office import holds as of_office
from shop.opening import holds as of_opening
from shop.people import holds as of_people
from shop.photos import holds as of_photos
from shop.printing import holds as of_printing
from shop.records import holds as of_records
from shop.records.holding import OF_A_PERSON, Table
from shop.rights import holds as of_rights
from shop.searching import holds as of_searching

# In the order in which they are handed out: who, what, then what happened.
ROOMS: dict[str, dict[str, Table]] = {
    "intake": of_intake.TABLES,
    "records": of_records.TABLES,
    "billing": of_billing.TABLES,
    "books": of_books.TABLES,
    "photos": of_photos.TABLES,
    "diagnostics": of_diagnostics.TABLES,
    "people": of_people.TABLES,
    "printing": of_printing.TABLES,
    "searching": of_searching.TABLES,
    "office": of_office.TABLES,
    "opening": of_opening.TABLES,
    "rights": of_rights.TABLES,
    **of_rights.OF_PACKAGES,
}
ModelClass: TypeAlias = type[Model]
Rows: TypeAlias = "QuerySet[Any]"


def tables() -> Iterator[tuple[ModelClass, Table]]:
    """Every classified model, in the order of ``ROOMS``."""
    for label, models in ROOMS.items():
        for name, table in models.items():
            yield apps.get_model(label, name), table


def of_customers() -> Iterator[tuple[ModelClass, Table]]:
    """The tables whose rows belong to one customer or ticket."""
    yield from ((m, t) for m, t in tables() if t.is_of_a_customer)


def rows_of(
    model: ModelClass,
    table: Table,
    *,
    customers: Sequence[int] = (),
    tickets: Sequence[int] = (),
) -> Rows:
    """The rows of these customers and of these tickets."""
    rows = model._default_manager.all()
    ways = {table.of_customer: customers, table.of_ticket: tickets}
    wanted = [rows.filter(**{f"{way}__in": ids}) for way, ids in ways.items() if way]
    if len(wanted) < 2:
        return wanted[0] if wanted else rows.none()
    # Either way by its index: asked with an OR over a join, databases read it all.
    either = (one.order_by().values("pk") for one in wanted)
    return rows.filter(pk__in=next(either).union(*either))


def empty(model: ModelClass, column: str) -> Any:
    """What stands in a column of which nothing is left."""
    field: Any = model._meta.get_field(column)
    if field.null:
        return None
    if isinstance(field, JSONField):
        return {}
    return b"" if field.get_internal_type() == "BinaryField" else ""


def unclassified() -> list[str]:
    """What is wrong with the lists, in words for who added a model or a column."""
    listed = dict(tables())
    wrong = []
    for model in apps.get_models(include_auto_created=True):
        label = model._meta.label
        held = {field.name for field in model._meta.concrete_fields}
        if model not in listed:
            wrong.append(f"{label} is in no holds.py: say what its columns hold.")
            continue
        table = listed[model]
        wrong += [
            f"{label}.{name} is classified nowhere: name it in holds.py of its room."
            for name in sorted(held - set(table.columns))
        ]
        wrong += [
            f"{label}.{name} is in holds.py, but the model has no such column."
            for name in sorted(set(table.columns) - held)
        ]
        wrong += _astray(label, table)
    return wrong


# Personal, and of no one row's customer: ``searched`` looks through them.
SEARCHED = {
    "records.KeptAnswer",
    "intake.IntakeDraft",
    "opening.ImportRun",
    "opening.ImportRow",
}


def _astray(label: str, table: Table) -> list[str]:
    has_personal = any(kind in OF_A_PERSON for kind in table.columns.values())
    if has_personal and not table.is_of_a_customer and label not in SEARCHED:
        told = f"{label} holds personal columns, and nothing says whose: give its "
        told += "of_customer or of_ticket, or search it (shop/rights/searched.py)."
        return [told]
    return []
