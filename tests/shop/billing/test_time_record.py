from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from shop.billing import queries
from shop.billing import services as billing
from shop.billing.models import TimeEntry
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.models import Event
from tests.shop.billing.conftest import OPENED

Act = Callable[..., Any]


def test_minutes_are_kept_with_who_and_when(
    job: Ticket, work: Act, ines: Person
) -> None:
    entry = work(job, "repair", 7)
    assert (entry.person, entry.minutes) == (ines, 7)
    event = Event.objects.get(ticket_id=job.pk, kind="time_recorded")
    assert (event.amounts, event.codes) == ({"minutes": 7}, {"kind": "repair"})


def test_three_entries_round_once(job: Ticket, work: Act) -> None:
    for minutes in (7, 9, 20):
        work(job, "repair", minutes)
    assert queries.work_lines(job)[1].quantity == 45


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({"minutes": 0}, "minutes"),
        ({"minutes": -5}, "minutes"),
        ({"minutes": 1441}, "minutes"),
        ({"kind": "tea"}, "kind"),
        ({"started_at": OPENED - timedelta(minutes=1)}, "started_at"),
    ],
)
def test_wrong_time_is_refused(
    job: Ticket, ines: Person, words: dict[str, Any], field: str
) -> None:
    right: dict[str, Any] = {"kind": "repair", "minutes": 7, "started_at": OPENED}
    with pytest.raises(Refused) as refusal:
        billing.time_record(ticket=job, by=ines, person=ines, **(right | words))
    assert refusal.value.field == field
    assert not TimeEntry.objects.exists()


def test_minutes_are_taken_back_once(job: Ticket, work: Act, ines: Person) -> None:
    entry = work(job, "repair", 7)
    billing.time_reverse(entry=entry, by=ines)
    assert [line.code for line in queries.work_lines(job)] == ["fee"]
    with pytest.raises(Refused, match="taken back already"):
        billing.time_reverse(entry=entry, by=ines)


def test_a_reversal_is_not_reversed(job: Ticket, work: Act, ines: Person) -> None:
    back = billing.time_reverse(entry=work(job, "repair", 7), by=ines)
    with pytest.raises(Refused):
        billing.time_reverse(entry=back, by=ines)


def test_the_database_refuses_to_change_minutes(job: Ticket, work: Act) -> None:
    entry = work(job, "repair", 7)
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        TimeEntry.objects.filter(pk=entry.pk).update(minutes=70)
