"""The questions of the set-up: their forms, and what they begin with."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict

from shop.money import Money
from shop.opening import forms as asked
from shop.opening.countries import Country, countries, starting
from shop.opening.default_texts import has_ours, ours
from shop.opening.hours_form import HoursForm, usual_week
from shop.opening.people_form import OthersForm, OwnerForm
from shop.opening.services import MARKUP, Owner, series_of
from shop.people.models import Role, TextKind

Files: TypeAlias = "MultiValueDict[str, UploadedFile[bytes]] | None"
NEVER_KEPT = {"csrfmiddlewaretoken", "then", "key", "password"}
MANY = {"rolls", "also"}


@dataclass
class Asking:
    """All the forms, bound to what was typed or begun with ``initial``."""

    data: QueryDict | None
    files: Files
    initial: Mapping[str, Any]
    forms: dict[str, Any] = field(init=False)

    def __post_init__(self) -> None:
        more: dict[str, Any] = {"data": self.data, "initial": self.initial}
        currency = self._currency()
        self.forms = {
            "name": asked.NameForm(**more),
            "owner": OwnerForm(**more),
            "address": asked.AddressForm(**more),
            "logo": asked.LogoForm(**more, files=self.files),
            "country": asked.CountryForm(**more),
            "place": asked.PlaceForm(**more),
            "tax": asked.TaxForm(**more),
            "hours": HoursForm(**more),
            "rate": asked.RateForm(**more, currency=currency),
            "fee": asked.FeeForm(**more, currency=currency),
            "warranty": asked.WarrantyForm(**more),
            "numbers": asked.NumbersForm(**more),
            "texts": asked.TextsForm(**more, language=self._language()),
            "others": OthersForm(**more),
            "backup": asked.BackupForm(**more),
            "printers": asked.PrintersForm(**more),
        }

    def _currency(self) -> str:
        typed = self.data.get("currency", "") if self.data else ""
        return typed or str(self.initial.get("currency", ""))

    def _language(self) -> str:
        """Of the texts: those on the page, else the shop's first one that we speak."""
        names = (f"language_{n}" for n in (1, 2, 3))
        first = has_ours(str(self.initial.get(name, "")) for name in names)[0]
        asked_in = (code for code in dict(settings.LANGUAGES) if self._is_asked(code))
        return next(asked_in, first)

    def _is_asked(self, language: str) -> bool:
        return self.data is not None and f"{TextKind.JOB_TERMS}_{language}" in self.data

    def is_valid(self) -> bool:
        return all(
            [form.is_valid() for form in self.forms.values()]  # noqa: C419  all speak
        )

    def refuse(self, name: str | None, message: str) -> None:
        """A service's refusal, beside its field."""
        named = [form for form in self.forms.values() if name in form.fields]
        form = named[0] if named else self.forms["name"]
        form.add_error(name if named else None, message)

    def answers(self) -> dict[str, Any]:
        """What ``shop_open`` wants to know; only after ``is_valid``."""
        clean = {key: form.cleaned_data for key, form in self.forms.items()}
        owner, logo = clean["owner"], clean["logo"]["logo"]
        currency = clean["place"]["currency"]
        return {
            "shop": {
                **clean["name"],
                **clean["address"],
                **clean["country"],
                **self.forms["place"].columns(),
                **clean["backup"],
                **self.forms["printers"].columns(),
            },
            "owner": Owner(
                owner["your_name"],
                owner["username"],
                owner["password"],
                self.forms["owner"].roles(),
            ),
            "others": self.forms["others"].newcomers(owner["username"]),
            "terms": {
                **self.forms["tax"].columns(),
                **clean["warranty"],
                "hourly_rate_minor": clean["rate"]["hourly_rate"].minor,
                "diagnosis_fee_minor": clean["fee"]["diagnosis_fee"].minor,
                "diagnosis_minutes": clean["fee"]["diagnosis_minutes"],
                "fee_rule": clean["fee"]["fee_rule"] or "kept",
            },
            "tiers": tiers_in(currency),
            "week": list(self.forms["hours"].week()),
            "closed": list(self.forms["hours"].closed()),
            "texts": self.forms["texts"].texts(),
            "series": series_of(**clean["numbers"]),
            "logo": logo.read(2_000_001) if logo else b"",
        }


def tiers_in(currency: str) -> list[dict[str, Any]]:
    """The brief's tiers of markup, at this currency's order of magnitude."""
    scale = starting(currency)[0] / starting("EUR")[0]

    def minor(amount: int) -> int:
        return Money.of(amount * scale, currency).minor

    return [
        {
            "cost_below_minor": None if below is None else minor(below),
            "percent": percent,
            "minimum_minor": minor(least),
        }
        for below, percent, least in MARKUP
    ]


def beginning(country: Country) -> dict[str, Any]:
    """Every question's default, for a shop in this country."""
    texts = {
        f"{kind}_{language}": text
        for language, _name in settings.LANGUAGES
        for kind, text in ours(language).items()
    }
    return {
        **asked.initial_of_country(country),
        **usual_week(),
        **rates_in(country.currency),
        **texts,
        "diagnosis_minutes": 45,
        "fee_rule": "kept",
        "warranty_days": 90,
        "liquid_warranty_days": 30,
        "next_ticket": 1,
        "next_invoice": 1,
        "next_prepayment": 1,
        "also": [Role.FRONT_DESK.value, Role.TECHNICIAN.value],
        "rolls": [],
    }


def rates_in(currency: str) -> dict[str, str]:
    rate, fee = (Money.of(amount, currency) for amount in starting(currency))
    return {"hourly_rate": str(rate.amount), "diagnosis_fee": str(fee.amount)}


def filled_from(code: str) -> dict[str, Any]:
    """What choosing a country writes over."""
    country = countries().get(code)
    if country is None:
        return {}
    return asked.initial_of_country(country) | rates_in(country.currency)


def draft_of(data: QueryDict) -> dict[str, Any]:
    """What was typed so far, without what must not lie about."""
    return {
        name: data.getlist(name) if is_many(name) else data[name][:5000]
        for name in data
        if name not in NEVER_KEPT
    }


def is_many(name: str) -> bool:
    return name in MANY or name.endswith("_roles")
