"""The table of words: what the texts have, and nothing that none has any more."""

import random
import sqlite3

import pytest
from django.apps import apps
from django.db import connection

from shop.intake.models import Ticket
from shop.people.models import Person
from shop.searching import following, plain, trigrams, words
from shop.searching.models import TicketText
from shop.searching.word_names import WORDS
from tests.factories import TicketFactory


def kept() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT word FROM {WORDS}")  # noqa: S608
        return sorted(word for (word,) in cursor.fetchall())


def told() -> list[str]:
    """The words of all texts, taken apart by Python."""
    found = set[str]()
    for text in TicketText.objects.values_list("text", flat=True):
        who, story = plain.parts_of(text)
        found |= {f"0{word}0" for word in who} | {f"1{word}1" for word in story}
    return sorted(found)


@pytest.fixture
def tickets(tomas: Person) -> list[Ticket]:
    return [TicketFactory.create(by=tomas) for _time in range(4)]


TEXTS = (
    plain.text_of(["ada", "peii", "王", "øß"], ["dead", "in", "the"]),
    plain.text_of(["ada", "quarr"], ["dead", "peii", "μηνιν"]),
    plain.text_of(["io"], []),
    plain.text_of([], ["the", "morning"]),
    plain.text_of([], []),
)


def test_the_words_are_those_of_the_texts_whatever_is_done(
    tickets: list[Ticket],
) -> None:
    """Saved, written in bulk and deleted in any order."""
    assert kept() == told() != []
    draw = random.Random(4)
    for _turn in range(60):
        rows = TicketText.objects.filter(ticket=draw.choice(tickets))
        act = draw.randrange(4)
        if act == 0:
            rows.delete()
        elif act == 1:
            TicketText.objects.update(text=draw.choice(TEXTS))
        else:
            TicketText.objects.bulk_create(
                [
                    TicketText(ticket=one, shop_id=one.shop_id, text=draw.choice(TEXTS))
                    for one in draw.sample(tickets, 2)
                ],
                update_conflicts=True,
                unique_fields=["ticket"],
                update_fields=["text"],
            )
        assert kept() == told()
    TicketText.objects.all().delete()
    assert kept() == []


def test_words_of_texts_that_are_there_are_taken_in(tickets: list[Ticket]) -> None:
    """As the migration does it for a shop of some years."""
    for ticket, text in zip(tickets, TEXTS, strict=False):
        TicketText.objects.filter(ticket=ticket).update(text=text)
    connection.check_constraints()  # PostgreSQL makes no index while some are deferred
    trigrams.drop(connection)
    words.make(connection)
    assert trigrams.make(connection, print)
    assert kept() == told()
    TicketText.objects.filter(ticket=tickets[0]).delete()
    assert kept() == told()
    assert "0øß0" not in kept()


def test_by_night_words_that_two_acts_left_or_took_are_mended(
    tickets: list[Ticket],
) -> None:
    """SQLite has one writer at a time, and nothing to mend."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"INSERT INTO {WORDS} VALUES ('0xyiophone0')")  # noqa: S608
            cursor.execute(f"DELETE FROM {WORDS} WHERE word LIKE '1%'")  # noqa: S608
        assert kept() != told()
    words.keep(connection, [ticket.pk for ticket in tickets])
    words.sweep(connection, lambda: True)
    assert kept() == told()


@pytest.mark.django_db
@pytest.mark.one_database
@pytest.mark.parametrize(("version", "times"), [((3, 41, 2), 0), ((3, 42, 0), 1)])
def test_after_a_migration_the_index_is_told_to_forget_at_once(
    monkeypatch: pytest.MonkeyPatch, version: tuple[int, int, int], times: int
) -> None:
    """SQLite, FTS5, "secure-delete" (3.42): tables laid at once don't know of it."""
    said: list[str] = []
    monkeypatch.setattr(sqlite3, "sqlite_version_info", version)
    monkeypatch.setattr(trigrams, "_say_to_each", lambda _line, one: said.append(one))
    for app in apps.get_app_configs():
        following.anew_after(app)
    assert said == [trigrams.FORGET] * times
