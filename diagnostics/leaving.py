"""Somebody leaves the shop: what they have in hand is put down with it."""

from diagnostics import holding
from shop.people.models import Person
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event


def person_left(event: Event) -> None:
    """In the transaction of the leaving; the boards' clocks stop at its moment."""
    assert event.person_id is not None
    person = Person.objects.get(pk=event.person_id)
    for board_id, ticket_id in holding.boards_in_hand(person):
        records.event_record(
            Kind.BOARD_PUT_DOWN,
            shop_id=event.shop_id,
            by_id=event.by_id,
            at=event.at,
            ticket_id=ticket_id,
            board_id=board_id,
            person_id=person.pk,
        )
