"""A bench sheet that was written by pen is typed in later, line by line."""

import re
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import holding, queries, sayings, sheet_forms
from diagnostics.models import Board, Reading
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.factories import TicketFactory
from tests.samples import board_of

pytestmark = pytest.mark.django_db
ClientOf = Callable[[str], Client]


@pytest.fixture
def job(tomas: Person) -> Ticket:
    """Taken in three days ago."""
    return TicketFactory.create(by=tomas, at=timezone.now() - timedelta(days=3))


@pytest.fixture
def board(job: Ticket, ines: Person) -> Board:
    return board_of(job, ines)


def line(where: str, value: str, unit: str = "", time: str = "14:05") -> dict[str, str]:
    own = {"where": where, "value": value, "unit": unit, "time": time}
    return {"uuid": str(uuid.uuid4()), **own}


def sheet(client: Client, job: Ticket, board: Board, who: Person, *lines: Any) -> Any:
    url = reverse("diagnostics:sheet", args=[job.number, board.pk])
    day = timezone.localdate(timezone=job.shop.zone) - timedelta(days=1)
    page = {"read_by": who.pk, "day": day.isoformat(), "lead_ohms": "0,2"}
    page |= {"line-TOTAL_FORMS": 11, "line-INITIAL_FORMS": 0}
    page |= {f"line-{n}-{k}": v for n, one in enumerate(lines) for k, v in one.items()}
    return client.post(url, page | {"idempotency_key": str(uuid.uuid4())})


def test_a_line_lands_at_its_time_and_says_that_it_was_written_down(
    job: Ticket, board: Board, ines: Person, tomas: Person, client_of: ClientOf
) -> None:
    client = client_of("ines")
    good, wrong = line("K11 sb.33", "410"), line("k11/sb.33", "much", time="14:20")
    answer = sheet(client, job, board, tomas, good, wrong)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'value="much"' in page
    assert 'value="410"' not in page
    (kept,) = Reading.objects.filter(board=board)
    at = kept.taken_at.astimezone(job.shop.zone)
    yesterday = timezone.localdate(timezone=job.shop.zone) - timedelta(days=1)
    assert (at.date(), f"{at:%H:%M}") == (yesterday, "14:05")
    assert (kept.by, kept.point_id, kept.value) == (tomas, "k11/sb.33", 410)
    assert kept.lead_ohms == pytest.approx(0.2)
    assert sayings.arrival(kept) == ["written on paper, typed in later"]
    told = Event.objects.get(kind=Kind.SHEET_TYPED_IN)
    assert (told.by, told.person_id, told.codes["count"]) == (ines, tomas.pk, 1)
    assert holding.holder_of(board, timezone.now()) is None
    again = sheet(client, job, board, tomas, good, wrong | {"value": "405"})
    assert again.status_code == 302
    assert [one.value for one in Reading.objects.order_by("id")] == [410, 405]
    other = sheet(client, job, board, tomas, good | {"value": "999"})
    assert "already kept with other contents" in other.content.decode()


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"where": "k31/keep5", "value": "5.01"}, "Held off"),
        ({"where": "k99/nowhere"}, "No such check"),
        ({"where": "sb.33", "value": "x"}, "Which one: "),
        ({"time": ""}, "required"),
    ],
)
def test_what_can_t_be_kept_says_why_and_stays(
    typed: dict[str, str],
    why: str,
    job: Ticket,
    board: Board,
    ines: Person,
    client_of: ClientOf,
) -> None:
    answer = sheet(
        client_of("ines"), job, board, ines, line("k11/sb.33", "410") | typed
    )
    assert answer.status_code == 422
    page = answer.content.decode()
    assert why in page
    assert f'value="{typed.get("where", "k11/sb.33")}"' in page
    assert not Reading.objects.exists()


def test_a_time_ahead_or_before_the_intake_is_a_slip(
    job: Ticket, board: Board, ines: Person, client_of: ClientOf
) -> None:
    client, late = client_of("ines"), "23:59"
    url = reverse("diagnostics:sheet", args=[job.number, board.pk])
    today = timezone.localdate(timezone=job.shop.zone)
    for days, why in ((1, "ahead"), (-9, "not here yet")):
        day = today + timedelta(days=days)
        page = {"read_by": ines.pk, "day": day.isoformat(), "line-TOTAL_FORMS": 1}
        page |= {"line-INITIAL_FORMS": 0, "idempotency_key": str(uuid.uuid4())}
        own = line("k11/sb.33", "410", time=late)
        page |= {f"line-0-{name}": value for name, value in own.items()}
        assert why in client.post(url, page).content.decode()
    assert not Reading.objects.exists()


def test_the_page_offers_the_boards_own_points(
    job: Ticket, board: Board, client_of: ClientOf
) -> None:
    url = reverse("diagnostics:sheet", args=[job.number, board.pk])
    page = client_of("ines").get(url).content.decode()
    offered = set(re.findall(r'<option value="(k[^"]+/[^"]+)"', page))
    known = queries.known_of(board).board
    assert offered == {one.id for one in sheet_forms.readable(known)}
    assert all(len(sheet_forms.meant(known, pk, "1")) == 1 for pk in offered)
