"""Every list on the demo shop's year, against the slow way through its raw rows."""

import pytest
from django.utils import timezone

from shop.office.acting.lists import Code, lists
from shop.office.acting.rules import Paper, Promise, Why
from shop.people.models import Shop
from tests.shop.office.acting import slowly


@pytest.mark.one_database
def test_the_lists_are_those_of_the_raw_rows(told_year: Shop) -> None:
    now, shop = timezone.now(), told_year
    found = lists(shop, now)
    keys = {code: {one.pk for one in some} for code, some in found.of.items()}
    limits = found.limits
    promises = [one for one in found.of[Code.PROMISES] if isinstance(one, Promise)]
    by_why = {why: {one.pk for one in promises if one.why == why} for why in Why}
    assert by_why[Why.BROKEN] == slowly.broken(shop, now)
    assert by_why[Why.NO_PART] == slowly.no_part(shop, now)
    assert [one.by for one in promises] == sorted(one.by for one in promises)
    queue = slowly.in_queue(shop, now)
    long = {one.pk for one, at in queue.items() if now - at > limits.untouched}
    assert keys[Code.UNTOUCHED] == long
    assert keys[Code.TO_GO_ON] == slowly.to_go_on(shop, queue)
    slow = slowly.unanswered(shop, now, limits.unanswered)
    assert keys[Code.UNANSWERED] == slow
    assert keys[Code.NOT_COLLECTED] == slowly.not_collected(shop)
    assert keys[Code.UNBILLED] == slowly.unbilled(shop, now)
    today = now.astimezone(shop.zone).date()
    papers = [one for one in found.of[Code.OWED] if isinstance(one, Paper)]
    owed = {one.pk: one.owed for one in papers}
    assert owed == slowly.long_owed(shop, today, limits.owed_days)
    for code in set(Code) - {Code.UNBILLED}:
        assert keys[code], f"The year leaves {code} empty: nothing was compared."
