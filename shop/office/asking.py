"""Of which months or days the owner asks: from an address to a time."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.books.periods import period_of
from shop.office.asked import Asked
from shop.people.models import Shop
from shop.records.errors import Refused

MONTHS = (3, 6, 12, 24)
USUAL = 12


def _day(label: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget)


class DaysForm(forms.Form):
    since = _day(gettext_lazy("First day"))
    until = _day(gettext_lazy("Last day"))


@dataclass(frozen=True)
class Question:
    """What was asked; ``asked`` is None where it makes no sense."""

    form: DaysForm
    asked: Asked | None
    months: int | None = None
    query: str = ""


def question_of(data: Mapping[str, str], shop: Shop, now: datetime) -> Question:
    """``since`` and ``until``, both whole days; else the last so many ``months``."""
    if data.get("since") or data.get("until"):
        return _of_days(data, shop, now)
    typed = data.get("months") or str(USUAL)
    if typed not in map(str, MONTHS):
        form = DaysForm(data)
        form.errors.clear()
        form.add_error("since", _("Choose 3, 6, 12 or 24 months, or two days."))
        return Question(form, None)
    months = int(typed)
    asked = Asked(months_back(shop, now, months), now, now)
    start = {
        "since": asked.since.astimezone(shop.zone).date(),
        "until": _today(shop, now),
    }
    return Question(DaysForm(initial=start), asked, months, f"months={months}")


def months_back(shop: Shop, now: datetime, months: int) -> datetime:
    """The beginning of a month: the running one is the last of ``months``."""
    today = _today(shop, now)
    place = today.year * 12 + today.month - months
    first = date(place // 12, place % 12 + 1, 1)
    return datetime.combine(first, time(), shop.zone)


def _of_days(data: Mapping[str, str], shop: Shop, now: datetime) -> Question:
    form = DaysForm(data)
    if not form.is_valid():
        return Question(form, None)
    since, until = form.cleaned_data["since"], form.cleaned_data["until"]
    try:
        period = period_of(shop, since, until, _today(shop, now))
    except Refused as refused:
        form.add_error("until", str(refused))
        return Question(form, None)
    asked = Asked(period.start, min(period.end, now), now)
    return Question(form, asked, query=f"since={since}&until={until}")


def _today(shop: Shop, now: datetime) -> date:
    return now.astimezone(shop.zone).date()


def whole_days(asked: Asked, shop: Shop) -> tuple[date, date]:
    """The first and the last day of which is spoken."""
    last = asked.until.astimezone(shop.zone) - timedelta(microseconds=1)
    return asked.since.astimezone(shop.zone).date(), last.date()
