"""What an event says of a setting: what stood before, and what stands after."""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.intake.words import day_words, plain_code
from shop.money import Money
from shop.people.models import Weekday
from shop.records.changes import changes_in
from shop.records.errors import Text
from shop.records.models import Event
from shop.shown import figures

# A change of many figures at once is counted; the event and the page have them all.
MOST_SHOWN = 6
NAMES: Mapping[str, Text] = {
    "untouched_days": gettext_lazy("days untouched"),
    "unanswered_days": gettext_lazy("days unanswered"),
    "owed_days": gettext_lazy("days owed"),
    "time_zone": gettext_lazy("time zone"),
    "currency": gettext_lazy("currency"),
    "country": gettext_lazy("country"),
    "paper_size": gettext_lazy("paper"),
    "languages": gettext_lazy("languages"),
    "rolls": gettext_lazy("rolls"),
    "closed_days": gettext_lazy("closed days"),
    "hourly_rate_minor": gettext_lazy("hourly rate"),
    "cost_rate_minor": gettext_lazy("what an hour costs the shop"),
    "diagnosis_fee_minor": gettext_lazy("diagnosis fee"),
    "consumables_minor": gettext_lazy("consumables"),
    "minimum_minor": gettext_lazy("least labour"),
    "tax_basis_points": gettext_lazy("tax"),
    "increment_minutes": gettext_lazy("steps of time, in minutes"),
    "diagnosis_minutes": gettext_lazy("minutes that the diagnosis fee covers"),
    "fee_rule": gettext_lazy("fee rule"),
    "express_percent": gettext_lazy("express, in per cent"),
    "no_fix_rule": gettext_lazy("what is billed without a repair"),
    "tax_name": gettext_lazy("name of the tax"),
    "untaxed_as": gettext_lazy("what is billed at 0 %"),
    "prices_with_tax": gettext_lazy("prices said with tax"),
    "first_word_days": gettext_lazy("days to the first word"),
    "quote_reminder_days": gettext_lazy("days to the reminder of a quote"),
    "unclaimed_first_days": gettext_lazy("days to the first notice"),
    "unclaimed_second_days": gettext_lazy("days to the second notice"),
    "unclaimed_last_days": gettext_lazy("days to the last notice"),
    "cap_percent": gettext_lazy("cap over a quote, in per cent"),
    "quote_valid_days": gettext_lazy("days that quotes are valid"),
    "payment_days": gettext_lazy("days to pay"),
    "warranty_days": gettext_lazy("days of warranty"),
    "liquid_warranty_days": gettext_lazy("days of warranty after liquid"),
    "markup_tiers": gettext_lazy("markup on parts"),
    "labour_rates": gettext_lazy("rates by kind and person"),
    "fixed_jobs": gettext_lazy("jobs at a fixed price"),
    "accuracy": gettext_lazy("accuracy"),
    "ranges": gettext_lazy("ranges"),
    "diode_amps": gettext_lazy("current of the diode test, in A"),
    "diode_volts": gettext_lazy("voltage of the diode test, in V"),
    "deposit_paper": gettext_lazy("paper for deposits"),
    "cash_step_minor": gettext_lazy("smallest coin"),
    "calibration_due": gettext_lazy("calibration due"),
    "ticket": gettext_lazy("next ticket number"),
    "invoice": gettext_lazy("next invoice number"),
    "credit_note": gettext_lazy("next credit note number"),
    "prepayment": gettext_lazy("next prepayment invoice number"),
    "first_days": gettext_lazy("days to the first reminder of a payment"),
    "second_days": gettext_lazy("days to the second reminder of a payment"),
    "last_days": gettext_lazy("days to the last reminder of a payment"),
    "photo_days": gettext_lazy("days that photos stay after the handover"),
    "printer_slip": gettext_lazy("job slips and invoices"),
    "printer_tag": gettext_lazy("tags and labels"),
    "printer_receipt": gettext_lazy("receipts"),
    **{f"weekday_{day.value}": day.label for day in Weekday},
}
PLACES = {name: place for place, name in enumerate(NAMES)}
# Told without their figures: rows, not one value.
TABLES = {"accuracy", "markup_tiers", "labour_rates", "fixed_jobs", "closed_days"}
WHAT: Mapping[str, Text] = {
    "shop": gettext_lazy("Settings of the shop"),
    "hours": gettext_lazy("Opening hours and closed days"),
    "texts": gettext_lazy("Texts for customers"),
    "logo": gettext_lazy("Logo"),
    "keeping": gettext_lazy("How long data stays"),
    "numbers": gettext_lazy("Numbers of papers moved on"),
    "photos": gettext_lazy("How long photos stay"),
    "payment_reminders": gettext_lazy("Reminders of payments"),
    "families": gettext_lazy("Board families that are offered"),
}


Namer = Callable[[str], str | None]
NAMERS: list[Namer] = []


def named_by(namer: Namer) -> None:
    """A later room tells what its own settings are called."""
    NAMERS.append(namer)


def _name(setting: str) -> str:
    told = (namer(setting) for namer in NAMERS)
    return next(filter(None, told), None) or str(
        NAMES.get(setting, plain_code(setting))
    )


def said(text: Text) -> Callable[[Event], str]:
    """A sentence, from when on it holds, and each change."""

    def say(event: Event) -> str:
        sentence = str(text)
        if later := _begins_later(event):
            sentence = _("%(what)s, from %(day)s on") % {"what": sentence, "day": later}
        changed = list(changes(event))
        return f"{sentence}: {', '.join(changed)}" if changed else sentence

    return say


def settings_said(event: Event) -> str:
    what = str(event.codes.get("what") or "")
    if not what:
        return _("Settings changed")
    return said(WHAT.get(what, plain_code(what).capitalize()))(event)


def _begins_later(event: Event) -> str:
    begins = str(event.codes.get("valid_from") or "")
    if not begins or datetime.fromisoformat(begins) <= event.at:
        return ""
    return day_words(datetime.fromisoformat(begins))


def changes(event: Event) -> Iterator[str]:
    """``days owed 14 → 21``, for what is not as it was; and what else changed."""
    told = sorted(changes_in(event.codes), key=_place)
    for name, before, after in told[:MOST_SHOWN]:
        named = _name(name)
        if name in TABLES:
            yield named
        else:
            old, new = (_value(name, v, event) for v in (before, after))
            yield f"{named} {old} → {new}"
    if len(told) > MOST_SHOWN:
        yield _("and %(n)d more") % {"n": len(told) - MOST_SHOWN}
    for name in ("also", "texts"):
        if others := str(event.codes.get(name) or ""):
            yield plain_code(others)


def _place(change: tuple[str, object, object]) -> tuple[int, str]:
    """As ``NAMES`` has them: a database keeps the keys of an event in its own order."""
    name = change[0]
    return PLACES.get(name, len(PLACES)), name


def _value(name: str, value: object, event: Event) -> str:
    currency = event.codes.get("currency")
    if value in {None, ""}:
        return "–"
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if name.endswith("_minor") and currency:
        return figures(str(Money.from_minor(int(str(value)), str(currency)).amount))
    if name == "tax_basis_points":
        return figures(f"{Decimal(str(value)) / 100:.2f} %")
    return str(value)
