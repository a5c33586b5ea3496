"""The twelve questions as they stand on the page: folded up, each says its answer."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
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
    numbered = enumerate(_sections(asking.forms), start=1)
    return [
        Section(s.key, s.title, s.forms, s.said, s.template, s.note, number)
        for number, s in numbered
    ]


def _sections(f: Mapping[str, Any]) -> Iterator[Section]:
    def value(form: str, name: str) -> str:
        return str(f[form][name].value() or "").strip()

    def label(form: str, name: str) -> str:
        choices = dict(f[form].fields[name].choices)
        return str(choices.get(value(form, name), value(form, name)))

    currency = value("place", "currency")
    address = (value("address", n) for n in ("street", "town", "phone"))
    yield Section(
        "address",
        _("Address, logo, tax id"),
        (f["address"], f["logo"]),
        ", ".join(filter(None, address)) or str(_("to be filled in later")),
    )
    tax = _("%(name)s %(rate)s %%, prices %(how)s") % {
        "name": value("tax", "tax_name"),
        "rate": value("tax", "tax_percent"),
        "how": label("tax", "prices_with_tax"),
    }
    yield Section(
        "country",
        _("Country, tax, paper"),
        (f["country"], f["place"], f["tax"]),
        ", ".join(
            (
                label("country", "country"),
                currency,
                str(tax),
                label("place", "language_1"),
                value("place", "paper_size"),
                value("place", "time_zone"),
            )
        ),
        template="opening/_country.html",
    )
    yield Section(
        "hours",
        _("Opening hours, closed days"),
        (f["hours"],),
        hours_said(f["hours"]),
        template="opening/_hours.html",
    )
    yield Section(
        "rate",
        _("Hourly rate"),
        (f["rate"],),
        f"{value('rate', 'hourly_rate')} {currency}",
        note=_("A figure to begin with, not advice: what your hour costs, you know."),
    )
    yield Section(
        "fee",
        _("Diagnosis fee"),
        (f["fee"],),
        str(
            _("%(fee)s %(currency)s for up to %(minutes)s minutes, %(rule)s")
            % {
                "fee": value("fee", "diagnosis_fee"),
                "currency": currency,
                "minutes": value("fee", "diagnosis_minutes"),
                "rule": label("fee", "fee_rule"),
            }
        ),
    )
    yield Section(
        "warranty",
        _("Warranty"),
        (f["warranty"],),
        str(
            _("%(days)s days, %(liquid)s after liquid")
            % {
                "days": value("warranty", "warranty_days"),
                "liquid": value("warranty", "liquid_warranty_days"),
            }
        ),
    )
    yield from _numbers(f["numbers"])
    yield Section(
        "texts",
        _("Terms and consent"),
        (f["texts"],),
        str(_("our plain defaults, until you have read them")),
        note=_(
            "Defaults of ours in plain words. Have them read by somebody who knows "
            "your law. No customer sees them before you have pressed “read and ok”."
        ),
    )
    yield Section(
        "people",
        _("People"),
        (f["others"],),
        str(_("you; others can join later")),
        template="opening/_people.html",
    )
    yield Section(
        "backup",
        _("Backup"),
        (f["backup"],),
        value("backup", "backup_place") or str(_("no place yet")),
    )
    yield Section(
        "printers",
        _("Printers"),
        (f["printers"],),
        str(_("%(paper)s only") % {"paper": value("place", "paper_size")})
        if not f["printers"]["rolls"].value()
        else value("place", "paper_size") + str(_(" and rolls")),
        template="opening/_printers.html",
    )


def _numbers(form: forms.Form) -> Iterator[Section]:
    said = str(form["next_ticket"].value() or "")
    yield Section(
        "ticket",
        _("Next ticket number"),
        (OneField(form, "next_ticket"),),
        said,
        note=_(
            "Printed with a check digit behind it, so that a mistyped number is "
            "noticed: 1 is printed 12, 794 is printed 7946."
        ),
    )
    yield Section(
        "invoice",
        _("Next invoice number"),
        (OneField(form, "next_invoice"),),
        str(form["next_invoice"].value() or ""),
        note=_("Printed behind the year, without gaps: 318 is printed 2026-0318."),
    )
    yield Section(
        "prepayment",
        _("Next prepayment invoice number"),
        (OneField(form, "next_prepayment"),),
        str(form["next_prepayment"].value() or ""),
        note=_(
            "For shops that bill money before the work is done. A series of its own: "
            "7 is printed P2026-0007."
        ),
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
