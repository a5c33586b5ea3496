"""What the set-up and the settings ask: cleaning only. One form a question."""

from decimal import Decimal
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.conf.locale import LANG_INFO
from django.core.validators import RegexValidator
from django.utils.text import capfirst
from django.utils.translation import gettext, override
from django.utils.translation import gettext_lazy as _

from shop.intake.fields import choice, text
from shop.money import Money
from shop.money_fields import InCurrency, MoneyField, NumberField
from shop.opening.countries import Country, countries
from shop.people import ids, text_fields
from shop.people.languages import named, spoken
from shop.people.models import FeeRule, Shop, Terms, TextKind

CURRENCY_CODE = RegexValidator(r"^[A-Z]{3}$", _("Three capital letters, as in EUR."))
LONGEST_SHOP_TEXT = 4000
MISTYPED_VAT_ID = _("This VAT id is mistyped: its check digits don’t fit.")
NO_LANGUAGE = ("", "—")
TAG_ROLL, RECEIPT_ROLL = "tag_62", "receipt_80"
ROLLS = [
    (TAG_ROLL, _("62 mm roll for bag tags")),
    (RECEIPT_ROLL, _("80 mm roll for receipts")),
]
FEE_RULES = FeeRule.choices
YES_NO = [("yes", _("with tax")), ("no", _("before tax"))]


def languages() -> list[tuple[str, str]]:
    codes = (code for code, info in LANG_INFO.items() if "name_local" in info)
    plain = named(code for code in codes if "-" not in code)
    return sorted(plain, key=lambda one: one[1].casefold())


def whole(label: Any, most: int, *, least: int = 0, **more: Any) -> forms.IntegerField:
    """A whole number, typed as text: no arrows that a wheel turns."""
    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
    return forms.IntegerField(
        label=label, min_value=least, max_value=most, widget=widget, **more
    )


class AddressForm(forms.Form):
    street = text(_("Street"), 200)
    town = text(_("Postcode and town"), 200)
    phone = text(_("Phone"), 40)
    email = forms.EmailField(label=_("E-mail"), required=False, max_length=254)
    tax_id = text(_("Tax id"), 40)
    account = text(_("Bank account, as invoices print it"), 60)
    account.help_text = _("With an IBAN, invoices in euros carry a code for bank apps.")

    def clean_account(self) -> str:
        """An IBAN is right or it is none; what stood there before may stay."""
        account: str = self.cleaned_data["account"]
        try:
            if "account" in self.changed_data:
                ids.iban_of(account)
        except ids.WrongId:
            raise forms.ValidationError(
                _("This IBAN is mistyped: its check digits don’t fit.")
            ) from None
        return account

    def clean(self) -> dict[str, Any]:
        """A VAT id is looked at by the rule of the shop's country."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        try:
            if "tax_id" in self.changed_data:
                ids.vat_id_of(typed.get("tax_id", ""), self.data.get("country", ""))
        except ids.WrongId:
            self.add_error("tax_id", MISTYPED_VAT_ID)
        return typed


class LogoForm(forms.Form):
    logo = forms.FileField(
        label=_("Logo"),
        required=False,
        help_text=_("PNG or JPEG, up to 2 MB. We draw it anew for your papers."),
    )


class PlaceForm(forms.Form):
    """What the country fills in; all of it can be changed."""

    currency = forms.CharField(
        label=_("Currency"), max_length=3, validators=[CURRENCY_CODE]
    )
    paper_size = choice(_("Paper"), Shop.PaperSize.choices, initial="A4")
    language_1 = forms.ChoiceField(label=_("Customers’ usual language"))
    language_2 = forms.ChoiceField(label=_("Also"), required=False)
    language_3 = forms.ChoiceField(label=_("And"), required=False)
    time_zone = forms.ChoiceField(label=_("Time zone"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].choices = [  # type: ignore[attr-defined]
            (zone, zone) for zone in sorted(available_timezones()) if "/" in zone
        ] + [("UTC", "UTC")]
        for name in ("language_1", "language_2", "language_3"):
            offered = (
                languages() if name == "language_1" else [NO_LANGUAGE, *languages()]
            )
            self.fields[name].choices = offered  # type: ignore[attr-defined]

    def columns(self) -> dict[str, str]:
        typed = self.cleaned_data
        spoken = (typed["language_1"], typed["language_2"], typed["language_3"])
        return {
            **{name: typed[name] for name in ("currency", "paper_size", "time_zone")},
            "languages": " ".join(dict.fromkeys(filter(None, spoken))),
        }


class TaxForm(forms.Form):
    tax_percent = NumberField(label=_("Tax rate in per cent"), digits=2, most=100)
    tax_name = text(_("Tax is called"), 20, is_needed=True)
    prices_with_tax = choice(_("We say our prices"), YES_NO, initial="no")

    def columns(self) -> dict[str, Any]:
        typed = self.cleaned_data
        return {
            "tax_basis_points": int(typed["tax_percent"] * 100),
            "tax_name": typed["tax_name"],
            "prices_with_tax": typed["prices_with_tax"] == "yes",
        }


class RateForm(InCurrency):
    hourly_rate = MoneyField(label=_("Hourly rate, before tax"))


class FeeForm(InCurrency):
    diagnosis_fee = MoneyField(label=_("Diagnosis fee, before tax"))
    diagnosis_minutes = whole(_("It covers up to, in minutes"), 600, least=1)
    fee_rule = choice(_("The fee is"), FEE_RULES, initial=FeeRule.KEPT)


class WarrantyForm(forms.Form):
    warranty_days = whole(_("Warranty on a repair, in days"), 3650)
    liquid_warranty_days = whole(_("After liquid damage, in days"), 3650)


class NumbersForm(forms.Form):
    """Where old series go on; letters can't, and the page says so."""

    next_ticket = forms.CharField(label=_("Next ticket number"), max_length=12)
    next_invoice = forms.CharField(label=_("Next invoice number"), max_length=12)
    next_prepayment = forms.CharField(
        label=_("Next prepayment invoice number"), max_length=12, required=False
    )

    def clean_next_ticket(self) -> int:
        return self._digits("next_ticket")

    def clean_next_invoice(self) -> int:
        return self._digits("next_invoice")

    def clean_next_prepayment(self) -> int:
        """Most shops never had one: left empty they begin at 1."""
        if not self.cleaned_data["next_prepayment"].strip():
            return 1
        return self._digits("next_prepayment")

    def _digits(self, name: str) -> int:
        typed: str = self.cleaned_data[name].strip()
        is_number = typed.isascii() and typed.isdigit() and int(typed) > 0
        if not is_number:
            raise forms.ValidationError(
                _(
                    "Digits only. Letters and dashes of an old series can’t go on: "
                    "write the number behind them, such as 318 for R-2025-0318."
                )
            )
        return int(typed)


class TextsForm(forms.Form):
    """The shop's texts in one language: those of its papers."""

    kinds = tuple(kind for kind in TextKind if kind not in text_fields.MESSAGES)

    def __init__(self, *args: Any, language: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.language = language
        for kind in self.kinds:
            self.fields[self.name_of(kind)] = forms.CharField(
                label=capfirst(str(kind.label)),
                max_length=300 if kind == TextKind.QUOTE_RISK else LONGEST_SHOP_TEXT,
                required=False,
                widget=forms.Textarea(attrs={"rows": 5, "dir": "auto"}),
            )

    def name_of(self, kind: str) -> str:
        return f"{TextKind(kind).value}_{self.language}"

    def texts(self) -> dict[tuple[str, str], str]:
        return {
            (kind.value, self.language): self.cleaned_data[self.name_of(kind)]
            for kind in self.kinds
        }


class BackupForm(forms.Form):
    backup_place = forms.CharField(
        label=_("Folder for backups"),
        max_length=300,
        required=False,
        help_text=_(
            "On another disk, such as /mnt/backup. It is tried at once: written, read "
            "back. Empty: later."
        ),
    )


class PrintersForm(forms.Form):
    rolls = forms.MultipleChoiceField(
        label=_("Besides A4 or Letter"),
        choices=ROLLS,
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )

    def columns(self) -> dict[str, str]:
        return {"rolls": " ".join(self.cleaned_data["rolls"])}


def country_choices() -> list[tuple[str, str]]:
    named = [(one.code, gettext(one.name)) for one in countries().values()]
    return sorted(named, key=lambda one: one[1].casefold())


def initial_of_country(country: Country) -> dict[str, Any]:
    codes = [*country.languages, *(["en"] if "en" not in country.languages else [])]
    codes = [code for code in codes if code in dict(languages())][:3]
    chosen = {f"language_{n}": code for n, code in enumerate(codes, start=1)}
    with override(spoken(codes[0])):
        tax_name = gettext(country.tax_name)
    return {
        "country": country.code,
        "currency": country.currency,
        "paper_size": country.paper,
        "time_zone": country.zones[0],
        "tax_percent": f"{country.tax:f}",
        "tax_name": tax_name,
        "prices_with_tax": "yes" if country.with_tax else "no",
        **chosen,
    }


def initial_of_shop(shop: Shop) -> dict[str, Any]:
    names = ("name", "street", "town", "phone", "email", "tax_id", "account")
    more = ("country", "currency", "paper_size", "time_zone", "backup_place")
    spoken = dict(enumerate(shop.language_codes, start=1))
    return {
        **{name: getattr(shop, name) for name in (*names, *more)},
        **{f"language_{n}": spoken.get(n, "") for n in (1, 2, 3)},
        "rolls": shop.rolls.split(),
    }


def initial_of_terms(terms: Terms, currency: str) -> dict[str, Any]:
    return {
        "hourly_rate": Money.from_minor(terms.hourly_rate_minor, currency),
        "cost_rate": None
        if terms.cost_rate_minor is None
        else Money.from_minor(terms.cost_rate_minor, currency),
        "diagnosis_fee": Money.from_minor(terms.diagnosis_fee_minor, currency),
        "diagnosis_minutes": terms.diagnosis_minutes,
        "fee_rule": terms.fee_rule,
        "warranty_days": terms.warranty_days,
        "liquid_warranty_days": terms.liquid_warranty_days,
        "tax_percent": f"{(Decimal(terms.tax_basis_points) / 100).normalize():f}",
        "tax_name": terms.tax_name,
        "prices_with_tax": "yes" if terms.prices_with_tax else "no",
        "untaxed_as": terms.untaxed_as,
        "untaxed_reason": terms.untaxed_reason,
        "first_word_days": terms.first_word_days,
        "quote_reminder_days": terms.quote_reminder_days,
        "unclaimed_first_days": terms.unclaimed_first_days,
        "unclaimed_second_days": terms.unclaimed_second_days,
        "unclaimed_last_days": terms.unclaimed_last_days,
        "increment_minutes": terms.increment_minutes,
        "minimum": Money.from_minor(terms.minimum_minor, currency),
        "consumables": Money.from_minor(terms.consumables_minor, currency),
        "express_percent": terms.express_percent,
        "no_fix_rule": terms.no_fix_rule,
        "cap_percent": terms.cap_percent,
        "quote_valid_days": terms.quote_valid_days,
    }


class NameForm(forms.Form):
    name = text(_("Name of the shop"), 200, is_needed=True)


class CountryForm(forms.Form):
    country = forms.ChoiceField(label=_("Country"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["country"].choices = country_choices()  # type: ignore[attr-defined]
