"""The tables of a set of terms: markup, rates by kind and person, fixed prices.

A row that is emptied is left out. A table that was not sent stays as it was.
"""

from collections.abc import Iterable
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.billing.models import LabourKind
from shop.intake.fields import text
from shop.money import Money
from shop.money_fields import InCurrency, MoneyField
from shop.opening.forms import whole
from shop.people.models import Person, Terms
from shop.people.terms_services import Tables

EMPTY_ROWS, MOST_ROWS = 2, 60
UNPAID = {LabourKind.WARRANTY, LabourKind.MACHINE}
KINDS = [
    ("", gettext_lazy("all work")),
    *((kind.value, kind.label) for kind in LabourKind if kind not in UNPAID),
]


class RowForm(InCurrency):
    """``is_row`` names the fields of which one makes the row one."""

    is_row: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()

    def clean(self) -> dict[str, Any]:
        typed = self.cleaned_data
        if any(typed.get(name) not in (None, "") for name in self.is_row):
            for name in self.needs:
                if typed.get(name) in (None, "") and name not in self.errors:
                    self.add_error(name, _("This field is required."))
        return typed

    @property
    def is_filled(self) -> bool:
        typed = getattr(self, "cleaned_data", {})
        return all(typed.get(name) not in (None, "") for name in self.needs)


class TierForm(RowForm):
    is_row, needs = ("percent", "cost_below", "least"), ("percent",)

    cost_below = MoneyField(label=gettext_lazy("Cost below"), required=False)
    percent = whole(gettext_lazy("Markup, %"), 1000, required=False)
    least = MoneyField(label=gettext_lazy("Price at least"), required=False)

    def columns(self) -> dict[str, Any]:
        below, least = self.cleaned_data["cost_below"], self.cleaned_data["least"]
        return {
            "cost_below_minor": None if below is None else below.minor,
            "percent": self.cleaned_data["percent"],
            "minimum_minor": 0 if least is None else least.minor,
        }

    def mark(self) -> object:
        return self.columns()["cost_below_minor"]


class LabourForm(RowForm):
    is_row, needs = ("rate", "kind", "person"), ("rate",)

    kind = forms.ChoiceField(
        label=gettext_lazy("Kind of work"), choices=KINDS, required=False
    )
    person = forms.ModelChoiceField(
        label=gettext_lazy("Person"),
        queryset=Person.objects.none(),
        required=False,
        empty_label=gettext_lazy("everybody"),
    )
    rate = MoneyField(label=gettext_lazy("An hour"), required=False)

    def __init__(self, *args: Any, people: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = people  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        is_usual = not typed.get("kind") and typed.get("person") is None
        if typed.get("rate") is not None and is_usual:
            self.add_error("kind", _("For all work of everybody there is the rate."))
        return typed

    def columns(self) -> dict[str, Any]:
        person = self.cleaned_data["person"]
        return {
            "kind": self.cleaned_data["kind"],
            "person_id": None if person is None else person.pk,
            "rate_minor": self.cleaned_data["rate"].minor,
        }

    def mark(self) -> object:
        columns = self.columns()
        return columns["kind"], columns["person_id"]


class FixedForm(RowForm):
    is_row, needs = ("name", "price", "minutes"), ("name", "price", "minutes")

    name = text(gettext_lazy("Job"), 120)
    price = MoneyField(label=gettext_lazy("Price, before tax"), required=False)
    minutes = whole(gettext_lazy("Usual minutes"), 6000, least=1, required=False)

    def columns(self) -> dict[str, Any]:
        return {
            "name": self.cleaned_data["name"],
            "price_minor": self.cleaned_data["price"].minor,
            "minutes": self.cleaned_data["minutes"],
        }

    def mark(self) -> object:
        return self.columns()["name"]


class Rows(forms.BaseFormSet):  # type: ignore[type-arg]  # not at run time
    def clean(self) -> None:
        """Each thing is said once."""
        seen = set[object]()
        for form in self.filled():
            if form.mark() in seen:
                form.add_error(None, _("This row stands there twice."))
            seen.add(form.mark())

    def filled(self) -> list[Any]:
        return [one for one in self.forms if not one.errors and one.is_filled]

    def columns(self) -> list[dict[str, Any]]:
        return [form.columns() for form in self.filled()]


class TablesForm:
    """The three tables of the rates page, as one."""

    def __init__(self, data: QueryDict | None, terms: Terms, currency: str) -> None:
        people = Person.objects.filter(memberships__shop=terms.shop).distinct()
        self.tiers = _rows(TierForm, data, "tier", _tiers(terms, currency), currency)
        self.labour = _rows(
            LabourForm,
            data,
            "labour",
            _labour(terms, currency),
            currency,
            people=people.order_by("name", "id"),
        )
        self.fixed = _rows(FixedForm, data, "fixed", _fixed(terms, currency), currency)

    def is_valid(self) -> bool:
        return all([one.is_valid() for one in self._sent()])  # noqa: C419  all errors

    def tables(self) -> Tables:
        return Tables(
            tiers=_sent_or_none(self.tiers),
            labour_rates=_sent_or_none(self.labour),
            fixed_jobs=_sent_or_none(self.fixed),
        )

    def _sent(self) -> list[Rows]:
        every = (self.tiers, self.labour, self.fixed)
        return [one for one in every if one.is_bound]


def _sent_or_none(rows: Rows) -> list[dict[str, Any]] | None:
    return rows.columns() if rows.is_bound else None


def _rows(
    form: type[RowForm],
    data: QueryDict | None,
    prefix: str,
    initial: Iterable[dict[str, Any]],
    currency: str,
    **more: Any,
) -> Rows:
    made = forms.formset_factory(
        form,
        formset=Rows,
        extra=EMPTY_ROWS,
        max_num=MOST_ROWS,
        absolute_max=MOST_ROWS,
        validate_max=True,
    )
    is_sent = data is not None and f"{prefix}-TOTAL_FORMS" in data
    return cast(
        Rows,
        made(
            data if is_sent else None,
            prefix=prefix,
            initial=list(initial),
            form_kwargs={"currency": currency, **more},
        ),
    )


def _tiers(terms: Terms, currency: str) -> Iterable[dict[str, Any]]:
    for row in terms.markup_tiers.order_by("id"):
        below = row.cost_below_minor
        yield {
            "cost_below": None if below is None else Money.from_minor(below, currency),
            "percent": row.percent,
            "least": Money.from_minor(row.minimum_minor, currency),
        }


def _labour(terms: Terms, currency: str) -> Iterable[dict[str, Any]]:
    for row in terms.labour_rates.all():
        rate = Money.from_minor(row.rate_minor, currency)
        yield {"kind": row.kind, "person": row.person_id, "rate": rate}


def _fixed(terms: Terms, currency: str) -> Iterable[dict[str, Any]]:
    for row in terms.fixed_jobs.all():
        price = Money.from_minor(row.price_minor, currency)
        yield {"name": row.name, "price": price, "minutes": row.minutes}
