"""Readings typed at a tablet while the way to the server is rough and the server dies.

A real Chromium with a home of its own takes readings one after the other at one check
of a board, then of the next, without waiting for answers. Requests are lost, late,
doubled and cut, workers are killed while they serve, the page is loaded anew, the
browser closed and opened again. At the end every reading must be kept exactly once, in
the order in which it was typed.
"""

import os
import random
import tempfile
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from django.db import connection
from django.urls import reverse
from playwright.sync_api import Error, sync_playwright

from diagnostics.models import Board, Reading
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.drills import faults
from tests.drills.at_bench import Tablet
from tests.drills.place import Result
from tests.drills.readings import a_board
from tests.drills.rough_way import LOOPBACK, Way, rough_way
from tests.drills.scene import person_in, session_of, shop_and_person
from tests.drills.server import Killer, serving

PATIENCE = 120.0
LOAD_ANEW = 40
CLOSE = 150
ACTS_BETWEEN = 3  # times what the killer waits for


def run(seed: int, rounds: int) -> Result:
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    shop, _owner = shop_and_person()
    person = person_in(shop)
    boards = [a_board(person) for _board in range(rounds // CLOSE + 1)]
    pages = [f"{page_of(board)}?check=k04" for board in boards]
    start = time.monotonic()
    with (
        tempfile.TemporaryDirectory() as home,
        serving(workers=2) as server,
        rough_way(server.port, seed) as way,
        sync_playwright() as playwright,
    ):
        base = f"http://{LOOPBACK}:{way.port}"
        tablet = Tablet(playwright, Path(home), base, pages[0], cookies_of(person))
        tablet.open()
        tablet.wait_until_kept()
        way.is_rough = True
        killer = Killer(
            server,
            random.Random(seed),
            max(rounds // 10, 2),
            lambda: way.acts // ACTS_BETWEEN,
        )
        killer.start()
        try:
            counts, lost = at_work(tablet, way, rounds, pages)
        finally:
            kills = killer.stop()
            tablet.close()
    lost += found_wrong(boards, person, rounds)
    counts |= {"kills": kills, "s": round(time.monotonic() - start)}
    return Result("outbox", counts | way.counts, tuple(lost))


def typed(number: int) -> str:
    return f"0.{number:05d}"


def at_work(
    tablet: Tablet, way: Way, rounds: int, pages: list[str]
) -> tuple[dict[str, int], list[str]]:
    most, anew, closed = 0, 0, 0
    for number in range(1, rounds + 1):
        if number % CLOSE == 0:
            tablet.close()
            tablet.page_path = pages[number // CLOSE]
            tablet.open()
            closed += 1
        elif number % LOAD_ANEW == 0:
            tablet.look()
            anew += 1
        insist(tablet, typed(number))
        most = max(most, tablet.waiting()) if number % 5 == 0 else most
    left = rest_of(tablet)
    lost = [f"{left} still wait"] if left else []
    counts = {
        "readings": rounds,
        "most that waited": most,
        "loaded anew": anew,
        "closed": closed,
    }
    way.is_rough = False
    return counts, lost + tablet.refused()


def rest_of(tablet: Tablet) -> int:
    """What still waits once nothing has moved for long: it should be nothing."""
    left, moved = tablet.waiting(), time.monotonic()
    while left and time.monotonic() - moved < PATIENCE:
        time.sleep(0.5)
        if (now := tablet.waiting()) != left:
            left, moved = now, time.monotonic()
    return left


def insist(tablet: Tablet, value: str) -> None:
    """Type it; again only where the page went away before it was on the tablet."""
    for _try in range(5):
        try:
            tablet.take(value)
        except Error:
            tablet.look()
            if (
                not tablet.has(value)
                and not Reading.objects.filter(typed=value).exists()
            ):
                continue
        return
    raise RuntimeError(f"{value} could not be typed")


def found_wrong(boards: list[Board], person: Person, rounds: int) -> Iterator[str]:
    connection.close()  # what others wrote is read by a line of its own
    kept = list(Reading.objects.filter(board__in=boards).order_by("id"))
    wanted = [typed(number) for number in range(1, rounds + 1)]
    yield from faults.not_exactly_once("reading", wanted, [one.typed for one in kept])
    moments = [one.taken_at for one in kept]
    if any(one.by_id != person.pk or not one.is_confirmed for one in kept):
        yield "a reading is not whose it was"
    if any(b < a for a, b in pairwise(moments)):
        yield "moments run backwards"


def page_of(board: Board) -> str:
    ticket = Ticket.objects.get(ticket_boards__board=board)
    return reverse("diagnostics:board", args=[ticket.number, board.pk])


def cookies_of(person: Person) -> list[dict[str, str]]:
    pairs = session_of(person).cookies.split("; ")
    named = [pair.partition("=") for pair in pairs]
    return [
        {"name": name, "value": value, "domain": LOOPBACK, "path": "/"}
        for name, _is, value in named
    ]
