"""The told days were confirmed as they were typed; yesterday's waits for somebody."""

from datetime import datetime, timedelta

from shop.billing import services as billing
from shop.desk.evening import days_found, people_with_clocks
from shop.desk.evening_marks import day_bounds
from shop.people.models import Person, Shop

A_YEAR = timedelta(days=400)


def confirm_told_days(shop: Shop, today: datetime) -> None:
    """Every day before yesterday: its minutes are told, and no clock adds to them."""
    first, _after = day_bounds(shop, today.date() - timedelta(days=1))
    since, until = first - A_YEAR, first - timedelta(seconds=1)
    people = Person.objects.in_bulk(list(people_with_clocks(shop, since, until)))
    for one in days_found(shop, set(people), since, until):
        person = people[one.person_id]
        _start, after = day_bounds(shop, one.day)
        billing.day_confirm(
            shop=shop,
            person=person,
            by=person,
            day=one.day,
            works=[],
            seen={(s.ticket, s.kind): s.clock for s in one.shares},
            round=0,
            until=after,
            at=after - timedelta(hours=6),
        )
