"""Rows of papers whose names are due to go, and the emptying of them.

Issued papers are protected by triggers that let just these columns be emptied; what
proves that a machine became the shop's is kept as long as papers are.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from django.apps import apps
from django.db.models import Model, Q

from shop.people.models import Shop
from shop.records.holding import Holds
from shop.rights.tables import ModelClass, empty, tables

# When a paper was issued, of every table that holds names for papers.
ISSUED: Mapping[str, str] = {
    "billing.Invoice": "issued_at",
    "billing.Quote": "sent_at",
    "billing.QuoteDraft": "at",
    "billing.Payment": "at",
    "intake.Handover": "at",
    "intake.Signature": "at",
}


def papers_due(shop: Shop, before: datetime) -> Iterator[Model]:
    """Every row of a paper issued before that moment that still names somebody."""
    for model, columns, paper_if in _papers():
        at = ISSUED[model._meta.label]
        full = Q(pk__in=[])
        for name in columns:
            full |= ~Q(**{name: empty(model, name)})
        of_shop = {"shop": shop} if _has_shop(model) else {"ticket__shop": shop}
        rows = model._default_manager.filter(
            full, **{f"{at}__lt": before}, **of_shop, **paper_if
        )
        yield from rows.order_by(at, "pk").iterator()


def _papers() -> Iterator[tuple[ModelClass, list[str], Mapping[str, object]]]:
    for model, table in tables():
        if columns := table.named(Holds.PAPER):
            yield model, columns, {}
        elif table.paper_if:
            yield model, table.named(Holds.CUSTOMER), table.paper_if


def _has_shop(model: ModelClass) -> bool:
    return any(field.name == "shop" for field in model._meta.concrete_fields)


def papers_empty(rows: Iterable[Model]) -> int:
    """One UPDATE a table, which names these columns and no other."""
    ids: dict[str, list[Any]] = {}
    for row in rows:
        ids.setdefault(row._meta.label, []).append(row.pk)
    count = 0
    for label, pks in ids.items():
        model = apps.get_model(label)
        columns = next(names for kind, names, _if in _papers() if kind is model)
        emptied = {name: empty(model, name) for name in columns}
        count += model._default_manager.filter(pk__in=pks).update(**emptied)
    return count
