"""The same thing sent twice, at once and late: one effect, one answer.

Against a live server of several workers: ten at once with one key, ten late
replays, then the key with another body and from another person. Every kind of
act in turn.
"""

import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import timedelta
from itertools import cycle, islice

from django.db import connection
from django.db.models import Model
from django.urls import reverse
from django.utils import timezone

from diagnostics.models import Intervention, Reading
from shop.billing.models import Invoice, Payment, TimeEntry
from shop.intake.models import Outcome, Ticket
from shop.people.models import Person
from tests.drills.place import Result
from tests.drills.scene import person_in, session_of, shop_and_person
from tests.drills.server import Answer, Server, Session, serving
from tests.factories import TicketFactory
from tests.samples import board_of

AT_ONCE = 10
LATE = 10
WORKERS = 4
REFUSED = 422


@dataclass(frozen=True)
class Act:
    """A form that does one thing to a ticket, and the row that it makes."""

    view: str
    form: dict[str, str]
    changed: dict[str, str]
    makes: type[Model]
    is_at_board: bool = False

    def path(self, ticket: Ticket) -> str:
        board = ticket.ticket_boards.get().board_id
        args = [ticket.number, board] if self.is_at_board else [ticket.number]
        return reverse(self.view, args=args)


ACTS = (
    Act(
        "diagnostics:reading_take",
        {"point_id": "k04/leads", "check": "k04", "typed": "0.21"},
        {"typed": "0.22"},
        Reading,
        is_at_board=True,
    ),
    Act(
        "billing:payment_take",
        {"amount": "12.00", "method": "cash"},
        {"amount": "21.00"},
        Payment,
    ),
    Act(
        "billing:time_record",
        {"kind": "diagnosis", "minutes": "15"},
        {"minutes": "51"},
        TimeEntry,
    ),
    Act(
        "diagnostics:intervention",
        {"kind": "cleaned", "place": "by the jack"},
        {"kind": "reflowed"},
        Intervention,
        is_at_board=True,
    ),
    Act("intake:outcome", {"kind": "no_fault_found"}, {"kind": "fixed"}, Outcome),
    Act("desk:invoice_issue", {}, {"more": "1"}, Invoice),
)


@dataclass(frozen=True)
class People:
    server: Server
    one: Session
    other: Session


def run(seed: int, rounds: int) -> Result:
    """One key a round; the seed is not needed, the acts come in turn."""
    shop, person = shop_and_person()
    other = person_in(shop)
    lost: list[str] = []
    with serving(WORKERS) as server:
        people = People(server, session_of(person), session_of(other))
        for act in islice(cycle(ACTS), rounds):
            ticket = ticket_with_board(person)
            lost += found_wrong(act, ticket, people)
    requests = rounds * (AT_ONCE + LATE + 2)
    counts = {"keys": rounds, "kinds of act": len(ACTS), "requests": requests}
    return Result("twice", counts, tuple(lost))


def ticket_with_board(by: Person) -> Ticket:
    """Taken in yesterday, so that time can have been spent on it."""
    ticket = TicketFactory.create(by=by, at=timezone.now() - timedelta(days=1))
    board_of(ticket, by)
    return ticket


def found_wrong(act: Act, ticket: Ticket, people: People) -> Iterator[str]:
    path, key = act.path(ticket), str(uuid.uuid4())
    connection.close()  # so that no line is open while others write

    def send(who: Session, form: dict[str, str]) -> Answer:
        answer = people.server.post(who, path, form, key)
        assert answer is not None, "whoever waits gets an answer"
        return answer

    with ThreadPoolExecutor(AT_ONCE) as pool:
        same = [pool.submit(send, people.one, act.form) for _n in range(AT_ONCE)]
        answers = {one.result() for one in same}
    answers |= {send(people.one, act.form) for _n in range(LATE)}
    if len(answers) != 1 or not all(answer.is_done for answer in answers):
        yield f"{act.view}: answers {sorted(one.status for one in answers)}"
    if send(people.one, act.form | act.changed).status != REFUSED:
        yield f"{act.view}: another body was not refused"
    if send(people.other, act.form).status != REFUSED:
        yield f"{act.view}: another person was not refused"
    made = act.makes._default_manager.filter(ticket=ticket).count()
    if made != 1:
        yield f"{act.view}: done {made} times"
