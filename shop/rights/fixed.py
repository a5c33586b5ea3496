"""What other rooms see to by themselves, for the owner's page: no days to set here."""

from collections.abc import Iterator

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from shop.intake.drafts import KEPT as DRAFTS_KEPT
from shop.intake.slip_links import DAYS as LINK_DAYS
from shop.people.models import Shop
from shop.photos.services import days_kept
from shop.records.sweeping import ANSWERS_KEPT


def rows(shop: Shop) -> Iterator[tuple[str, str, str]]:
    """What it is, how long it stays, where that is set (or nothing)."""
    yield (
        _("Photos of a ticket"),
        _("%(n)d days after its handover") % {"n": days_kept(shop)},
        reverse("photos:keeping"),
    )
    yield _("Passcodes"), _("until the handover"), ""
    yield (
        _("Intakes not sent yet"),
        _("%(n)d hours") % {"n": DRAFTS_KEPT.total_seconds() // 3600},
        "",
    )
    yield (
        _("Slip links"),
        _("%(n)d days, and again after the handover") % {"n": LINK_DAYS.days},
        "",
    )
    yield (
        _("Answers to forms, so that none is done twice"),
        _("%(n)d days") % {"n": ANSWERS_KEPT.days},
        "",
    )
    yield (
        _("Sessions of who works here"),
        _("%(n)d hours") % {"n": settings.SESSION_COOKIE_AGE // 3600},
        "",
    )
    yield (
        _("Backups"),
        _("as they were made, sealed, until newer ones take their place"),
        "",
    )
