"""Making a week's sheet, sending it, and who wishes it."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.office.weekly import papers
from shop.office.weekly.models import WeeklySheet, WeeklyWish
from shop.office.weekly.queries import owners_who_wish, sheet_of
from shop.office.weekly.weeks import Week, week_due
from shop.people.models import Person, Shop
from shop.records import jobs
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

WEEKLY = "weekly_sheet"


def job() -> None:
    """Each shop's sheet of the last week, once; who was away on Monday gets it then."""
    for shop in Shop.objects.all():
        if not jobs.may_go_on():
            return
        sheet_send_due(shop=shop, now=timezone.now())


def sheet_send_due(*, shop: Shop, now: datetime) -> WeeklySheet | None:
    """Make the sheet that is due and send it to who wishes it; None if it was there.

    A shop without a ticket in that week or before has nothing to tell.
    """
    week = week_due(now, shop.zone)
    worked = shop.tickets.filter(opened_at__lt=week.end(shop.zone)).exists()
    if sheet_of(shop, week) is not None or not worked:
        return None
    made = papers.sheet(shop, week, now, shop.language_codes[0])
    with transaction.atomic():
        sheet, is_new = _keep(shop, week, now, made)
        if not is_new:
            return None
        for person in owners_who_wish(shop):
            _ask(sheet, person, f"{sheet.pk}-{person.pk}")
    return sheet


def sheet_make(*, shop: Shop, now: datetime) -> WeeklySheet:
    """The newest week's sheet: the one that is kept, else made now."""
    week = week_due(now, shop.zone)
    kept = sheet_of(shop, week)
    if kept is not None:
        return kept
    made = papers.sheet(shop, week, now, shop.language_codes[0])
    with transaction.atomic():
        return _keep(shop, week, now, made)[0]


def _keep(
    shop: Shop, week: Week, now: datetime, made: bytes
) -> tuple[WeeklySheet, bool]:
    return WeeklySheet.objects.get_or_create(
        shop=shop,
        monday=week.monday,
        defaults={"language": shop.language_codes[0], "made_at": now, "pdf": made},
    )


def _ask(sheet: WeeklySheet, person: Person, what: str) -> None:
    records.message_ask(
        shop_id=sheet.shop_id,
        ticket_id=None,
        message_id=f"{WEEKLY}-{what}",
        kind=WEEKLY,
        paper=f"{sheet.pk} {person.pk}",
    )


def sheet_send(*, shop: Shop, by: Person, now: datetime | None = None) -> WeeklySheet:
    """To an owner now, whatever they wish for Mondays."""
    now = now or timezone.now()
    _need_address(by)
    sheet = sheet_make(shop=shop, now=now)
    with transaction.atomic():
        _ask(sheet, by, f"{sheet.pk}-{by.pk}-{now:%Y%m%d%H%M%S%f}")
    return sheet


@transaction.atomic
def wish_set(*, shop: Shop, by: Person, is_wished: bool) -> WeeklyWish:
    """From the next Monday on; a row a change."""
    if is_wished:
        _need_address(by)
    wish = WeeklyWish.objects.create(shop=shop, person=by, is_wished=is_wished)
    records.event_record(
        Kind.SETTINGS_CHANGED,
        shop_id=shop.pk,
        by_id=by.pk,
        at=wish.at,
        codes={"what": "weekly sheet", "is_wished": is_wished},
    )
    return wish


def _need_address(person: Person) -> None:
    if not person.email:
        raise Refused(
            _("No e-mail address of yours is known: it is written under People."),
            field="is_wished",
        )
