"""How a ticket ends: outcome, things given back, handover."""

from collections.abc import Callable

import pytest
from django.utils import timezone

from shop.intake import queries
from shop.intake import services as intake
from shop.intake.models import Outcome, Ticket
from shop.intake.services import ThingDraft
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from tests.factories import TicketFactory


@pytest.fixture
def laptop(tomas: Person) -> Ticket:
    return TicketFactory.create(by=tomas, things=[ThingDraft("adapter")])


def test_an_outcome_makes_it_the_handovers_turn(laptop: Ticket, ines: Person) -> None:
    intake.outcome_record(ticket=laptop, by=ines, kind="fixed")
    assert queries.turn_of(laptop, timezone.now()).whose == "handover"


def test_no_fix_says_why(laptop: Ticket, ines: Person) -> None:
    with pytest.raises(Refused) as refused:
        intake.outcome_record(ticket=laptop, by=ines, kind="no_fix")
    assert refused.value.field == "no_fix_reason"
    intake.outcome_record(
        ticket=laptop, by=ines, kind="no_fix", no_fix_reason="no_part"
    )
    assert Outcome.objects.get().no_fix_reason == "no_part"


def test_only_no_fix_has_such_a_reason(laptop: Ticket, ines: Person) -> None:
    outcome = intake.outcome_record(
        ticket=laptop, by=ines, kind="fixed", no_fix_reason="no_part"
    )
    assert outcome.no_fix_reason == ""


def test_an_unknown_ending_and_a_second_one_are_refused(
    laptop: Ticket, ines: Person
) -> None:
    with pytest.raises(Refused):
        intake.outcome_record(ticket=laptop, by=ines, kind="magic")
    intake.outcome_record(ticket=laptop, by=ines, kind="fixed")
    with pytest.raises(Refused, match="already"):
        intake.outcome_record(ticket=laptop, by=ines, kind="declined")
    assert Outcome.objects.count() == 1


def test_a_thing_has_a_place_until_it_goes_back(laptop: Ticket, tomas: Person) -> None:
    adapter = laptop.things.get(kind="adapter")
    intake.thing_move(thing=adapter, by=tomas, place="Shelf C4")
    assert [(k.tag, k.place) for k in queries.things_of(laptop)] == [
        (f"{laptop.number}-1", ""),
        (f"{laptop.number}-2", "Shelf C4"),
    ]
    intake.thing_return(thing=adapter, by=tomas)
    assert [k.is_given_back for k in queries.things_of(laptop)] == [False, True]
    with pytest.raises(Refused, match="already"):
        intake.thing_return(thing=adapter, by=tomas)


@pytest.mark.parametrize("place", ["", "  ", "x" * 41])
def test_a_place_is_a_few_words(laptop: Ticket, tomas: Person, place: str) -> None:
    with pytest.raises(Refused):
        intake.thing_move(thing=laptop.things.all()[0], by=tomas, place=place)


def test_a_handover_counts_everything_back_and_closes(
    laptop: Ticket, tomas: Person
) -> None:
    intake.thing_return(thing=laptop.things.get(kind="adapter"), by=tomas)
    intake.handover_do(ticket=laptop, by=tomas, given_to="Ada Pell")
    kinds = [event.kind for event in queries.events_of(laptop)]
    assert kinds.count(Kind.THING_RETURNED) == 2
    assert kinds[0] == Kind.TICKET_CLOSED
    assert queries.turn_of(laptop, timezone.now()).whose == "nobody"
    assert queries.tickets_open(laptop.shop) == []


def test_a_handover_says_to_whom(laptop: Ticket, tomas: Person) -> None:
    for name in ("", "x" * 201):
        with pytest.raises(Refused) as refused:
            intake.handover_do(ticket=laptop, by=tomas, given_to=name)
        assert refused.value.field == "given_to"
    assert len(queries.tickets_open(laptop.shop)) == 1


def test_a_closed_ticket_takes_no_more_acts(laptop: Ticket, tomas: Person) -> None:
    intake.handover_do(ticket=laptop, by=tomas, given_to="Ada Pell")
    acts: list[Callable[[], object]] = [
        lambda: intake.handover_do(ticket=laptop, by=tomas, given_to="Ada Pell"),
        lambda: intake.outcome_record(ticket=laptop, by=tomas, kind="fixed"),
        lambda: intake.ticket_unpark(ticket=laptop, by=tomas),
        lambda: intake.customer_told(
            ticket=laptop, by=tomas, channel="phone", next_contact=None
        ),
    ]
    for act in acts:
        with pytest.raises(Refused, match="closed"):
            act()
