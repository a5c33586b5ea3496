"""Opening hours and closed days as they are typed: two stretches a day, a few days."""

from collections.abc import Iterator
from datetime import date, time
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.people.house_services import Closed, Stretch
from shop.people.models import Shop, Weekday
from shop.people.opening_hours import LONGEST_CLOSED

STRETCHES = (1, 2)
CLOSED_ROWS = 6
WORKING_WEEK = range(5)
OPENS, CLOSES = "09:00", "17:00"


def clock() -> forms.TimeField:
    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    return forms.TimeField(required=False, widget=widget)


class HoursForm(forms.Form):
    def __init__(self, *args: Any, closed_rows: int = CLOSED_ROWS, **kw: Any) -> None:
        super().__init__(*args, **kw)
        self.closed_rows = closed_rows
        for day in Weekday:
            for n in STRETCHES:
                for part, word in (("opens", _("opens")), ("closes", _("closes"))):
                    name = f"day{day.value}_{part}_{n}"
                    self.fields[name] = clock()
                    self.fields[name].label = f"{day.label} {word} {n}"
        for n in range(closed_rows):
            self.fields.update(
                {
                    f"closed{n}_first": self._day(_("First closed day"), n),
                    f"closed{n}_last": self._day(_("Last closed day"), n),
                    f"closed{n}_name": forms.CharField(
                        label=f"{_('Why closed')} {n + 1}",
                        max_length=80,
                        required=False,
                    ),
                }
            )

    def _day(self, label: Any, n: int) -> forms.DateField:
        widget = forms.DateInput(attrs={"type": "date"})
        return forms.DateField(label=f"{label} {n + 1}", required=False, widget=widget)

    def days(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Each weekday with its four fields, for the page."""
        return [
            (
                str(day.label),
                [
                    self[f"day{day.value}_{part}_{n}"]
                    for n in STRETCHES
                    for part in ("opens", "closes")
                ],
            )
            for day in Weekday
        ]

    def closed_days(self) -> list[list[forms.BoundField]]:
        return [
            [self[f"closed{n}_{part}"] for part in ("first", "last", "name")]
            for n in range(self.closed_rows)
        ]

    def clean(self) -> dict[str, Any]:
        for day in Weekday:
            for n in STRETCHES:
                self._clean_stretch(f"day{day.value}", n)
        for n in range(self.closed_rows):
            self._clean_closed(f"closed{n}")
        return self.cleaned_data

    def _clean_stretch(self, day: str, n: int) -> None:
        opens, closes = (
            self.cleaned_data.get(f"{day}_{part}_{n}") for part in ("opens", "closes")
        )
        if (opens is None) != (closes is None):
            self.add_error(f"{day}_closes_{n}", _("Both times, or none."))
        elif opens is not None and not (closes > opens or closes == time()):
            self.add_error(f"{day}_closes_{n}", _("It closes before it opens."))

    def _clean_closed(self, row: str) -> None:
        first, last = (
            self.cleaned_data.get(f"{row}_{part}") for part in ("first", "last")
        )
        if last is not None and (first is None or last < first):
            self.add_error(f"{row}_last", _("The last day comes after the first."))
        elif first and last and (last - first).days > LONGEST_CLOSED:
            self.add_error(f"{row}_last", _("A year at most."))

    def week(self) -> Iterator[Stretch]:
        for day in Weekday:
            for n in STRETCHES:
                opens = self.cleaned_data[f"day{day.value}_opens_{n}"]
                if opens is not None:
                    closes = self.cleaned_data[f"day{day.value}_closes_{n}"]
                    yield Stretch(day.value, opens, closes)

    def closed(self) -> Iterator[Closed]:
        for n in range(self.closed_rows):
            first: date | None = self.cleaned_data[f"closed{n}_first"]
            if first is not None:
                last = self.cleaned_data[f"closed{n}_last"] or first
                yield Closed(first, last, self.cleaned_data[f"closed{n}_name"].strip())


def usual_week() -> dict[str, str]:
    """Monday to Friday, nine to five: to be changed."""
    return {
        f"day{day}_{part}_1": at
        for day in WORKING_WEEK
        for part, at in (("opens", OPENS), ("closes", CLOSES))
    }


def initial_of_hours(shop: Shop) -> dict[str, Any]:
    found: dict[str, Any] = {}
    seen = dict.fromkeys(Weekday.values, 0)
    for row in shop.opening_hours.all():
        seen[row.weekday] += 1
        found[f"day{row.weekday}_opens_{seen[row.weekday]}"] = row.opens
        found[f"day{row.weekday}_closes_{seen[row.weekday]}"] = row.closes
    for n, closed in enumerate(shop.closed_days.all()):
        found |= {
            f"closed{n}_first": closed.first.isoformat(),
            f"closed{n}_last": closed.last.isoformat(),
            f"closed{n}_name": closed.name,
        }
    return found
