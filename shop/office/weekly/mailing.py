"""The e-mail that carries a weekly sheet, worded when its turn comes."""

from django.template.loader import render_to_string
from django.utils import translation

from shop.office.weekly import papers
from shop.office.weekly.models import WeeklySheet
from shop.office.weekly.queries import is_owner
from shop.office.weekly.weeks import Week
from shop.people.models import Person
from shop.records.messages import Withheld, Wording
from shop.records.models import OutgoingMessage
from shop.records.senders import EMAIL, Paper


def word(message: OutgoingMessage) -> Wording:
    """Withheld from who is no owner any more, or has no address."""
    sheet, person = _of(message)
    if not is_owner(sheet.shop, person):
        raise Withheld("over")
    if not person.email:
        raise Withheld("no_address")
    with translation.override(sheet.language):
        heading = papers.heading(Week(sheet.monday))
        context = {"person": person, "shop": sheet.shop, "heading": heading}
        text = render_to_string("office/weekly.txt", context)
        subject = f"{sheet.shop.name}: {heading}"
    return Wording(EMAIL, person.email, subject, text.strip(), sheet.shop.email)


def paper(message: OutgoingMessage) -> Paper:
    sheet, _person = _of(message)
    return Paper(f"week-{sheet.monday}.pdf", bytes(sheet.pdf))


def _of(message: OutgoingMessage) -> tuple[WeeklySheet, Person]:
    sheet_id, person_id = map(int, message.paper.split())
    sheet = WeeklySheet.objects.select_related("shop").get(pk=sheet_id)
    return sheet, Person.objects.get(pk=person_id)
