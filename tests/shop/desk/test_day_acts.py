"""The day list: filters in its address, tasks with their acts, drawn anew by itself."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from django.utils.formats import date_format

from diagnostics import services as bench
from shop.billing import services as billing
from shop.desk import day_filters, notices
from shop.desk.day import DayList, day_list
from shop.desk.day_filters import Filters
from shop.desk.day_tasks import Task, TaskKind
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.models import Event, OutgoingMessage
from tests.factories import CustomerFactory, DeviceFactory, TicketFactory
from tests.samples import board_of
from tests.shop.intake.test_job_slip import text_of, words_of

ClientOf = Callable[[str], Client]
HTMX = {"hx-request": "true"}


@pytest.fixture
def day_of(hollin_lane: Shop, ines: Person) -> Callable[..., DayList]:
    def day(**asked: Any) -> DayList:
        now = timezone.now()
        return day_list(hollin_lane, now, filters=Filters(**asked), person=ines)

    return day


def tasks_of(day: DayList) -> list[Task]:
    """Those of open tickets."""
    return [one for one in day.tasks if isinstance(one, Task)]


def numbers(day: DayList) -> set[str]:
    return {row.ticket.number for group in day.groups for row in group.rows}


@pytest.fixture
def shop_of_three(tomas: Person, ines: Person, hollin_lane: Shop) -> list[Ticket]:
    """One in Ines's hands and late, one that waits for a late part, one silent."""
    now = timezone.now()
    held = TicketFactory.create(
        by=tomas, at=now - timedelta(days=2), promise=now - timedelta(days=1)
    )
    board = board_of(held, ines)
    bench.board_take(board=board, ticket=held, by=ines)
    waits = TicketFactory.create(by=tomas)
    billing.part_order(
        ticket=waits,
        by=ines,
        supplier="Marsh",
        name="controller",
        price=Money.of(4, "EUR"),
        due_on=now.date() - timedelta(days=3),
    )
    quiet = CustomerFactory.create(shop=hollin_lane, name="Ömer Vane")
    silent = TicketFactory.create(
        by=tomas,
        at=now - timedelta(days=8),
        device=DeviceFactory.create(customer=quiet, model="Helm K2"),
    )
    return [held, waits, silent]


def test_each_filter_shows_its_own(
    shop_of_three: list[Ticket], day_of: Callable[..., DayList]
) -> None:
    held, waits, silent = (ticket.number for ticket in shop_of_three)
    assert numbers(day_of(mine=True)) == {held}
    assert numbers(day_of(late=True)) == {held, waits}
    assert numbers(day_of(part=True)) == {waits}
    assert numbers(day_of(silent=True)) == {silent}
    assert numbers(day_of(whose="ours")) == {held, silent}
    assert numbers(day_of(text="ömer")) == numbers(day_of(text="helm")) == {silent}
    assert numbers(day_of(late=True, whose="supplier")) == {waits}
    assert (day_of(mine=True).shown, day_of(mine=True).count) == (1, 3)
    assert day_of(mine=True).sentence == day_of().sentence


def test_the_row_names_who_has_it(
    shop_of_three: list[Ticket], client_of: ClientOf, ines: Person
) -> None:
    page = client_of("tomas").get("/counter/").content.decode()
    assert page.count(f"{ines.name} has it") == 1


def test_an_address_that_makes_no_sense_filters_nothing() -> None:
    nonsense = {"whose": "nobody", "late": "yes", "q": "\0 " + "x" * 99}
    assert day_filters.read(nonsense) == Filters(text="x" * 60)


def test_every_link_turns_one_filter_over() -> None:
    filters = Filters(whose="ours", late=True, text="ada")
    by_label = {str(link.label): link for link in filters.links()}
    assert by_label["Ours"].query == "q=ada&late=1"
    assert by_label["Late"].query == "whose=ours&q=ada"
    assert by_label["Mine"].query == "whose=ours&q=ada&mine=1&late=1"
    assert by_label["Late"].is_on
    assert not by_label["Mine"].is_on
    assert dict(filters.kept) == {"whose": "ours", "late": "1"}


def test_it_is_drawn_anew_only_when_something_happened(
    ticket: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    desk = client_of("tomas")
    page = desk.get("/counter/?late=1").content.decode()
    seen = page.split('name="seen" value="')[1].split('"')[0]
    url = f"/counter/live/?late=1&seen={seen}"
    assert desk.get(url, headers=HTMX).status_code == 204
    TicketFactory.create(by=tomas)
    fresh = desk.get(url, headers=HTMX)
    assert fresh.status_code == 200
    assert "2 are ours." in fresh.content.decode()
    assert "<html" not in fresh.content.decode()


def test_a_look_asks_the_database_a_handful_of_times(
    ticket: Ticket,
    client_of: ClientOf,
    django_assert_max_num_queries: Callable[[int], Any],
) -> None:
    desk = client_of("tomas")
    page = desk.get("/counter/").content.decode()
    seen = page.split('name="seen" value="')[1].split('"')[0]
    with django_assert_max_num_queries(6):
        desk.get(f"/counter/live/?seen={seen}", headers=HTMX)


@pytest.fixture
def ready(tomas: Person, ines: Person) -> Ticket:
    ticket = TicketFactory.create(by=tomas, at=timezone.now() - timedelta(days=20))
    intake.outcome_record(ticket=ticket, by=ines, kind="declined")
    return ticket


def test_a_late_part_and_a_ready_machine_are_tasks(
    shop_of_three: list[Ticket], ready: Ticket, day_of: Callable[..., DayList]
) -> None:
    late, tell = tasks_of(day_of(mine=True))
    assert (late.kind, late.row.ticket) == (TaskKind.PART_LATE, shop_of_three[1])
    assert late.line is not None
    assert late.line.supplier == "Marsh"
    assert (tell.kind, tell.row.ticket) == (TaskKind.TELL_READY, ready)


def test_told_it_waits_until_it_is_time_to_ask_again(
    ready: Ticket, tomas: Person, client_of: ClientOf, day_of: Callable[..., DayList]
) -> None:
    desk, url = client_of("tomas"), f"/tickets/{ready}/told-again/"
    key = {"idempotency_key": "0123456789abcdef-1"}
    assert desk.post(url, key)["Location"] == "/counter/"
    assert day_of().tasks == []
    then = timezone.now() - timedelta(days=9)
    intake.customer_told(
        ticket=ready, by=tomas, channel="phone", next_contact=then.date(), at=then
    )
    [task] = tasks_of(day_of())
    assert task.kind == TaskKind.NOT_COLLECTED
    assert task.row.contact_late_by == timedelta(days=9)
    assert "Told again, by phone" in desk.get("/counter/").content.decode()


def test_a_notice_is_counted_kept_and_printed_the_same_again(
    ready: Ticket, client_of: ClientOf, day_of: Callable[..., DayList]
) -> None:
    desk, url = client_of("marit"), f"/tickets/{ready}/notice/"
    for n in range(2):
        key = {"idempotency_key": f"0123456789abcdef-{n}"}
        answer = desk.post(url, key)
    assert answer["Location"] == f"/tickets/{ready}/notice.pdf"
    given = notices.newest_of(ready)
    assert given is not None
    assert given.ids["number"] == 2
    words = words_of(notices.notice_html(ready, given))
    assert "This is notice 2." in words
    assert "To be paid then: 42.00 EUR" in words
    paper = desk.get(answer["Location"]).content
    assert text_of(paper)[0] == 1
    assert desk.get(answer["Location"]).content == paper
    assert tasks_of(day_of())[0].kind == TaskKind.TELL_READY, "a letter is no answer"


def test_no_notice_before_it_is_ready(ticket: Ticket, client_of: ClientOf) -> None:
    key = {"idempotency_key": "0123456789abcdef-1"}
    answer = client_of("tomas").post(f"/tickets/{ticket}/notice/", key)
    assert answer.status_code == 422
    assert not Event.objects.filter(kind="notice_given").exists()


def test_what_is_kept_of_a_row_follows_what_happens(
    shop_of_three: list[Ticket], client_of: ClientOf, ines: Person, tomas: Person
) -> None:
    """Drawn twice, each change between them is on it, for the one whom it names."""
    held, _waits, silent = shop_of_three
    bench_page, desk = client_of("ines"), client_of("tomas")
    first = desk.get("/counter/").content.decode()
    assert first.count("by you") == 0
    intake.ticket_park(
        ticket=silent, by=ines, until=None, because="price", waits_for="owner"
    )
    silent.device.model = "Helm K3"
    silent.device.save()
    day = timezone.localdate() + timedelta(days=2)
    intake.customer_told(ticket=held, by=tomas, channel="phone", next_contact=day)
    second = desk.get("/counter/").content.decode()
    assert "parked for the owner: a price" in second.lower()
    assert "Helm K3" in second
    assert "by you" not in second
    assert f"next {date_format(day, 'D j M')}" in second
    assert bench_page.get("/counter/").content.decode().count("by you") == 1


def test_a_message_that_failed_is_a_task_until_somebody_sees_to_it(
    ticket: Ticket, client_of: ClientOf, day_of: Callable[..., DayList]
) -> None:
    told = {"to": "a@example.org", "subject": "Taken in", "text": "It is here."}
    message = records.message_ask(
        shop_id=ticket.shop_id,
        ticket_id=ticket.pk,
        message_id=f"failed-{ticket.pk}",
        kind="new_promise",
    )
    mine = OutgoingMessage.objects.filter(pk=message.pk)
    failed = {"given_up_at": timezone.now(), "last_error": "SMTP 550", **told}
    assert day_of().tasks == []
    mine.update(**failed)
    [task] = tasks_of(day_of())
    assert (task.kind, task.row.ticket) == (TaskKind.MESSAGE_FAILED, ticket)
    desk = client_of("tomas")
    page = desk.get("/counter/").content.decode()
    assert "could not be sent" in page
    act = f"/tickets/{ticket}/messages/{message.pk}/"
    key = {"idempotency_key": "0123456789abcdef-1", "then": "day"}
    assert f"{act}again/" in page
    assert f"{act}again/" not in client_of("ines").get("/counter/").content.decode()
    assert desk.post(f"{act}again/", key)["Location"] == "/counter/"
    assert day_of().tasks == []
    mine.update(**failed)
    key["idempotency_key"] = "0123456789abcdef-2"
    assert desk.post(f"{act}told/", key)["Location"] == "/counter/"
    assert day_of().tasks == []
