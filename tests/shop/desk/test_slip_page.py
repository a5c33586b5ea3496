"""The customer's page: what it shows, what it keeps to itself, and its one 404."""

import re
import threading
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.db import OperationalError, connection, connections
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.billing import services as billing
from shop.billing.models import Quote, QuoteAnswer
from shop.desk import slip_limits
from shop.intake import services as intake
from shop.intake import slip_links
from shop.intake.models import Ticket
from shop.intake.passcodes import passcode_keep
from shop.intake.queries import turn_of
from shop.intake.slip_models import SlipLink
from shop.people.models import Person
from shop.photos.links import link_make
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.factories import handed_over
from tests.samples import line

ClientOf = Callable[[str], Client]
HOUSE = "https://127.0.0.1"


@pytest.fixture
def quoted(ticket: Ticket, tomas: Person) -> Ticket:
    """Its quote lies with the customer."""
    billing.quote_send(
        ticket=ticket,
        by=tomas,
        lines=[line()],
        cause="A small part on the main supply has burnt.",
        risk="About one in ten fails a second time.",
    )
    return ticket


def path_of(ticket: Ticket) -> str:
    return slip_links.address_of(ticket).removeprefix(HOUSE)


def ask(client: Client, path: str, answer: str = "yes") -> str:
    """The signed word of the page that asks once more."""
    page = client.post(path, {"answer": answer}).content.decode()
    found = re.search(r'name="word" value="([^"]+)"', page)
    assert found, page
    return found[1]


def every_row() -> dict[str, list[str]]:
    """Every table of the database, by its name."""
    with connection.cursor() as cursor:
        found = {}
        for table in connection.introspection.table_names(cursor):
            quoted = connection.ops.quote_name(table)
            cursor.execute(f"SELECT * FROM {quoted}")  # noqa: S608  our own tables
            found[table] = sorted(repr(row) for row in cursor.fetchall())
    return found


# --- what is wrong with a link ----------------------------------------------


def wrong_ids(good: str, others: list[str]) -> Iterator[str]:
    """A thousand: forged, altered by one sign, cut, ended, run out, a photo link's."""
    signs = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
    altered = (
        good[:at] + sign + good[at + 1 :]
        for at in range(len(good))
        for sign in signs
        if sign != good[at]
    )
    yield from (next(altered) for _n in range(700))
    yield from (good[:n] for n in range(1, 24))
    yield from (good + sign for sign in signs)
    yield from (good.upper(), good.lower(), f"{good}%00", "%F0%9F%94%A7", "a" * 400)
    yield from others
    for n in range(1000):
        yield f"{n:024d}"


def test_a_thousand_wrong_links_are_the_very_same_404(
    ticket: Ticket, tomas: Person, stranger: Client
) -> None:
    revoked = path_of(ticket)
    slip_links.revoke(ticket=ticket, by=tomas)
    expired = path_of(ticket)
    SlipLink.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    good = path_of(ticket)
    assert stranger.get(good).status_code == 200
    ended = [path.split("/")[2] for path in (revoked, expired)]
    ended.append(link_make(ticket=ticket, by=tomas)[1])
    answers = set()
    for n, wrong in zip(
        range(1000), wrong_ids(good.split("/")[2], ended), strict=False
    ):
        answer = stranger.get(
            f"/slip/{wrong}/",
            REMOTE_ADDR=f"10.0.{n // 10}.1",
            HTTP_ACCEPT_LANGUAGE="en",
        )
        headers = tuple(sorted(answer.headers.items()))
        answers.add((answer.status_code, answer.content, headers))
    ((status, _body, _headers),) = answers
    assert status == 404
    posted = stranger.post(revoked, {"answer": "yes"}, REMOTE_ADDR="10.1.0.1")
    assert (posted.status_code, posted.content) == (404, _body)


def test_asked_too_often_a_good_link_is_the_same_404(
    ticket: Ticket, stranger: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(slip_limits, "MOST_WRONG", 3)
    monkeypatch.setattr(slip_limits, "MOST_OF_LINK", 3)
    path = path_of(ticket)
    for n in range(slip_limits.MOST_WRONG):
        wrong = stranger.get(f"/slip/{n}/")
    assert stranger.get(path).content == wrong.content
    assert stranger.get(path, REMOTE_ADDR="10.0.0.1").status_code == 200
    cache.clear()
    for n in range(slip_limits.MOST_OF_LINK):
        stranger.get(path, REMOTE_ADDR=f"10.0.0.{n}")
    assert stranger.get(path, REMOTE_ADDR="10.0.1.1").status_code == 404


# --- what it shows ----------------------------------------------------------


def test_it_shows_turn_cause_price_cap_risk_and_the_way_to_call(
    quoted: Ticket, stranger: Client
) -> None:
    page = stranger.get(path_of(quoted)).content.decode()
    for said in (
        "It is your turn.",
        "A small part on the main supply has burnt.",
        "Quote 1, good until",
        "120.00",
        "Never more than 132.00 EUR without asking you again.",
        "Risk: About one in ten fails a second time.",
        "With a no you pay the diagnosis only, 42.00 EUR",
        "Accept 120.00 EUR",
        'href="tel:+005550100"',
    ):
        assert said in page, said


def test_nothing_private_is_on_it_and_nothing_remembers_it(
    worked_ticket: Ticket, ines: Person, tomas: Person, stranger: Client
) -> None:
    ticket = worked_ticket
    passcode_keep(ticket=ticket, by=tomas, kind="password", text="Canary7")
    intake.story_write(ticket=ticket, by=ines, kind="done", text="A part renewed.")
    pages = [stranger.get(path_of(ticket))]
    intake.handover_do(ticket=ticket, by=tomas, given_to="Ada Pell", owing_reason="-")
    pages.append(stranger.get(path_of(ticket)))
    for answer in pages:
        page = answer.content.decode()
        private = (
            *("Ada", "Pell", "0142", "Weir Street", ticket.device.serial, "Canary7"),
            *("overnight", "Tomas", "Ines", "p.cmain", "k04", "MOSFET"),
        )
        assert not [word for word in private if word in page]
        assert answer["Cache-Control"] == "no-store"
        assert answer["Referrer-Policy"] == "no-referrer"
        assert answer["X-Robots-Tag"] == "noindex, nofollow"
        assert not answer.cookies
    assert "It is back with you." in page
    assert "A part renewed." in page
    assert "On this repair until" in page


def test_after_closing_it_opens_until_it_expires(
    ticket: Ticket, tomas: Person, stranger: Client
) -> None:
    path = path_of(handed_over(ticket, tomas))
    assert stranger.get(path).status_code == 200
    SlipLink.objects.update(expires_at=timezone.now())
    assert stranger.get(path).status_code == 404


def test_asking_for_it_changes_no_row(quoted: Ticket, stranger: Client) -> None:
    """What opens links before a person does neither answers nor is seen."""
    path = path_of(quoted)
    before = every_row()
    for query in ("", "?answer=yes", "?word=x", "?looked=1"):
        assert stranger.get(path + query).status_code == 200
        assert stranger.head(path + query).status_code == 200
    after = every_row()
    assert [name for name in before if after[name] != before[name]] == []


# --- answers ----------------------------------------------------------------


def test_a_yes_in_two_steps_is_kept_with_all_that_it_is_to(
    quoted: Ticket, client_of: ClientOf
) -> None:
    """From a browser that holds no cookie of ours, and sends no origin."""
    strict = Client(enforce_csrf_checks=True)
    path = path_of(quoted)
    word = ask(strict, path)
    assert not QuoteAnswer.objects.exists()
    answer = strict.post(path, {"word": word}, HTTP_ORIGIN="null")
    assert (answer.status_code, answer["Location"]) == (303, path)
    kept = QuoteAnswer.objects.get()
    assert (kept.quote.version, kept.is_yes, kept.total_minor) == (1, True, 12000)
    assert (kept.channel, kept.recorded_by) == ("slip_link", None)
    assert turn_of(quoted, timezone.now()).waits_for == "repair"
    assert "You said <b>yes</b> to 120.00 EUR" in strict.get(path).content.decode()
    ticket_page = client_of("ines").get(quoted.get_absolute_url()).content.decode()
    assert "Yes to quote 1, 120.00, by slip link" in ticket_page
    assert "Looked at" in ticket_page


def test_a_no_with_its_reason_makes_it_our_turn(
    quoted: Ticket, stranger: Client
) -> None:
    path = path_of(quoted)
    word = ask(stranger, path, "no")
    stranger.post(path, {"word": word, "reason": "bought_new"})
    assert QuoteAnswer.objects.get().decline_reason == "bought_new"
    turn = turn_of(quoted, timezone.now())
    assert (turn.whose, turn.waits_for) == ("ours", "give_back_unrepaired")
    page = stranger.get(path).content.decode()
    assert "You said <b>no</b>" in page
    assert "It is our turn." in page


def test_the_second_answer_is_told_kindly_and_without_a_name(
    quoted: Ticket, tomas: Person, stranger: Client
) -> None:
    path = path_of(quoted)
    yes, no = ask(stranger, path), ask(stranger, path, "no")
    billing.quote_answer(
        quote=Quote.objects.get(),
        is_yes=False,
        answered_by="Ada Pell",
        channel="phone",
        recorded_by=tomas,
    )
    late = stranger.post(path, {"word": yes})
    assert late.status_code == 409
    assert "was answered before: no, by phone" in late.content.decode()
    assert "Ada" not in late.content.decode()
    assert stranger.post(path, {"word": no}).status_code == 409
    assert QuoteAnswer.objects.count() == 1


def test_the_same_answer_tapped_twice_is_one(quoted: Ticket, stranger: Client) -> None:
    path = path_of(quoted)
    word = ask(stranger, path)
    assert [stranger.post(path, {"word": word}).status_code for _n in "12"] == [303] * 2
    assert QuoteAnswer.objects.count() == 1


def test_a_price_that_is_over_or_replaced_can_not_be_accepted(
    quoted: Ticket, tomas: Person, stranger: Client
) -> None:
    path = path_of(quoted)
    word = ask(stranger, path)
    billing.quote_send(ticket=quoted, by=tomas, lines=[line("150.00")])
    late = stranger.post(path, {"word": word}).content.decode()
    assert "no longer open" in late
    assert "Accept 180.00 EUR" in late
    long_ago = timezone.now() - timedelta(days=30)
    billing.quote_send(ticket=quoted, by=tomas, lines=[line()], at=long_ago)
    page = stranger.get(path).content.decode()
    assert "This price is no longer open." in page
    assert "Accept" not in page
    assert stranger.post(path, {"answer": "yes"}).status_code == 303
    assert not QuoteAnswer.objects.exists()


def run_out(ticket: Ticket, tomas: Person) -> Quote:
    long_ago = timezone.now() - timedelta(days=30)
    return billing.quote_send(ticket=ticket, by=tomas, lines=[line()], at=long_ago)


def asks_anew(client: Client, path: str) -> str:
    """The signed word of the button that asks for a new price."""
    page = client.get(path).content.decode()
    found = re.search(r'name="anew" value="([^"]+)"', page)
    assert found, page
    return found[1]


def test_a_new_price_is_asked_for_in_place_of_one_that_is_over(
    quoted: Ticket, tomas: Person, stranger: Client, client_of: ClientOf
) -> None:
    path = path_of(quoted)
    assert 'name="anew"' not in stranger.get(path).content.decode()
    run_out(quoted, tomas)
    before = every_row()
    word = asks_anew(stranger, path)
    assert every_row() == before, "a GET asks for nothing"
    assert [stranger.post(path, {"anew": word}).status_code for _n in "12"] == [303] * 2
    kept = Event.objects.get(kind=Kind.NEW_PRICE_ASKED)
    assert (kept.ticket_id, kept.by_id) == (quoted.pk, None)
    turn = turn_of(quoted, timezone.now())
    assert (turn.whose, turn.waits_for) == ("ours", "new_price_asked")
    page = stranger.get(path).content.decode()
    assert "You asked for a new price on" in page
    assert 'name="anew"' not in page
    day = client_of("tomas").get(reverse("desk:day_list")).content.decode()
    assert "Quote over, the customer asks for a new price" in day
    ticket_page = client_of("tomas").get(quoted.get_absolute_url()).content.decode()
    assert "the customer asks for a new price, by slip link" in ticket_page


def test_a_new_quote_ends_the_asking_and_old_words_keep_nothing(
    quoted: Ticket, tomas: Person, stranger: Client
) -> None:
    path = path_of(quoted)
    run_out(quoted, tomas)
    word = asks_anew(stranger, path)
    stranger.post(path, {"anew": word})
    billing.quote_send(ticket=quoted, by=tomas, lines=[line("150.00")])
    turn = turn_of(quoted, timezone.now())
    assert (turn.whose, turn.waits_for) == ("customer", "answer_to_quote")
    late = stranger.post(path, {"anew": word})
    assert (late.status_code, b"Nothing was kept" in late.content) == (409, True)
    renewed = slip_links.renew(ticket=quoted, by=tomas).removeprefix(HOUSE)
    for wrong in (word, word[:-1], "yes"):
        assert stranger.post(renewed, {"anew": wrong}).status_code == 409
    assert Event.objects.filter(kind=Kind.NEW_PRICE_ASKED).count() == 1


def test_a_word_of_another_link_or_of_nobody_keeps_nothing(
    quoted: Ticket, tomas: Person, stranger: Client
) -> None:
    first = path_of(quoted)
    word = ask(stranger, first)
    second = slip_links.renew(ticket=quoted, by=tomas).removeprefix(HOUSE)
    for wrong in (word, word[:-1], "yes", ""):
        stranger.post(second, {"word": wrong})
    assert not QuoteAnswer.objects.exists()


def test_after_the_end_a_quote_left_open_is_no_offer(
    quoted: Ticket, tomas: Person, stranger: Client
) -> None:
    path = path_of(quoted)
    word = ask(stranger, path)
    intake.outcome_record(
        ticket=quoted, by=tomas, kind="no_fix", no_fix_reason="no_part"
    )
    assert "the work has ended" in stranger.post(path, {"word": word}).content.decode()
    assert "Accept" not in stranger.get(path).content.decode()
    assert not QuoteAnswer.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_of_two_answers_at_once_the_first_stands(quoted: Ticket) -> None:
    """Two browsers at the same moment, each with its own connection."""
    path = path_of(quoted)
    words = {answer: ask(Client(), path, answer) for answer in ("yes", "no")}
    start, statuses = threading.Barrier(2), dict[str, int]()

    def send(answer: str) -> None:
        start.wait()
        statuses[answer] = patiently(
            lambda: Client().post(path, {"word": words[answer]})
        )
        connections.close_all()

    threads = [threading.Thread(target=send, args=[answer]) for answer in words]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    kept = QuoteAnswer.objects.get()
    first, second = ("yes", "no") if kept.is_yes else ("no", "yes")
    assert (statuses[first], statuses[second]) == (303, 409)


def patiently(act: Callable[[], Any]) -> int:
    """A database in memory says at once that it is busy, where a file waits."""
    for _try in range(500):
        try:
            return int(act().status_code)
        except OperationalError as busy:
            if "locked" not in str(busy):
                raise
            time.sleep(0.01)
    raise AssertionError("the database stayed busy")


# --- looks, and what the house does -----------------------------------------


def test_a_look_is_kept_once_an_hour_when_the_page_tells_it(
    ticket: Ticket, stranger: Client
) -> None:
    path = path_of(ticket)
    looks = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.SLIP_LINK_SEEN)
    for _n in range(3):
        assert stranger.post(path, {"looked": "1"}).status_code == 204
    assert looks.count() == 1


def test_the_house_looks_renews_and_ends_it(
    quoted: Ticket, client_of: ClientOf, stranger: Client
) -> None:
    tomas, at = client_of("tomas"), quoted.get_absolute_url()
    first = path_of(quoted)
    assert first in tomas.get(at).content.decode()
    seen = tomas.get(f"{at}slip/").content.decode()
    assert "Accept 120.00 EUR" in seen
    assert seen.count("<h1") == 1
    key = "0123456789abcdef-{}"
    tomas.post(f"{at}slip/new/", {"idempotency_key": key.format(1)})
    second = path_of(quoted)
    assert [stranger.get(p).status_code for p in (first, second)] == [404, 200]
    tomas.post(f"{at}slip/end/", {"idempotency_key": key.format(2)})
    assert stranger.get(second).status_code == 404
    assert "No link is open." in tomas.get(at).content.decode()
    assert not Event.objects.filter(kind=Kind.SLIP_LINK_SEEN).exists()
