"""The questions as they stand on the page: folded up, each says its answer."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.dates import WEEKDAYS_ABBR
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.opening.asking import Asking
from shop.opening.hours_form import HoursForm

PLAIN = "opening/_fields.html"


@dataclass(frozen=True)
class Section:
    """One question: what it is, what it says when folded, the forms behind it."""

    key: str
    title: str | Promise
    forms: tuple[Any, ...]
    said: str
    template: str = PLAIN
    note: str | Promise = ""
    number: int = 0

    @property
    def is_wrong(self) -> bool:
        return any(form.errors for form in self.forms)

    def fields(self) -> list[BoundField]:
        return [field for form in self.forms for field in form]


def sections(asking: Asking) -> list[Section]:
    filled = Filled(asking.forms)
    return [replace(make(filled), number=n) for n, make in enumerate(ALL, start=1)]


@dataclass(frozen=True)
class Filled:
    """The forms by name, as they are filled in now."""

    forms: Mapping[str, Any]

    def value(self, form: str, name: str) -> str:
        return str(self.forms[form][name].value() or "").strip()

    def label(self, form: str, name: str) -> str:
        choices = dict(self.forms[form].fields[name].choices)
        own = self.value(form, name)
        return str(choices.get(own, own))

    @property
    def currency(self) -> str:
        return self.value("place", "currency")

    @property
    def paper(self) -> str:
        return self.value("place", "paper_size")


def _address(filled: Filled) -> Section:
    told = (filled.value("address", name) for name in ("street", "town", "phone"))
    return Section(
        "address",
        _("Address, logo, tax id"),
        (filled.forms["address"], filled.forms["logo"]),
        ", ".join(filter(None, told)) or str(_("to be filled in later")),
    )


def _country(filled: Filled) -> Section:
    tax = _("%(name)s %(rate)s %%, prices %(how)s") % {
        "name": filled.value("tax", "tax_name"),
        "rate": filled.value("tax", "tax_percent"),
        "how": filled.label("tax", "prices_with_tax"),
    }
    said = (
        filled.label("country", "country"),
        filled.currency,
        str(tax),
        filled.label("place", "language_1"),
        filled.paper,
        filled.value("place", "time_zone"),
    )
    return Section(
        "country",
        _("Country, tax, paper"),
        tuple(filled.forms[name] for name in ("country", "place", "tax")),
        ", ".join(said),
        template="opening/_country.html",
    )


def _hours(filled: Filled) -> Section:
    return Section(
        "hours",
        _("Opening hours, closed days"),
        (filled.forms["hours"],),
        hours_said(filled.forms["hours"]),
        template="opening/_hours.html",
    )


def _rate(filled: Filled) -> Section:
    return Section(
        "rate",
        _("Hourly rate"),
        (filled.forms["rate"],),
        f"{filled.value('rate', 'hourly_rate')} {filled.currency}",
        note=_("A figure to begin with, not advice: what your hour costs, you know."),
    )


def _fee(filled: Filled) -> Section:
    said = _("%(fee)s %(currency)s for up to %(minutes)s minutes, %(rule)s") % {
        "fee": filled.value("fee", "diagnosis_fee"),
        "currency": filled.currency,
        "minutes": filled.value("fee", "diagnosis_minutes"),
        "rule": filled.label("fee", "fee_rule"),
    }
    return Section("fee", _("Diagnosis fee"), (filled.forms["fee"],), str(said))


def _warranty(filled: Filled) -> Section:
    said = _("%(days)s days, %(liquid)s after liquid") % {
        "days": filled.value("warranty", "warranty_days"),
        "liquid": filled.value("warranty", "liquid_warranty_days"),
    }
    return Section("warranty", _("Warranty"), (filled.forms["warranty"],), str(said))


def _ticket_number(filled: Filled) -> Section:
    return _number(
        filled,
        "ticket",
        _("Next ticket number"),
        _(
            "Printed with a check digit behind it, so that a mistyped number is "
            "noticed: 1 is printed 12, 794 is printed 7946."
        ),
    )


def _invoice_number(filled: Filled) -> Section:
    return _number(
        filled,
        "invoice",
        _("Next invoice number"),
        _("Printed behind the year, without gaps: 318 is printed 2026-0318."),
    )


def _prepayment_number(filled: Filled) -> Section:
    return _number(
        filled,
        "prepayment",
        _("Next prepayment invoice number"),
        _(
            "For shops that bill money before the work is done. A series of its own: "
            "7 is printed P2026-0007."
        ),
    )


def _number(filled: Filled, key: str, title: Promise, note: Promise) -> Section:
    field = OneField(filled.forms["numbers"], f"next_{key}")
    said = filled.value("numbers", field.name)
    return Section(key, title, (field,), said, note=note)


def _texts(filled: Filled) -> Section:
    return Section(
        "texts",
        _("Terms and consent"),
        (filled.forms["texts"],),
        str(_("our plain defaults, until you have read them")),
        note=_(
            "Defaults of ours in plain words. Have them read by somebody who knows "
            "your law. No customer sees them before you have pressed “read and ok”."
        ),
    )


def _people(filled: Filled) -> Section:
    return Section(
        "people",
        _("People"),
        (filled.forms["others"],),
        str(_("you; others can join later")),
        template="opening/_people.html",
    )


def _backup(filled: Filled) -> Section:
    return Section(
        "backup",
        _("Backup"),
        (filled.forms["backup"],),
        filled.value("backup", "backup_place") or str(_("no place yet")),
    )


def _printers(filled: Filled) -> Section:
    has_rolls = filled.forms["printers"]["rolls"].value()
    said = _("%(paper)s and rolls") if has_rolls else _("%(paper)s only")
    return Section(
        "printers",
        _("Printers"),
        (filled.forms["printers"],),
        str(said % {"paper": filled.paper}),
        template="opening/_printers.html",
    )


ALL: Sequence[Callable[[Filled], Section]] = (
    _address,
    _country,
    _hours,
    _rate,
    _fee,
    _warranty,
    _ticket_number,
    _invoice_number,
    _prepayment_number,
    _texts,
    _people,
    _backup,
    _printers,
)


@dataclass(frozen=True)
class OneField:
    """One field of a form, shown as a question of its own."""

    form: forms.Form
    name: str

    def __iter__(self) -> Iterator[BoundField]:
        yield self.form[self.name]

    @property
    def errors(self) -> Any:
        return self.form[self.name].errors


def hours_said(form: HoursForm) -> str:
    """``Mon 09:00 to 17:00, Tue ...`` shortened to the days that are open."""
    open_days = [
        str(WEEKDAYS_ABBR[n])
        for n, (_label, fields) in enumerate(form.days())
        if fields[0].value()
    ]
    first = form["day0_opens_1"].value(), form["day0_closes_1"].value()
    times = f" {first[0]}–{first[1]}" if all(first) else ""
    return ", ".join(open_days) + times if open_days else str(_("closed all week"))
