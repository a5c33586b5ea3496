"""The messages' texts: their fields are checked, and each is shown as it reads."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django import forms
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.billing.wording import long_date
from shop.intake.slip_links import house_address
from shop.money import Money
from shop.opening.forms import TextsForm
from shop.people.models import Shop, TextKind
from shop.people.opening_hours import week_said
from shop.people.text_fields import MESSAGES, allowed, fill, subject_and_body, unknown
from shop.shown import date_format


@dataclass(frozen=True)
class Preview:
    """One message: its field, and how it reads with made-up values."""

    field: forms.BoundField
    subject: str
    body: str
    fields: tuple[str, ...]


class MessageTextsForm(TextsForm):
    """The messages in one language. The first line is the subject."""

    kinds = tuple(kind for kind in TextKind if kind in MESSAGES)

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shop = shop

    def clean(self) -> dict[str, Any]:
        for kind in self.kinds:
            name = self.name_of(kind)
            if strange := unknown(kind, self.cleaned_data.get(name, "")):
                said = {"what": strange[0], "fields": said_fields(kind)}
                self.add_error(
                    name, _("%(what)s is no field here. There are %(fields)s.") % said
                )
        return self.cleaned_data

    def previews(self) -> Iterator[Preview]:
        values = sample(self.shop, self.language)
        for kind in self.kinds:
            field = self[self.name_of(kind)]
            text = str(field.value() or "").replace("\r\n", "\n")
            subject, body = subject_and_body(fill(kind, text, values))
            yield Preview(field, subject, body, allowed(kind))


def said_fields(kind: str) -> str:
    return ", ".join(f"{{{name}}}" for name in allowed(kind))


def sample(shop: Shop, language: str) -> Mapping[str, str]:
    """Values of nobody's ticket, dates and sums as in the customer's language."""
    with translation.override(language), timezone.override(shop.zone):
        today = timezone.localdate()
        soon = timezone.localtime() + timedelta(days=5)
        moment = date_format(soon.replace(hour=17, minute=0), "l j F, H:i")
        return {
            "customer": "Ada Pell",
            "device": "Orrin 14",
            "ticket": "7946",
            "shop": shop.name,
            "phone": shop.phone,
            "hours": ", ".join(week_said(shop)),
            "link": f"{house_address()}/slip/…",
            "first_word": moment,
            "promise": moment,
            "waits_for": _("a part on order"),
            "total": f"{Money.of(184, shop.currency)} {shop.currency}",
            "valid_until": long_date(today + timedelta(days=14)),
            "owing": f"{Money.of(149, shop.currency)} {shop.currency}",
            "invoice": f"{today.year}-0318",
            "stays": "",
            "result": _("It is repaired and tested."),
            "ready_since": long_date(today - timedelta(days=7)),
            "warranty_until": long_date(today + timedelta(days=90)),
            "month": date_format(today, "F Y"),
            "first": long_date(today.replace(day=1)),
            "last": long_date(today),
            "balance": f"{Money.of(149, shop.currency)} {shop.currency}",
            "invoice_day": long_date(today - timedelta(days=30)),
            "due_day": long_date(today - timedelta(days=16)),
            "account": shop.account,
        }
