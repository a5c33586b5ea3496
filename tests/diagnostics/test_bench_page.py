"""The bench page: one card in hand, the ladder, the suspects, what is held off."""

import re
from copy import copy
from datetime import timedelta
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from diagnostics import holding, queries
from diagnostics import services as bench
from diagnostics.models import Board, BoardModel, Finding, Meter, Reading
from shop.intake.models import Handover, Ticket
from shop.people.models import Person, Shop
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.diagnostics.conftest import Read
from tests.factories import TicketFactory

pytestmark = pytest.mark.one_database

HTMX = {"HX-Request": "true"}


def page_of(job: Ticket, board: Board, **state: object) -> str:
    page = reverse("diagnostics:board", args=[job.number, board.pk])
    return f"{page}?{urlencode(state)}" if state else page


def act_of(job: Ticket, board: Board, name: str, *more: object) -> str:
    return reverse(f"diagnostics:{name}", args=[job.number, board.pk, *more])


def keyed(**fields: object) -> dict[str, object]:
    return {"idempotency_key": str(uuid4()), **fields}


def gone(read: Read) -> None:
    """Power gone, just now: the page judges by the clock of now."""
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01", taken_at=timezone.now())


# --- looking ---


def test_it_opens_on_the_first_check_of_the_walk(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    html = at_bench.get(page_of(job, board)).content.decode()
    assert "top side, microscope" in html
    assert 'name="category" value="corroded"' in html
    assert Event.objects.filter(kind=Kind.BOARD_TAKEN).count() == 0


def test_a_check_says_where_with_what_and_what_to_expect(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    html = at_bench.get(page_of(job, board, check="k03")).content.decode()
    for words in ("Red on", "Black on", "Volts DC", "Caution", "Expect", "autofocus"):
        assert words in html


def test_a_held_off_check_offers_what_frees_it_and_no_entry(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    html = at_bench.get(page_of(job, board, check="k06")).content.decode()
    assert "Held off" in html
    assert 'name="typed"' not in html
    assert page_of(job, board, check="k03").replace("&", "&amp;") in html


def test_htmx_gets_the_card_and_both_columns_out_of_band(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    html = at_bench.get(page_of(job, board, check="k03"), headers=HTMX).content.decode()
    swapped = re.findall(r'<\w+ id="([a-z-]+)"[^>]*hx-swap-oob', html)
    assert swapped == ["ladder", "beside", "more-seen", "more-hand"]
    assert "<html" not in html


@pytest.mark.parametrize("state", [{"check": "k99"}, {"reading": "x"}, {"stage": "9"}])
def test_a_strange_address_shows_what_comes_next(
    at_bench: Client, job: Ticket, board: Board, state: dict[str, str]
) -> None:
    assert at_bench.get(page_of(job, board, **state)).status_code == 200


def test_another_tickets_board_is_not_found(
    at_bench: Client, board: Board, tomas: Person
) -> None:
    other = TicketFactory.create(by=tomas)
    assert at_bench.get(page_of(other, board)).status_code == 404


# --- taking a reading ---


def test_a_reading_turns_the_card_into_its_verdict(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = keyed(point_id="k03/main", typed="12 mV", uuid=uuid4())
    response = at_bench.post(act_of(job, board, "reading_take"), fields)
    reading = Reading.objects.get()
    assert response.status_code == 302
    assert response["Location"] == page_of(
        job, board, reading=reading.pk, taken="freely"
    )
    html = at_bench.get(response["Location"]).content.decode()
    for words in ("<strong>Good</strong>", "12", "Strike through", "Next in the walk"):
        assert words in html


def test_htmx_gets_the_verdict_at_once(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = keyed(point_id="k03/main", typed="12")
    response = at_bench.post(act_of(job, board, "reading_take"), fields, headers=HTMX)
    html = response.content.decode()
    assert response.status_code == 200
    assert "<strong>Bad</strong>" in html
    assert "data-alone" in html
    assert 'id="ladder"' not in html
    live = at_bench.get(f"{act_of(job, board, 'live')}?seen=0-0-0-0", headers=HTMX)
    for part in ("ladder", "beside", "more-hand", "id_offered"):
        assert f'id="{part}"' in live.content.decode()


@pytest.mark.parametrize(
    "entry", [{"typed": "0.011"}, {"typed": "OL"}, {"outcome": "not_fitted"}]
)
def test_its_verdict_is_told_from_all_that_is_known_with_it(
    at_bench: Client, job: Ticket, board: Board, read: Read, entry: dict[str, str]
) -> None:
    """What was loaded to keep it serves to judge it, and is what a look anew finds."""
    gone(read)
    fields = keyed(point_id="k04/leads", **entry)
    card = at_bench.post(act_of(job, board, "reading_take"), fields, headers=HTMX)
    anew = at_bench.get(card["HX-Push-Url"], headers=HTMX).content.decode()
    told, found = (_card(html) for html in (card.content.decode(), anew))
    assert told
    assert told == found


def test_who_walks_waits_for_no_suspects(
    at_bench: Client, job: Ticket, board: Board, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_bench.get(page_of(job, board, way="walk"))
    monkeypatch.delattr("diagnostics.advising.said_on_page")
    fields = keyed(point_id="k03/main", typed="0.01")
    card = at_bench.post(act_of(job, board, "reading_take"), fields, headers=HTMX)
    assert "Next in the walk" in card.content.decode()


def _card(html: str) -> str:
    """The verdict with what is next, without the keys that no two forms share."""
    inside = re.search(r'<section id="card".*?\n</section>', html, re.DOTALL)
    assert inside is not None
    keys = r" data-alone|value=\"[0-9a-f-]{32,36}\"|value=\"[A-Za-z0-9]{64}\""
    return re.sub(keys, "", inside[0])


def test_a_double_tap_keeps_one_reading(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = keyed(point_id="k03/main", typed="0.01", uuid=uuid4())
    first = at_bench.post(act_of(job, board, "reading_take"), fields)
    second = at_bench.post(act_of(job, board, "reading_take"), fields)
    assert Reading.objects.count() == 1
    assert second["Location"] == first["Location"]


@pytest.mark.parametrize(
    "typed", ["5 ohm", "hello", "<script>alert(1)</script>", "שלום", "9" * 5000]
)
def test_a_wrong_entry_is_kept_beside_what_is_wrong(
    at_bench: Client, job: Ticket, board: Board, typed: str
) -> None:
    fields = keyed(point_id="k03/main", typed=typed, check="k03", point="k03/main")
    response = at_bench.post(act_of(job, board, "reading_take"), fields)
    html = response.content.decode()
    assert response.status_code == 422
    assert not Reading.objects.exists()
    assert 'role="alert"' in html
    assert "<script>" not in html.replace("<script src", "")
    shown = typed.replace("<", "&lt;").replace(">", "&gt;")
    assert f'value="{shown}"' in html


def test_a_held_off_reading_is_refused_with_its_reason(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = keyed(point_id="k06/main", typed="41k", check="k06")
    response = at_bench.post(act_of(job, board, "reading_take"), fields)
    assert response.status_code == 422
    assert "Held off" in response.content.decode()
    assert not Reading.objects.exists()


def test_taps_say_what_no_number_can(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    gone(read)
    for outcome in ("ol", "climbing", "cant_reach"):
        fields = keyed(point_id="k05/in.jack", outcome=outcome, typed="")
        at_bench.post(act_of(job, board, "reading_take"), fields)
    outcomes = board.readings.filter(check_id="k05").values_list("outcome", flat=True)
    assert list(outcomes) == ["ol", "climbing", "cant_reach"]


def test_how_it_was_taken_is_kept(
    at_bench: Client, job: Ticket, board: Board, hollin_lane: Shop
) -> None:
    meter = Meter.objects.create(shop=hollin_lane, name="B2")
    fields = keyed(point_id="k03/main", typed="0.01", meter=meter.pk, note="twice")
    at_bench.post(act_of(job, board, "reading_take"), fields)
    reading = Reading.objects.get()
    assert reading.meter == meter
    assert reading.note is not None
    html = at_bench.get(page_of(job, board, check="k03")).content.decode()
    assert f'<option value="{meter.pk}" selected>' in html


def test_a_meter_of_another_shop_is_no_choice(
    at_bench: Client, job: Ticket, board: Board, elsewhere: Person
) -> None:
    theirs = elsewhere.memberships.first()
    assert theirs is not None
    meter = Meter.objects.create(shop=theirs.shop, name="Z9")
    fields = keyed(point_id="k03/main", typed="0.01", meter=meter.pk)
    response = at_bench.post(act_of(job, board, "reading_take"), fields)
    assert response.status_code == 422
    assert not Reading.objects.exists()


def test_two_technicians_may_work_on_one_board(
    at_bench: Client, job: Ticket, board: Board, sami: Person
) -> None:
    other = Client()
    other.force_login(sami)
    for client, typed in ((at_bench, "0.01"), (other, "0.02")):
        fields = keyed(point_id="k03/main", typed=typed)
        client.post(act_of(job, board, "reading_take"), fields)
    assert Reading.objects.count() == 2
    html = other.get(page_of(job, board)).content.decode()
    assert "Ines Okafor has this board in hand." in html


def test_striking_goes_back_to_the_same_point(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    reading = read("k03/main", "12")
    url = act_of(job, board, "reading_strike", reading.pk)
    response = at_bench.post(url, keyed())
    assert response["Location"] == page_of(job, board, check="k03", point="k03/main")
    assert queries.is_struck(reading)


# --- the other acts ---


def test_an_intervention_and_a_finding_are_recorded(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    done = keyed(kind="replaced", part_id="p.dual", place="U3")
    assert at_bench.post(act_of(job, board, "intervention"), done).status_code == 302
    found = keyed(cause="part", suspect="p.dual:no_output", is_proven="on")
    assert at_bench.post(act_of(job, board, "finding"), found).status_code == 302
    assert board.interventions.get().epoch == 1
    finding = Finding.objects.get()
    assert (finding.part_id, finding.mode_id, finding.is_proven) == (
        "p.dual",
        "no_output",
        True,
    )
    html = at_bench.get(page_of(job, board)).content.decode()
    assert "U3" in html


def test_a_refused_finding_keeps_what_was_chosen(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    found = keyed(cause="part", suspect="p.dual:no_output", is_proven="on", place="U3")
    response = at_bench.post(act_of(job, board, "finding"), found)
    html = response.content.decode()
    assert response.status_code == 422
    assert "record first what was done" in html
    assert 'value="U3"' in html
    assert 'value="p.dual:no_output" selected' in html
    assert not Finding.objects.exists()


def test_a_gate_is_passed_over_on_its_card(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = keyed(
        check_id="k05",
        gate_id="k03",
        chip="seen_on_scope",
        limit_amps="",
        words="flat line",
        check="k05",
    )
    response = at_bench.post(act_of(job, board, "gate_overrule"), fields)
    assert response["Location"] == page_of(job, board, check="k05")
    assert 'name="typed"' in at_bench.get(response["Location"]).content.decode()


def test_a_wrong_limit_stays_in_its_field(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = keyed(
        check_id="k05", gate_id="k03", chip="limited_power", limit_amps="3 V"
    )
    url = act_of(job, board, "gate_overrule")
    response = at_bench.post(url, {**fields, "check": "k05"})
    assert response.status_code == 422
    assert 'value="3 V"' in response.content.decode()
    assert not board.gate_overrides.exists()


def test_taking_and_putting_down(
    at_bench: Client, job: Ticket, board: Board, ines: Person
) -> None:
    at_bench.post(act_of(job, board, "board_take"), keyed())
    assert holding.holder_of(board) == ines.pk
    at_bench.post(act_of(job, board, "board_put_down"), keyed())
    assert holding.holder_of(board) is None


def test_a_stage_marked_not_fitted_leaves_the_walk(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    at_bench.post(act_of(job, board, "not_fitted"), keyed(point_id="graphics"))
    assert not queries.engine_board(board).is_fitted("gfx.core")


def test_a_stage_that_is_there_after_all_comes_back(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    url = act_of(job, board, "not_fitted")
    at_bench.post(url, keyed(point_id="graphics", stage="graphics"))
    html = at_bench.get(page_of(job, board, stage="graphics")).content.decode()
    assert "is on this board after all" in html
    at_bench.post(url, keyed(point_id="graphics", is_fitted="on", stage="graphics"))
    assert queries.engine_board(board).is_fitted("gfx.core")


def test_an_act_on_a_closed_ticket_says_why_it_is_refused(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    Handover.objects.create(ticket=job, given_to="Ada Pell")
    response = at_bench.post(act_of(job, board, "board_take"), keyed())
    assert response.status_code == 422
    assert "This ticket is closed" in response.content.decode()


def test_a_strike_with_an_endless_reason_strikes_nothing(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    reading = read("k03/main", "12")
    url = act_of(job, board, "reading_strike", reading.pk)
    response = at_bench.post(url, keyed(why="x" * 10_000))
    assert response.status_code == 422
    assert not queries.is_struck(reading)


def test_data_first_is_printed_on_the_bench(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    job.goal = "data_first"
    job.save(update_fields=["goal"])
    assert "DATA FIRST" in at_bench.get(page_of(job, board)).content.decode()


# --- what it costs ---


def many_readings(read: Read, count: int) -> None:
    """Some as a technician takes them, the others the same rows once more."""
    taken = [
        read(f"k03/{rail}", "0.01", taken_at=timezone.now())
        for rail in ("main", "mem.q", "cpu.core")
    ]
    more = [copy(taken[number % 3]) for number in range(len(taken), count)]
    for reading in more:
        reading.pk, reading.uuid, reading.taken_at = None, uuid4(), timezone.now()
    Reading.objects.bulk_create(more)


@pytest.mark.parametrize("count", [10, 200])
def test_the_page_asks_the_database_as_often_at_10_as_at_200(
    at_bench: Client,
    job: Ticket,
    board: Board,
    read: Read,
    count: int,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    many_readings(read, count)
    assert board.readings.count() == count
    at_bench.get(page_of(job, board))
    with django_assert_num_queries(BENCH_QUERIES):
        assert at_bench.get(page_of(job, board)).status_code == 200


# The bench itself asks 21; the line above it, of money and intake, 12; photos 2;
# machine time 1; the clocks, of this ticket and of the person who looks, 23.
BENCH_QUERIES = 65


# --- the bench's first page ---


def test_the_list_shows_what_is_in_hand_and_what_to_take_next(
    at_bench: Client, job: Ticket, board: Board, ines: Person, tomas: Person
) -> None:
    waiting = TicketFactory.create(by=tomas)
    bench.board_take(board=board, ticket=job, by=ines)
    html = at_bench.get(reverse("diagnostics:bench")).content.decode()
    in_hand, _head, take_next = html.partition("Take next")
    assert page_of(job, board) in in_hand
    assert reverse("diagnostics:board_join", args=[waiting.number]) in take_next


def test_at_most_six_rows_are_offered(at_bench: Client, tomas: Person) -> None:
    TicketFactory.create_batch(8, by=tomas)
    html = at_bench.get(reverse("diagnostics:bench")).content.decode()
    assert html.count("no board named yet") == 6
    assert "2 more wait behind these" in html
    every = at_bench.get(f"{reverse('diagnostics:bench')}?all=1").content.decode()
    assert every.count("no board named yet") == 8


def test_a_parked_ticket_is_not_offered(
    at_bench: Client, tomas: Person, job: Ticket
) -> None:
    from shop.intake import services as intake

    until = (timezone.now() + timedelta(days=2)).date()
    intake.ticket_park(
        ticket=job, by=tomas, until=until, because="drying", waits_for="resting"
    )
    html = at_bench.get(reverse("diagnostics:bench")).content.decode()
    assert f"<strong>{job.number}</strong>" not in html
    assert "1 parked" in html
    every = at_bench.get(f"{reverse('diagnostics:bench')}?all=1").content.decode()
    parked, _head, offered = every.partition("Take next")
    assert f"<strong>{job.number}</strong>" in parked
    assert f"<strong>{job.number}</strong>" not in offered


# --- naming the board ---


def test_a_known_board_number_is_enough(
    at_bench: Client, job: Ticket, heron: BoardModel
) -> None:
    url = reverse("diagnostics:board_join", args=[job.number])
    assert "HR-14-MB" in at_bench.get(url).content.decode()
    response = at_bench.post(url, keyed(number="hr-14-mb", serial="R7-9"))
    board = job.ticket_boards.get().board
    assert board.board_model == heron
    assert response["Location"] == page_of(job, board)


def test_a_new_board_number_asks_for_its_family(at_bench: Client, job: Ticket) -> None:
    url = reverse("diagnostics:board_join", args=[job.number])
    response = at_bench.post(url, keyed(number="PL-15", serial="X"))
    html = response.content.decode()
    assert response.status_code == 422
    assert 'value="PL-15"' in html
    assert "family" in html
    fields = keyed(number="PL-15", family="laptop_barrel", name="Plover-15")
    assert at_bench.post(url, fields).status_code == 302
    assert BoardModel.objects.get().name == "Plover-15"


def test_an_unknown_family_is_refused_in_words(at_bench: Client, job: Ticket) -> None:
    url = reverse("diagnostics:board_join", args=[job.number])
    response = at_bench.post(url, keyed(number="PL-15", family="toaster"))
    assert response.status_code == 422
    assert "toaster" in response.content.decode()
    assert not BoardModel.objects.exists()


def test_hostile_names_are_shown_as_text(at_bench: Client, job: Ticket) -> None:
    url = reverse("diagnostics:board_join", args=[job.number])
    nasty = '"><img src=x onerror=alert(1)>'
    fields = keyed(number=nasty, family="laptop_barrel", name=nasty, serial="\u202eabc")
    response = at_bench.post(url, fields)
    assert response.status_code == 302
    for page in (response["Location"], url, reverse("diagnostics:bench")):
        assert "<img src=x" not in at_bench.get(page).content.decode()


def test_what_is_in_the_board_is_kept_with_the_reading(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = keyed(point_id="k03/main", typed="0.01", fitted=["cpu", "coin_cell"])
    at_bench.post(act_of(job, board, "reading_take"), fields)
    assert Reading.objects.get().fitted == ["cpu", "coin_cell"]
