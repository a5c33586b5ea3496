"""Promises in words: where a suggested day comes from, and when one will break."""

from datetime import datetime, timedelta

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.intake.models import DeviceKind
from shop.intake.promising import Breaking, Suggestion
from shop.shown import date_format


def suggested(suggestion: Suggestion | None) -> str:
    """Beside the field: how many tickets stand behind the day."""
    if suggestion is None:
        return _("No day is suggested: the shop has no opening hours yet.")
    if not suggestion.is_usual:
        text = ngettext(
            "Five working days, until more tickets tell: %(n)d was ready in a year.",
            "Five working days, until more tickets tell: %(n)d were ready in a year.",
            suggestion.count,
        )
        return text % {"n": suggestion.count}
    said = {"n": suggestion.count, "alike": _alike(suggestion.alike)}
    if not said["alike"]:
        return _("By then 8 in 10 of our last %(n)d tickets were ready.") % said
    return _("By then 8 in 10 of our last %(n)d tickets were ready (%(alike)s).") % said


def _alike(what: str) -> str:
    labels = {str(kind): str(label) for kind, label in DeviceKind.choices}
    return labels.get(what, what)


def breaks(breaking: Breaking, now: datetime) -> str:
    """``breaks tomorrow at 15:00``, to be followed by ``unless``."""
    return _("breaks %(when)s") % {"when": near(breaking.by, now)}


def unless(breaking: Breaking) -> str:
    """What would keep it, in hours that the shop is open."""
    said = {"left": hours(breaking.left)}
    if breaking.still is None:
        return _("unless ready soon: %(left)s open left, older than most") % said
    said["still"] = hours(breaking.still)
    return (
        _(
            "unless ready sooner than usual: %(left)s open left, such tickets still "
            "take %(still)s"
        )
        % said
    )


def near(moment: datetime, now: datetime) -> str:
    """``today at 15:00``, ``tomorrow at 15:00``, else the day."""
    at, today = timezone.localtime(moment), timezone.localtime(now).date()
    said = {"at": date_format(at, "H:i"), "day": date_format(at, "D j M")}
    if at.date() == today:
        return _("today at %(at)s") % said
    if at.date() == today + timedelta(days=1):
        return _("tomorrow at %(at)s") % said
    return _("%(day)s at %(at)s") % said


def hours(count: float) -> str:
    return _("%(n)d h") % {"n": max(1, round(count))}
