"""How long things stay: the owner's days over the defaults, and what goes when."""

import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.utils import timezone

from shop.intake import drafts
from shop.intake.counter_models import Signature
from shop.intake.models import Customer, Handover, Ticket
from shop.opening.models import ImportRow, ImportRun
from shop.people.models import Person, Shop
from shop.records import jobs
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, Note, OutgoingMessage
from shop.records.sealed import seal
from shop.rights import again
from shop.rights.due import due, erase_due
from shop.rights.erasing import customer_erase
from shop.rights.models import Period
from shop.rights.periods import CLASSES, days_of, periods_set
from tests.factories import CustomerFactory, TicketFactory
from tests.samples import import_of
from tests.shop.rights.conftest import Words
from tests.shop.rights.test_erasing import named

ClientOf = Callable[[str], Client]
pytestmark = pytest.mark.django_db


def ago(**how: int) -> datetime:
    return timezone.now() - timedelta(**how)


def closed(by: Person, days: int, **given: Any) -> Ticket:
    """Taken in and handed over so many days ago."""
    ticket = TicketFactory.create(by=by, at=ago(days=days + 2), **given)
    Customer.objects.filter(pk=ticket.customer_id).update(since=ago(days=days + 2))
    Handover.objects.create(ticket=ticket, given_to="Ada Pell", at=ago(days=days))
    return ticket


def counts(shop: Shop, now: datetime | None = None) -> dict[str, int]:
    return {one.what: len(one.rows) for one in due(shop, now) if one.rows}


def test_a_customer_goes_the_day_after_their_days(tomas: Person) -> None:
    days = CLASSES["customers"].days
    ticket = closed(tomas, days - 1)
    shop = ticket.shop
    assert "customers" not in counts(shop)
    tomorrow = timezone.now() + timedelta(days=2)
    assert counts(shop, tomorrow)["customers"] == 1
    done = erase_due(shop, tomorrow)
    assert (done["customers"], done["tickets"]) == (1, 0)
    assert Customer.objects.get().erased_at
    assert not Note.objects.exclude(text="").exists()
    event = Event.objects.get(kind=Kind.CUSTOMER_ERASED)
    assert (event.by, event.codes) == (None, {"because": "kept_long_enough"})
    assert counts(shop, tomorrow) == {}


def test_of_who_comes_back_the_old_tickets_words_go(tomas: Person) -> None:
    old = closed(tomas, CLASSES["tickets"].days + 5)
    closed(tomas, 10, device=old.device)
    assert counts(old.shop) == {"tickets": 1}
    erase_due(old.shop)
    left = set(Note.objects.exclude(text="").values_list("ticket_id", flat=True))
    assert left == {Ticket.objects.latest("id").pk}
    assert Customer.objects.get().name == "Ada Pell"
    assert Event.objects.get(kind=Kind.PERSONAL_ERASED).ticket_id == old.pk
    assert counts(old.shop) == {}


def test_the_signed_paper_of_a_machine_left_to_us_stays_as_long_as_papers(
    tomas: Person,
) -> None:
    ticket = closed(tomas, 1)
    Handover.objects.update(way="left", drive="none", missing="the adapter")
    for about in ("slip", "handover"):
        row = Signature(ticket=ticket, about=about, at=ago(days=1))
        seal(row, "sealed", "M1 1L2 2")
        row.save()
    customer_erase(customer=ticket.customer, by=None)
    signed = Signature.objects.order_by("about").values_list("about", "sealed")
    assert [(about, bool(sealed)) for about, sealed in signed] == [
        ("handover", True),
        ("slip", False),
    ]
    assert Handover.objects.get().given_to == "Ada Pell"
    after = timezone.now() + timedelta(days=12 * 365)
    assert counts(ticket.shop, after) == {"papers": 2}
    erase_due(ticket.shop, after)
    assert not Signature.objects.exclude(sealed="").exists()
    assert Handover.objects.get().given_to == ""


def test_an_open_ticket_holds_its_customer(tomas: Person) -> None:
    old = closed(tomas, 2000)
    Handover.objects.all().delete()
    assert counts(old.shop) == {}


def test_messages_and_files_go_in_their_time(tomas: Person, marit: Person) -> None:
    ticket = closed(tomas, 1)
    shop = ticket.shop
    told = {"to": "a@pell.example", "subject": "Ready", "text": "It is ready."}
    for number, sent_at in enumerate((ago(days=366), ago(days=364), None)):
        OutgoingMessage.objects.create(
            shop_id=shop.pk,
            ticket_id=ticket.pk,
            message_id=f"test-{number}",
            sent_at=sent_at,
            queued_at=ago(days=400),
            **told,
        )
    run = import_of(shop, marit)
    ImportRun.objects.update(uploaded_at=ago(days=31))
    ImportRow.objects.create(run=run, line=2, state="bad", problem="Iris Vane?")
    assert counts(shop) == {"messages": 1, "imports": 1}
    erase_due(shop)
    texts = OutgoingMessage.objects.filter(message_id__startswith="test")
    assert list(texts.order_by("id").values_list("text", flat=True)) == [
        "",
        "It is ready.",
        "It is ready.",
    ]
    run.refresh_from_db()
    assert (bytes(run.body), run.lines.get().problem) == (b"", "")
    assert counts(shop) == {}


def test_a_dry_run_lists_and_erases_nothing(
    told: Ticket, words: Words, capsys: pytest.CaptureFixture[str], marit: Person
) -> None:
    periods_set(shop=told.shop, by=marit, days={"messages": 30})
    OutgoingMessage.objects.exclude(sent_at=None).update(sent_at=ago(days=31))
    before = named(words)
    call_command("erase_due", "--dry-run")
    said = capsys.readouterr().out
    assert f"{told.shop}, messages: " in said
    assert not [word for word in words.values() if word in said]
    assert named(words) == before
    call_command("erase_due")
    assert "messages" in capsys.readouterr().out
    assert named(words) < before


def test_the_nights_work_does_it(tomas: Person) -> None:
    closed(tomas, 2000)
    jobs.REGISTERED["erase what is due"].act()
    assert Customer.objects.get().erased_at


def test_who_was_erased_is_erased_again_in_an_older_database(
    tomas: Person, settings: Any
) -> None:
    """By the row's own moment: another database's customer 1 is somebody else."""
    ticket = closed(tomas, 1)
    row = Customer.objects.get()
    Customer.objects.update(erased_at=timezone.now())
    again.note_erased()
    told = (settings.BACKUP_DIR / "erased.list").read_text()
    assert told == f"{row.pk} {row.since.isoformat()}\n"
    again.note_erased()
    assert (settings.BACKUP_DIR / "erased.list").read_text() == told
    Customer.objects.update(erased_at=None, since=row.since + timedelta(seconds=1))
    jobs.REGISTERED["erase what is due"].act()
    assert Customer.objects.get().name == "Ada Pell"
    Customer.objects.update(since=row.since)
    jobs.REGISTERED["erase what is due"].act()
    assert Customer.objects.get().erased_at
    event = Event.objects.get(kind=Kind.CUSTOMER_ERASED)
    assert event.codes == {"because": "erased_before"}
    assert ticket.customer_id == row.pk


def test_every_place_of_backups_has_the_list(
    tomas: Person, settings: Any, tmp_path: Path
) -> None:
    """Whichever copy is put back, who was erased is known beside it."""
    places = [tmp_path / "own", tmp_path / "second", tmp_path / "backups"]
    for place in places[:2]:
        place.mkdir()
    settings.BACKUP_DIR, settings.SECOND_BACKUP_DIR = map(str, places[:2])
    settings.DATA_DIR = tmp_path
    closed(tomas, 1)
    row = Customer.objects.get()
    Customer.objects.update(erased_at=timezone.now())
    again.note_erased()
    line = f"{row.pk} {row.since.isoformat()}\n"
    assert [(place / again.NAME).read_text() for place in places] == [line] * 3
    Customer.objects.update(erased_at=None)
    for place in places[:2]:
        (place / again.NAME).unlink()
    assert again.erase_again() == 1
    assert Customer.objects.get().erased_at


def test_a_list_that_is_no_list_erases_nobody(tomas: Person, settings: Any) -> None:
    closed(tomas, 1)
    row = Customer.objects.get()
    lines = f"\nnobody\n{row.pk}\n{row.pk} yesterday\n"
    (settings.BACKUP_DIR / again.NAME).write_text(lines)
    assert again.erase_again() == 0
    assert Customer.objects.get().erased_at is None


def test_the_index_of_the_search_forgets_by_night(told: Ticket) -> None:
    """SQLite's lies in blocks of FTS5 tables; PostgreSQL's is of texts and words."""
    blocks = {
        "sqlite": "SELECT block FROM searching_trigrams_data "
        "UNION ALL SELECT block FROM searching_texts_data "
        "UNION ALL SELECT CAST(word AS BLOB) FROM searching_trigrams_words",
        "postgresql": "SELECT text::bytea FROM searching_tickettext "
        "UNION ALL SELECT word::bytea FROM searching_trigrams_words",
    }

    def is_in_index() -> bool:
        with connection.cursor() as cursor:
            cursor.execute(blocks[connection.vendor])
            return any(b"qan" in bytes(row[0]) for row in cursor.fetchall())

    assert is_in_index()
    customer_erase(customer=told.customer, by=None)
    jobs.REGISTERED["erase what is due"].act()
    assert not is_in_index()


def test_the_owners_days_are_dated_and_bounded(
    hollin_lane: Shop, marit: Person, client_of: ClientOf
) -> None:
    usual = {what: kept.days for what, kept in CLASSES.items()}
    assert days_of(hollin_lane) == usual
    owner, url = client_of("marit"), "/rights/periods/"
    page = owner.get(url).content.decode()
    assert 'value="1095"' in page
    assert "local law" in page
    form = usual | {"messages": 90}
    key = {"idempotency_key": str(uuid.uuid4())}
    assert owner.post(url, form | key).status_code == 302
    assert days_of(hollin_lane)["messages"] == 90
    assert Period.objects.get().by == marit
    event = Event.objects.get(kind=Kind.SETTINGS_CHANGED)
    assert event.amounts == {"messages": 90}
    assert event.codes == {"what": "keeping", "messages": 90, "messages_before": 365}
    key = {"idempotency_key": str(uuid.uuid4())}
    wrong = owner.post(url, form | key | {"papers": "30", "tickets": "x"})
    assert wrong.status_code == 422
    assert 'value="x"' in wrong.content.decode()
    assert Period.objects.count() == 1
    with pytest.raises(Refused, match="Between 365 and"):
        periods_set(shop=hollin_lane, by=marit, days={"papers": 30})


def test_what_lies_elsewhere_is_said_by_its_own_days(
    hollin_lane: Shop, client_of: ClientOf
) -> None:
    page = client_of("marit").get("/rights/periods/").content.decode()
    assert f"{drafts.KEPT.total_seconds() / 3600:.0f} hours" in page
    assert "/photos/keeping/" in page


def test_two_kept_rows_of_one_person_go_together(tomas: Person) -> None:
    old = closed(tomas, 2000)
    twin = CustomerFactory.create(shop=old.shop, name="A. Pell", since=ago(days=5))
    Customer.objects.filter(pk=twin.pk).update(joined_to=old.customer)
    assert counts(old.shop) == {"tickets": 1}
    Customer.objects.update(since=ago(days=2000))
    assert counts(old.shop)["customers"] == 1
    erase_due(old.shop)
    assert not Customer.objects.filter(name__contains="Pell").exists()
