"""The page of a board model's lore: sentence, faults, minutes, margin, tickets."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from diagnostics import lore_sentence
from diagnostics import services as bench
from diagnostics.lore_minutes import Minutes, minutes_of
from diagnostics.lore_sentence import Facts, sentence
from diagnostics.models import Board, BoardModel
from shop.billing import services as billing
from shop.desk import services as desk
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from tests.factories import TicketFactory
from tests.proving import proved

pytestmark = pytest.mark.one_database

MORNING = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
ClientOf = Callable[[str], Client]


# Power is gone: before any ohms are read.
GONE = tuple((f"k03/{rail}", "0.01") for rail in ("main", "mem.q", "cpu.core"))


@pytest.fixture
def heron(hollin_lane: Shop, ines: Person) -> BoardModel:
    return bench.board_model_keep(
        shop=hollin_lane, by=ines, number="HR-14", family="laptop_barrel"
    )


class Jobs:
    """Boards of one model that come in dead and go out fixed."""

    def __init__(self, model: BoardModel, ines: Person, tomas: Person) -> None:
        self.model, self.ines, self.tomas, self.count = model, ines, tomas, 0

    def take_in(self, model: BoardModel | None = None) -> tuple[Ticket, Board]:
        self.count += 1
        at = MORNING + timedelta(days=self.count)
        agreed = Money.of(900, "EUR")
        ticket = TicketFactory.create(by=self.tomas, at=at, pre_approved=agreed)
        return ticket, self.join(ticket, model or self.model)

    def join(self, ticket: Ticket, model: BoardModel) -> Board:
        return bench.board_join(
            ticket=ticket,
            by=self.ines,
            board_model=model,
            serial=f"S-{self.count}-{model.pk}",
            at=ticket.opened_at,
        )

    def fix(
        self,
        minutes: int,
        part: str = "p.cmain",
        ohms: str = "0.4",
        *,
        ends: str = "fixed",
        is_proven: bool = True,
    ) -> Ticket:
        ticket, board = self.take_in()
        self.repair(ticket, board, part, ohms, is_proven=is_proven)
        self.work(ticket, minutes)
        intake.outcome_record(
            ticket=proved(ticket, self.ines) if ends == "fixed" else ticket,
            by=self.ines,
            kind=ends,
            no_fix_reason="too_wide" if ends == "no_fix" else "",
        )
        return ticket

    def repair(
        self, ticket: Ticket, board: Board, part: str, ohms: str, *, is_proven: bool
    ) -> None:
        at = ticket.opened_at + timedelta(hours=1)
        own: dict[str, Any] = {"board": board, "ticket": ticket, "by": self.ines}
        for point, typed in (
            *GONE,
            ("k04/leads", "0.2"),
            ("k06/main", ohms),
        ):
            bench.reading_take(point_id=point, typed=typed, taken_at=at, **own)
        done: dict[str, Any] = {
            "kind": "replaced",
            "part_id": part,
            "at": at + timedelta(hours=1),
        }
        bench.intervention_do(**own, **done)
        for point, typed in (*GONE, ("k06/main", "62k")):
            bench.reading_take(
                point_id=point, typed=typed, taken_at=at + timedelta(hours=1), **own
            )
        bench.finding_confirm(
            **own,
            part_id=part,
            mode_id="short",
            is_proven=is_proven,
            at=at + timedelta(hours=2),
        )

    def work(self, ticket: Ticket, minutes: int, kind: str = "repair") -> None:
        billing.time_record(
            ticket=ticket,
            by=self.ines,
            person=self.ines,
            kind=kind,
            minutes=minutes,
            started_at=ticket.opened_at,
        )


@pytest.fixture
def jobs(heron: BoardModel, ines: Person, tomas: Person) -> Jobs:
    return Jobs(heron, ines, tomas)


def page_of(client: Client, model: BoardModel, **asked: str) -> Any:
    return client.get(model.get_absolute_url(), asked)


def words_of(client: Client, model: BoardModel, **asked: str) -> str:
    return " ".join(page_of(client, model, **asked).content.decode().split())


# --- faults ---


def test_faults_say_how_often_how_long_and_what_showed_them(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel
) -> None:
    first, second = jobs.fix(40), jobs.fix(70, ohms="0.6")
    jobs.fix(90, part="p.csb")
    page = page_of(client_of("ines"), heron)
    often, _once = page.context["faults"]
    assert (often.times, often.tickets) == (2, [second, first])
    assert often.minutes == Minutes(2, mean=55, least=40, most=70, half_under=55)
    (sign,) = often.signs
    assert (sign.title, sign.times) == ("main rail, resistance", 2)
    assert sign.values == "0.2 to 0.4\N{NO-BREAK SPACE}Ω"  # less the leads
    html = " ".join(page.content.decode().split())
    assert "55 min on average, 40 to 70, 2 jobs" in html
    assert "3 proven by their repair" in html


def test_what_no_repair_proved_or_no_fix_ended_counts_not(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel
) -> None:
    jobs.fix(40, is_proven=False)
    jobs.fix(40, ends="no_fix")
    assert page_of(client_of("ines"), heron).context["faults"] == []


def test_one_cause_named_twice_on_a_ticket_counts_once(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, ines: Person
) -> None:
    ticket = jobs.fix(40)
    board = ticket.ticket_boards.get().board
    bench.finding_confirm(
        board=board,
        ticket=ticket,
        by=ines,
        part_id="p.cmain",
        mode_id="short",
        is_proven=True,
    )
    (fault,) = page_of(client_of("ines"), heron).context["faults"]
    assert fault.times == 1


# --- the sentence ---

SINCE = MORNING
NOW = MORNING + timedelta(days=120)
HALF = Minutes(jobs=5, mean=90, least=40, most=120, half_under=95)
CONTROLLER, CAPACITOR = "3.3/5 V controller", "capacitor on main"


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        (
            Facts(14, 11, SINCE, [(CONTROLLER, 6), (CAPACITOR, 5)], HALF),
            (
                "14 boards seen since March, 11 fixed; mostly the 3.3/5 V controller "
                "(6 of 11). Half took up to 95 minutes."
            ),
        ),
        (
            Facts(14, 11, SINCE, [(CONTROLLER, 5), (CAPACITOR, 3), ("x", 3)], HALF),
            (
                "14 boards seen since March, 11 fixed; most often the 3.3/5 V "
                "controller (5 of 11). Half took up to 95 minutes."
            ),
        ),
        (
            Facts(4, 4, SINCE, [(CONTROLLER, 2), (CAPACITOR, 2)], HALF),
            (
                "4 boards seen since March, 4 fixed; no part more often than the "
                "others (4 causes). Half took up to 95 minutes."
            ),
        ),
        (
            Facts(2, 1, SINCE, [(CONTROLLER, 1)], minutes_of([40, 50])),
            (
                "2 boards seen since March, 1 fixed; too few causes proven yet to say "
                "what fails. Too few jobs with time on record yet to say how long one "
                "takes."
            ),
        ),
        (
            Facts(1, 0, SINCE - timedelta(days=300), [], None),
            (
                "1 board seen since May 2025, 0 fixed; no cause proven yet. Too few "
                "jobs with time on record yet to say how long one takes."
            ),
        ),
        (
            Facts(0, 0, None, [], None),
            "No board of this model has come in yet.",
        ),
    ],
)
def test_the_sentence_says_few_where_they_are_few(facts: Facts, said: str) -> None:
    assert sentence(facts, NOW) == said


def test_the_page_opens_with_it(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel
) -> None:
    for minutes in (40, 50, 95):
        jobs.fix(minutes)
    html = words_of(client_of("ines"), heron)
    assert "3 fixed; mostly the ceramic capacitor on main (3 of 3)." in html
    assert "Half took up to 50 minutes." in html


def test_no_share_under_three_ever(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, marit: Person
) -> None:
    jobs.fix(40)
    ticket = jobs.fix(50)
    desk.invoice_issue(ticket=ticket, by=marit)
    html = words_of(client_of("marit"), heron)
    assert "%" not in html.partition("<main")[2]
    assert lore_sentence.FEWEST == 3


# --- pictures ---


def test_marked_pictures_stand_on_the_page_and_say_where_rails_are(
    client_of: ClientOf, heron: BoardModel, ines: Person
) -> None:
    client = client_of("ines")
    assert "Where things are" not in words_of(client, heron)
    picture = bench.outline_keep(board_model=heron, by=ines, side="top", outline="wide")
    for x in (0.4, 0.5):
        bench.mark_set(
            picture=picture, by=ines, kind="inductor", x=x, y=0.3, size=3, look="a"
        )
    marks = [mark.pk for mark in picture.marks.all()]
    bench.circuit_say(board_model=heron, by=ines, marks=marks, circuit="cpu")
    html = words_of(client, heron, stage="cpu")
    assert "Where things are" in html
    assert "inductors of group A" in html


# --- minutes and money ---


def test_machine_time_is_nobodys_and_a_mixed_ticket_counts_apart(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, hollin_lane: Shop, ines: Person
) -> None:
    ticket = jobs.fix(40)
    jobs.work(ticket, 300, kind="machine")
    other = bench.board_model_keep(
        shop=hollin_lane, by=ines, number="PL-15", family="laptop_barrel"
    )
    both = jobs.fix(500)
    jobs.join(both, other)
    page = page_of(client_of("ines"), heron)
    total, *kinds = page.context["time"]
    assert (total.minutes.mean, total.minutes.jobs) == (40, 1)
    assert {row.name: row.minutes.mean for row in kinds} == {
        "repair": 40,
        "machine time": 300,
    }
    assert page.context["mixed"] == 1
    assert "1 ticket was about boards of several models" in page.content.decode()


def test_the_margin_of_three_tickets_by_hand(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, hollin_lane: Shop, marit: Person
) -> None:
    """Each: diagnosis 35.00, repair 60 min 60.00, part of 6.40 at 10.24, consumables
    4.00: 109.24 net. Cost: part 6.40, an hour at 34.00. 3 x 68.84 of 3 x 109.24 left:
    63.02 per cent."""
    hollin_lane.terms.update(cost_rate_minor=3400)
    for _job in range(3):
        ticket = jobs.fix(60)
        billing.part_use(
            ticket=ticket, by=marit, name="controller", cost=Money.of("6.40", "EUR")
        )
        desk.invoice_issue(ticket=ticket, by=marit)
    jobs.fix(60)  # neither billed nor handed over: it costs, but not yet
    margin = page_of(client_of("marit"), heron).context["margin"]
    assert (margin["tickets"], margin["percent"]) == (3, 63)
    figures = [str(margin[name]) for name in ("invoiced", "parts", "labour", "left")]
    assert figures == ["327.72", "19.20", "102.00", "206.52"]


def test_a_credit_note_takes_its_invoice_out_of_the_margin(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, marit: Person
) -> None:
    ticket = jobs.fix(60)
    invoice = desk.invoice_issue(ticket=ticket, by=marit)
    billing.credit_note_issue(invoice=invoice, by=marit)
    margin = page_of(client_of("marit"), heron).context["margin"]
    assert margin["invoiced"].minor == 0


def test_without_a_cost_rate_the_labour_stays_in_and_it_says_so(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, marit: Person
) -> None:
    for _job in range(3):
        desk.invoice_issue(ticket=jobs.fix(60), by=marit)
    html = words_of(client_of("marit"), heron)
    assert "No cost rate set: labour not taken off." in html
    assert "is left before labour" in html


def test_a_technician_sees_minutes_and_no_money(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, marit: Person
) -> None:
    desk.invoice_issue(ticket=jobs.fix(60), by=marit)
    page = page_of(client_of("ines"), heron)
    assert "margin" not in page.context
    assert "EUR" not in page.content.decode()
    assert client_of("tomas").get(heron.get_absolute_url()).status_code == 403


# --- tickets, lists ---


def test_ten_tickets_then_all(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel
) -> None:
    tickets = [jobs.take_in()[0] for _job in range(12)]
    client = client_of("ines")
    page = page_of(client, heron)
    shown = [row.ticket for row in page.context["tickets"]["rows"]]
    assert shown == tickets[:1:-1]
    assert "The other 2 too" in page.content.decode()
    everything = page_of(client, heron, tickets="all").context["tickets"]
    assert (len(everything["rows"]), everything["more"]) == (12, 0)


def test_the_questions_asked_do_not_grow_with_the_tickets(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, marit: Person
) -> None:
    client = client_of("marit")

    def asked() -> int:
        page_of(client, heron)  # what is kept of boards is made once
        with CaptureQueriesContext(connection) as queries:
            assert page_of(client, heron, stage="charge").status_code == 200
        return len(queries)

    def work(count: int) -> None:
        for _job in range(count):
            desk.invoice_issue(ticket=jobs.fix(60), by=marit)

    work(3)
    few = asked()
    work(9)  # more than the ten that the page shows
    assert asked() == few <= 30


def test_an_import_taken_back_was_never_seen(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel, ines: Person
) -> None:
    ticket = jobs.fix(40)
    intake.handover_do(ticket=ticket, by=ines, given_to="Ada Pell")
    ticket.handover.is_undone = True
    ticket.handover.save(update_fields=["is_undone"])
    page = page_of(client_of("ines"), heron)
    assert "No board of this model has come in yet" in page.content.decode()


def test_the_list_counts_boards_and_leads_on(
    jobs: Jobs, client_of: ClientOf, heron: BoardModel
) -> None:
    jobs.fix(40)
    jobs.take_in()
    client = client_of("marit")
    (row,) = client.get(reverse("diagnostics:lores")).context["models"]
    assert (row.model, row.counts.seen, row.counts.fixed) == (heron, 2, 1)
    exact = client.get(reverse("diagnostics:lores"), {"q": "hr-14"})
    assert exact["Location"] == heron.get_absolute_url()
    nothing = client.get(reverse("diagnostics:lores"), {"q": "XX"}).content.decode()
    assert "No board model with “XX”" in nothing


def test_another_shops_model_is_not_here(
    heron: BoardModel, client_elsewhere: Client
) -> None:
    assert client_elsewhere.get(heron.get_absolute_url()).status_code == 404
