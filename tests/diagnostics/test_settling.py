"""From an unclear verdict, one tap leads to what would settle it."""

import re
from collections.abc import Callable
from dataclasses import replace
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics import cards, queries, settling, words
from diagnostics import services as bench
from diagnostics.bridge import Judged
from diagnostics.engine.boards import board_of, load_family
from diagnostics.engine.verdicts import Verdict, Word
from diagnostics.engine.yardsticks import Settle
from diagnostics.models import Board, BoardModel, Origin, Reading
from diagnostics.place import Place
from diagnostics.settling import TAPS, Goes, other_point, tap_of
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.diagnostics.conftest import Read
from tests.diagnostics.test_bench_page import HTMX, act_of, gone, keyed, page_of

pytestmark = pytest.mark.one_database

BOARD = board_of(load_family("laptop_barrel"))
VerdictOf = Callable[[Reading], Judged]


# --- the mapping ------------------------------------------------------------------


def test_every_way_to_settle_has_its_tap() -> None:
    assert set(TAPS) == set(Settle)
    assert set(words.verdicts.TAPS) == {one.value for one in Settle}


def test_what_is_no_code_has_no_tap() -> None:
    assert tap_of("four_wire") is TAPS[Settle.FOUR_WIRE]
    assert (tap_of(""), tap_of("four wires")) == (None, None)


@pytest.mark.parametrize(
    ("here", "there"),
    [
        ("k06/main", "k06/main.in"),
        ("k06/main.in", "k06/main"),
        ("k36/side3", "k36/side1"),
        ("k11/sb.33", "k11/sb.33"),
        ("k35/sb.good", "k63/sb.good"),
        ("k01/top", "k01/top"),
        ("k22/fuse", "k22/fuse"),
    ],
)
def test_another_point_is_of_the_same_net_or_the_net_has_other_places(
    here: str, there: str
) -> None:
    assert other_point(BOARD, BOARD.point(here)).id == there


# --- on the page ------------------------------------------------------------------


@pytest.mark.parametrize("code", list(Settle))
def test_each_tap_leads_to_a_card_that_says_what_is_set(
    at_bench: Client,
    job: Ticket,
    board: Board,
    read: Read,
    verdict_of: VerdictOf,
    code: Settle,
) -> None:
    gone(read)
    one = verdict_of(read("k06/main", "41k"))
    unclear = replace(one, verdict=Verdict(Word.UNCLEAR, None, (), (code.value,)))
    known, place = queries.known_of(board), Place(job, board)
    (card,) = cards.settle(known, unclear, place, reverse("diagnostics:references"))
    assert len({"url", "mark", "elsewhere"} & set(card)) == 1
    assert (card["sentence"], card["tap"]) == (
        words.settle_sentence(code),
        words.settle_tap(code),
    )
    if "url" in card:
        html = at_bench.get(card["url"]).content.decode()
        assert "To settle it" in html
        assert unescape(card["sentence"]) in unescape(html)


def taps_in(html: str) -> dict[str, str]:
    """The taps of a verdict card: what each is called, and where it leads."""
    found = re.findall(r'<a class="button" href="([^"]+)"[^>]*>([^<]+)</a>', html)
    return {name: unescape(url) for url, name in found}


def tap(client: Client, job: Ticket, board: Board, reading: Reading, name: str) -> str:
    html = client.get(page_of(job, board, reading=reading.pk)).content.decode()
    return client.get(taps_in(html)[name]).content.decode()


def test_low_ohms_without_leads_lead_to_the_leads_and_back(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    gone(read)
    unclear = read("k06/main", "1.5")
    html = tap(at_bench, job, board, unclear, "Measure the leads")
    assert 'name="point" value="k04/leads"' in html
    assert "Then back to main rail." in html
    fields = keyed(
        point_id="k04/leads",
        check="k04",
        point="k04/leads",
        settle="measure_leads",
        back="k06/main",
        typed="0.2",
    )
    taken = at_bench.post(act_of(job, board, "reading_take"), fields)
    shown = at_bench.get(taken["Location"]).content.decode()
    assert "Back to the point" in shown
    assert unescape(page_of(job, board, check="k06", point="k06/main")) in unescape(
        shown
    )


def test_leads_that_are_not_measured_today_are_a_tap_away_and_back(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    gone(read)
    html = at_bench.get(page_of(job, board, check="k06", point="k06/main"))
    url = re.search(r'<a href="([^"]+)">Measure them', html.content.decode())
    assert url is not None
    shown = at_bench.get(unescape(url[1])).content.decode()
    assert "Then back to main rail." in shown


def test_the_way_back_is_kept_by_htmx_and_through_a_refusal(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = {
        "point_id": "k04/leads",
        "check": "k04",
        "point": "k04/leads",
        "settle": "measure_leads",
        "back": "k06/main",
    }
    url = act_of(job, board, "reading_take")
    refused = at_bench.post(url, keyed(typed="what", **fields), headers=HTMX)
    assert refused.status_code == 422
    assert 'name="back" value="k06/main"' in refused.content.decode()
    taken = at_bench.post(url, keyed(typed="0.2", **fields), headers=HTMX)
    assert "back=k06" in taken["HX-Push-Url"]
    assert "Back to the point" in taken.content.decode()


def test_four_wires_are_set_and_seen(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    gone(read)
    unclear = read("k06/main", "1.5")
    html = tap(at_bench, job, board, unclear, "Again by four wires")
    assert re.search(r'name="is_four_wire"[^>]* checked', html)
    assert '<details class="how" open>' in html
    assert "Set below: 4-wire." in html


def test_probes_are_swapped_on_the_card_and_in_the_form(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    gone(read)
    unclear = read("k07/main", "0.45", polarity="red_on_point")
    html = tap(at_bench, job, board, unclear, "Again, probes swapped")
    assert re.search(r'value="red_on_ground" selected', html)
    assert re.search(r"<dt>Red on</dt>\s*<dd>ground", html)
    assert '<details class="how" open>' in html
    once_more = read("k07/main", "0.45", polarity="red_on_ground")
    assert "unclear" not in queries.known_of(board).newest()["k07/main"].verdict.word
    assert once_more.polarity == "red_on_ground"


def test_ends_of_a_pair_change_places(board: Board) -> None:
    known = queries.known_of(board)
    point = known.board.point("k22/fuse")
    (_, plain), _black = cards.probes(known, known.board.check("k22"), point)
    turned = replace(point, polarity="red_on_ground")
    (_, swapped), _black = cards.probes(known, known.board.check("k22"), turned)
    assert (plain, swapped) == (
        "adapter at the jack",
        "between the two input MOSFETs",
    )


def test_a_finer_meter_is_chosen_first(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    gone(read)
    unclear = read("k06/main", "20.1", lead_ohms=0.2)
    html = tap(at_bench, job, board, unclear, "With another meter")
    assert re.search(r'<select name="meter"[^>]*autofocus', html)
    assert not re.search(r'id="id_typed"[^>]*autofocus', html)
    assert '<details class="how" open>' in html
    again = tap(at_bench, job, board, unclear, "Again, every digit")
    assert re.search(r'id="id_typed"[^>]*autofocus', again)
    assert '<details class="how" open>' not in again


def test_out_of_reach_leads_to_another_point(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    gone(read)
    unclear = read("k06/main", outcome="cant_reach")
    html = tap(at_bench, job, board, unclear, "To another point")
    assert 'name="point" value="k06/main.in"' in html


def test_not_fitted_marks_the_whole_net_once(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    unclear = read("k11/sb.18", outcome="not_fitted")
    page = page_of(job, board, reading=unclear.pk)
    html = at_bench.get(page).content.decode()
    assert 'name="point_id" value="sb.18"' in html
    assert "Mark as not fitted" in html
    url = act_of(job, board, "not_fitted")
    marked = at_bench.post(url, keyed(point_id="sb.18", reading=unclear.pk))
    assert marked["Location"] == page
    assert not queries.known_of(board).board.is_fitted("sb.18")
    html = at_bench.get(page).content.decode()
    assert "Marked: not on this board." in html
    assert "Mark as not fitted" not in html


def test_a_point_that_has_no_net_is_marked_itself() -> None:
    assert settling.net_of(BOARD.point("k60/camera")) == "k60/camera"
    assert settling.net_of(BOARD.point("k35/sb.good")) == "sb.good"
    assert TAPS[Settle.MARK_NOT_FITTED].goes is Goes.MARK


def test_a_good_board_of_the_model_is_a_tap_away(
    at_bench: Client,
    job: Ticket,
    board: Board,
    heron: BoardModel,
    ines: Person,
    read: Read,
) -> None:
    gone(read)
    between = read("k06/main", "500")
    page = page_of(job, board, reading=between.pk)
    to_good = taps_in(at_bench.get(page).content.decode())["To a good board"]
    assert to_good == reverse("diagnostics:references")
    good = bench.reference_board_keep(
        board_model=heron, by=ines, origin=Origin.KNOWN_GOOD, serial="G1", marking=""
    )
    to_good = taps_in(at_bench.get(page).content.decode())["To a good board"]
    assert to_good == Place(None, good).url(check="k06", point="k06/main")
    assert at_bench.get(to_good).status_code == 200


def test_an_address_of_ones_own_sets_nothing(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    for state in (
        {"settle": "gold_plate"},
        {"settle": "four_wire", "point": "k05/in.jack"},
        {"settle": "swap_probes", "polarity": "sideways", "point": "k03/main"},
    ):
        url = page_of(job, board, **{"check": "k03", **state})
        html = at_bench.get(url).content.decode()
        assert not re.search(r'name="is_four_wire"[^>]* checked', html)
        assert "sideways" not in html
