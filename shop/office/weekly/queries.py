"""The sheets that are kept, and who wishes them."""

from shop.office.weekly.models import WeeklySheet, WeeklyWish
from shop.office.weekly.weeks import Week
from shop.people.models import Person, Role, Shop


def sheet_of(shop: Shop, week: Week) -> WeeklySheet | None:
    return shop.weekly_sheets.filter(monday=week.monday).defer("pdf").first()


def is_wished(shop: Shop, person: Person) -> bool:
    newest = shop.weekly_wishes.filter(person=person).order_by("-id").first()
    return newest is not None and newest.is_wished


def is_owner(shop: Shop, person: Person) -> bool:
    own = person.memberships.filter(shop=shop, role=Role.OWNER)
    return person.is_active and own.exists()


def owners_who_wish(shop: Shop) -> list[Person]:
    newest: dict[int, WeeklyWish] = {
        wish.person_id: wish for wish in shop.weekly_wishes.select_related("person")
    }
    people = [wish.person for wish in newest.values() if wish.is_wished]
    return [person for person in people if person.email and is_owner(shop, person)]
