"""More found than agreed: drafted, parked, waited for; the first yes stays billable."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import services as bench
from diagnostics.models import Board
from diagnostics.place import Place
from shop.billing import drafts
from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing.lines import line_of
from shop.billing.models import Quote, QuoteDraft
from shop.billing.totals import Line, totals
from shop.desk.found_more import found_more_record, is_unanswered, is_waiting
from shop.intake import queries as tickets
from shop.intake import services as intake
from shop.intake import words
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.samples import board_of

pytestmark = pytest.mark.django_db


def line(code: str, text: str, quantity: int, price: str, unit: str = "C62") -> Line:
    return Line.priced(
        code=code,
        text=text,
        quantity=Decimal(quantity),
        unit=unit,
        unit_price=Decimal(price),
        tax_percent=Decimal(20),
        currency="EUR",
    )


@pytest.fixture
def board(ticket: Ticket, ines: Person) -> Board:
    board = board_of(ticket, ines)
    bench.board_take(board=board, ticket=ticket, by=ines)
    return board


def answered(quote: Quote, by: Person, *, is_yes: bool) -> None:
    billing.quote_answer(
        quote=quote,
        is_yes=is_yes,
        answered_by="Ada Pell",
        channel="phone",
        recorded_by=by,
    )


@pytest.fixture
def agreed(ticket: Ticket, tomas: Person) -> Quote:
    """Case A of the brief: 121.20, agreed."""
    lines = [
        line("fee", "Diagnosis, as agreed", 1, "35.00"),
        line("labour.repair", "Repair", 60, "60.00", "MIN"),
        line("part", "Ceramic capacitor", 1, "2.00"),
        line("consumables", "Consumables", 1, "4.00"),
    ]
    quote = billing.quote_send(ticket=ticket, by=tomas, lines=lines)
    answered(quote, tomas, is_yes=True)
    return quote


def found(ticket: Ticket, board: Board, by: Person) -> QuoteDraft:
    return found_more_record(
        ticket=ticket,
        board=board,
        by=by,
        cause="The controller is dead too.",
        minutes=30,
        part="3.3/5 V controller",
        price=Money.of("10.24", "EUR"),
    )


def waits_for(ticket: Ticket) -> str:
    return words.waits_for(tickets.turn_of(ticket, timezone.now()))


def sent(ticket: Ticket, by: Person) -> Quote:
    draft = drafts.draft_of(ticket)
    assert draft is not None
    lines = [line_of(row) for row in draft.lines.all()]
    return billing.quote_send(ticket=ticket, by=by, lines=lines, cause=draft.cause)


def test_the_next_version_is_drafted_and_the_board_waits(
    ticket: Ticket, board: Board, agreed: Quote, ines: Person
) -> None:
    before = money.agreed(ticket), money.balance(ticket)
    draft = found(ticket, board, ines)
    lines = [line_of(row) for row in draft.lines.all()]
    assert draft.version == 2
    assert totals(lines, "EUR").total.amount == Decimal("169.49")
    assert sum(one.net.amount for one in lines) == Decimal("141.24")
    assert ticket.quotes.count() == 1
    assert (money.agreed(ticket), money.balance(ticket)) == before
    assert waits_for(ticket) == "parked for the customer: more was found"
    held = Event.objects.filter(board_id=board.pk, kind=Kind.BOARD_PUT_DOWN)
    assert held.exists()


def test_said_twice_it_is_drafted_once(
    ticket: Ticket, board: Board, agreed: Quote, ines: Person
) -> None:
    assert found(ticket, board, ines) == found(ticket, board, ines)
    assert QuoteDraft.objects.count() == 1
    assert Event.objects.filter(kind=Kind.FOUND_MORE).count() == 1


def test_what_fails_leaves_nothing_behind(
    ticket: Ticket, board: Board, ines: Person
) -> None:
    with pytest.raises(Refused, match="which minutes or which part"):
        found_more_record(ticket=ticket, board=board, by=ines, cause="?", minutes=0)
    intake.ticket_withdraw(ticket=ticket, by=ines)
    with pytest.raises(Refused, match="closed"):
        found(ticket, board, ines)
    assert not QuoteDraft.objects.exists()
    assert not Event.objects.filter(kind=Kind.FOUND_MORE).exists()


def test_the_bench_stands_still_until_the_answer(
    ticket: Ticket, board: Board, agreed: Quote, ines: Person, tomas: Person
) -> None:
    found(ticket, board, ines)
    with pytest.raises(Refused, match="waits for the customer"):
        bench.board_take(board=board, ticket=ticket, by=ines)
    earlier = timezone.now() - timedelta(minutes=30)
    bench.board_take(board=board, ticket=ticket, by=ines, at=earlier)
    assert is_waiting(ticket, timezone.now())
    bench.board_put_down(board=board, ticket=ticket, by=ines)
    quote = sent(ticket, tomas)
    assert is_waiting(ticket, timezone.now())
    answered(quote, tomas, is_yes=True)
    assert not is_unanswered(ticket)
    assert waits_for(ticket) == "repair, as agreed in quote 2"
    assert money.agreed(ticket).amount.amount == Decimal("169.49")
    bench.board_take(board=board, ticket=ticket, by=ines)


def test_taken_up_again_work_goes_as_far_as_was_agreed(
    ticket: Ticket, board: Board, agreed: Quote, ines: Person
) -> None:
    found(ticket, board, ines)
    intake.ticket_unpark(ticket=ticket, by=ines)
    bench.intervention_do(board=board, ticket=ticket, by=ines, kind="cleaned")
    screen: dict[str, Any] = {"ticket": ticket, "by": ines, "name": "Screen"}
    screen |= {"cost": Money.of("200.00", "EUR")}
    with pytest.raises(Refused, match="leave it on the shelf"):
        billing.part_use(**screen)
    billing.part_use(**screen, is_in_board=True)
    assert money.agreed(ticket).left.amount < 0
    with pytest.raises(Refused, match="Beyond what was agreed"):
        bench.intervention_do(board=board, ticket=ticket, by=ines, kind="reflowed")
    assert board.interventions.count() == 1


def test_at_the_cap_bench_and_ticket_say_so_in_one_line(
    ticket: Ticket,
    board: Board,
    agreed: Quote,
    ines: Person,
    client_of: Callable[[str], Client],
) -> None:
    """Minutes are never refused: the page says what becomes of them."""
    at_bench = client_of("ines")
    pages = (Place(ticket, board).url(), ticket.get_absolute_url())
    said = "Minutes are kept, but not billed without a new yes."
    for page in pages:
        assert said not in at_bench.get(page).content.decode()
    screen: dict[str, Any] = {"ticket": ticket, "by": ines, "name": "Screen"}
    cost = Money.of("200.00", "EUR")
    billing.part_use(**screen, cost=cost, is_in_board=True)
    for page in pages:
        shown = at_bench.get(page).content.decode()
        assert shown.count(said) == 1, page
        assert "Beyond what was agreed: ask first." in shown


def test_the_cap_counts_as_reached_when_nothing_is_left() -> None:
    """A fee is used up by its own line; a cap by the last cent."""
    cap, none, over = (Money.of(one, "EUR") for one in ("50", "0", "-0.01"))
    for source, left, is_reached in (
        (money.Source.QUOTE, none, True),
        (money.Source.QUOTE, Money.of("0.01", "EUR"), False),
        (money.Source.FEE, none, False),
        (money.Source.FEE, over, True),
    ):
        found = money.Agreed(cap, source, cap - left, left, cap)
        assert found.is_at_cap == is_reached


def test_a_no_to_more_leaves_the_first_yes_billable(
    ticket: Ticket, board: Board, agreed: Quote, ines: Person, tomas: Person
) -> None:
    billing.time_record(
        ticket=ticket,
        by=ines,
        person=ines,
        kind="repair",
        minutes=50,
        started_at=timezone.now(),
    )
    used = money.agreed(ticket).used
    found(ticket, board, ines)
    answered(sent(ticket, tomas), tomas, is_yes=False)
    after = money.agreed(ticket)
    assert (after.source, after.amount) == (money.Source.QUOTE, agreed.total)
    assert after.used == used
    assert after.left == after.cap - used
    assert used.amount == Decimal("118.80")  # 35 + 60 + 4, and 20 % of it
    assert waits_for(ticket) == "no to more: end what was agreed before"


# --- the page ---


def test_the_page_drafts_and_the_quote_form_begins_with_it(
    client: Client, ticket: Ticket, board: Board, agreed: Quote, ines: Person
) -> None:
    client.force_login(ines)
    url = reverse("desk:found_more", args=[ticket.number, board.pk])
    assert "Found more than was agreed" in client.get(url).content.decode()
    fields = {"cause": "Dead too.", "part": "Controller", "minutes": "30"}
    key = {"idempotency_key": str(uuid4())}
    refused = client.post(url, fields | key)
    assert refused.status_code == 422
    assert "Say what the part costs." in refused.content.decode()
    page = client.post(url, fields | key | {"price": "10.24"}, follow=True)
    html = page.content.decode()
    assert "parked until the customer answers" in html
    assert "Quote 2 is drafted, not sent." in html
    form = client.get(reverse("billing:quote_new", args=[ticket.number]))
    shown = form.content.decode()
    assert 'value="Controller"' in shown
    assert "Dead too.</textarea>" in shown
    assert 'value="90"' in shown
