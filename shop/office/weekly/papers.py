"""The weekly sheet as a paper."""

from datetime import datetime

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop import pdf
from shop.office.weekly import telling
from shop.office.weekly.weeks import Week
from shop.people.logos import logo_at
from shop.people.models import Shop
from shop.shown import date_format


def sheet(shop: Shop, week: Week, now: datetime, language: str) -> bytes:
    """The same bytes for the same week, moment and data."""
    html = sheet_html(shop, week, now, language)
    return pdf.render(html, stamp=now, logo=logo_at(shop, now))


def sheet_html(shop: Shop, week: Week, now: datetime, language: str) -> str:
    with translation.override(language), timezone.override(shop.zone):
        context = {
            "shop": shop,
            "heading": heading(week),
            "sentence": telling.sentence(shop, week, now),
            "counts": telling.counts(shop, now),
            "sections": list(telling.sections(shop, week, now)),
            "has_logo": bool(logo_at(shop, now)),
            "paper_size": shop.paper_size,
            "stamp": now,
        }
        return render_to_string("papers/weekly.html", context)


def heading(week: Week) -> str:
    return _("Week of %(first)s to %(last)s") % {
        "first": date_format(week.monday, "j F"),
        "last": date_format(week.sunday, "j F Y"),
    }
