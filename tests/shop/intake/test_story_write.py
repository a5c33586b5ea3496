"""The four texts of a ticket's story, and two people who write one."""

import pytest

from shop.intake import queries
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.story import Story, current_notes
from shop.people.models import Person
from shop.records.errors import Refused, StaleEdit
from shop.records.models import Note

TOLD = "Charged it overnight, dead in the morning."


def test_the_story_begins_with_what_was_told(ticket: Ticket) -> None:
    assert queries.story_of(ticket) == Story(told=TOLD)


def test_a_new_text_takes_the_place_and_the_old_is_kept(
    ticket: Ticket, ines: Person
) -> None:
    intake.story_write(ticket=ticket, by=ines, kind="found", text="A short.")
    intake.story_write(ticket=ticket, by=ines, kind="found", text=" A cracked joint. ")
    assert queries.story_of(ticket) == Story(told=TOLD, found="A cracked joint.")
    assert Note.objects.filter(ticket_id=ticket.pk).count() == 3


def test_events_hold_no_words_of_the_story(ticket: Ticket, ines: Person) -> None:
    intake.story_write(ticket=ticket, by=ines, kind="done", text="Canary 7719")
    event = queries.events_of(ticket)[0]
    assert event.note is not None
    assert "7719" in event.note.text
    assert "7719" not in f"{event.codes}{event.ids}{event.amounts}"


def test_a_stale_text_shows_mine_and_theirs(
    ticket: Ticket, ines: Person, sami: Person
) -> None:
    intake.story_write(ticket=ticket, by=sami, kind="found", text="Theirs.")
    with pytest.raises(StaleEdit) as stale:
        intake.story_write(ticket=ticket, by=ines, kind="found", text="Mine.", seen=0)
    assert stale.value.mine == {"found": "Mine."}
    assert stale.value.theirs == {"found": "Theirs."}


def test_a_rewrite_keeps_all_or_nothing(
    ticket: Ticket, ines: Person, sami: Person
) -> None:
    intake.story_write(ticket=ticket, by=sami, kind="proved", text="Theirs.")
    texts = {"told": TOLD, "found": "Mine.", "proved": "Mine too."}
    with pytest.raises(StaleEdit):
        intake.story_rewrite(ticket=ticket, by=ines, texts=texts, seen={"proved": 0})
    assert queries.story_of(ticket).found == ""


def test_a_rewrite_leaves_what_is_the_same_alone(ticket: Ticket, ines: Person) -> None:
    before = current_notes(ticket)["told"].pk
    texts = {"told": f" {TOLD}", "found": "A short."}
    intake.story_rewrite(ticket=ticket, by=ines, texts=texts, seen={"told": before})
    assert current_notes(ticket)["told"].pk == before
    assert queries.story_of(ticket).found == "A short."


@pytest.mark.parametrize(
    ("kind", "text"), [("moral", "x"), ("found", "   "), ("found", "x" * 5001)]
)
def test_nonsense_is_refused(
    ticket: Ticket, ines: Person, kind: str, text: str
) -> None:
    with pytest.raises(Refused):
        intake.story_write(ticket=ticket, by=ines, kind=kind, text=text)
