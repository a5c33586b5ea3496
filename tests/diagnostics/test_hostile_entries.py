"""Hostile entries through the service and the page: words, and nothing kept."""

from html import escape
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics.engine.errors import EngineError
from diagnostics.models import Board, Meter, Reading
from shop.intake.models import Ticket
from shop.people.models import Shop
from shop.records.models import Event
from tests.diagnostics.conftest import Read, power_may_be_applied
from tests.engine.test_hostile import REFUSED

pytestmark = pytest.mark.one_database

# Every twelfth of the list, and what a web form alone can spoil.
SAMPLE = [text for text, code in REFUSED if code != "empty"][::12]
SPOILT = [
    "3.3\x00V",
    "'; DROP TABLE readings; --",
    "<script>1</script>",
    "9**9**9",
    "\N{RIGHT-TO-LEFT OVERRIDE}3.3",
    "9" * 10_000,
]


def sent(
    at_bench: Client, job: Ticket, board: Board, point_id: str, **more: object
) -> str:
    """The page that refuses the entry."""
    check = point_id.partition("/")[0]
    fields = {"point_id": point_id, "check": check, "point": point_id, **more}
    url = reverse("diagnostics:reading_take", args=[job.number, board.pk])
    before = (Reading.objects.count(), Event.objects.count())
    answer = at_bench.post(url, {"idempotency_key": str(uuid4()), **fields})
    assert answer.status_code == 422
    assert (Reading.objects.count(), Event.objects.count()) == before
    return answer.content.decode()


def field_of(html: str) -> str:
    """The reading's own field, with what was typed and why it was refused."""
    start = html.index('name="typed"')
    return html[html.rindex("<form", 0, start) : html.index("</form", start)]


def test_the_sample_is_of_every_kind() -> None:
    assert len(SAMPLE) > 20


@pytest.mark.parametrize("text", SAMPLE, ids=ascii)
def test_the_service_refuses_it_and_keeps_nothing(read: Read, text: str) -> None:
    with pytest.raises(EngineError):
        read("k03/main", text)
    assert not Reading.objects.exists()
    assert not Event.objects.filter(kind="board_taken").exists()


@pytest.mark.parametrize("text", [*SAMPLE[::3], *SPOILT], ids=lambda t: ascii(t)[:30])
def test_the_page_refuses_it_beside_its_field_and_keeps_what_was_typed(
    at_bench: Client, job: Ticket, board: Board, text: str
) -> None:
    field = field_of(sent(at_bench, job, board, "k03/main", typed=text))
    assert 'role="alert"' in field
    assert f'value="{escape(text)}"' in field
    assert "<script>" not in field


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("4.7 kΩ", "This is read in volts; 4.7 kΩ looks like ohms."),
        ("5000 V", "is beyond anything on a bench"),
        ("-1001 V", "is beyond anything on a bench"),
    ],
)
def test_the_page_says_what_is_wrong_with_it(
    at_bench: Client, job: Ticket, board: Board, typed: str, words: str
) -> None:
    html = sent(at_bench, job, board, "k03/main", typed=typed)
    assert words in html.replace("\N{NO-BREAK SPACE}", " ")


def test_negative_ohms_and_volts_in_an_ohms_field(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    volts = sent(at_bench, job, board, "k04/leads", typed="3.3 V")
    assert "This is read in ohms; 3.3 V looks like volts." in volts
    negative = sent(at_bench, job, board, "k04/leads", typed="-0.3")
    assert "Is there still power or charge on the board?" in negative


def test_a_meter_without_accuracy_is_refused_in_words(
    at_bench: Client, job: Ticket, board: Board, hollin_lane: Shop
) -> None:
    ranges = [
        {"mode": "V", "full_scale": 60.0, "percent": 0.0, "counts": 0.0, "digit": 0.01}
    ]
    bare = Meter.objects.create(shop=hollin_lane, name="B9", ranges=ranges)
    html = sent(at_bench, job, board, "k03/main", typed="0.1", meter=bare.pk)
    assert "has no accuracy" in html


def test_what_is_typed_beside_the_reading_is_held_to_the_same(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    power_may_be_applied(read, taken_at=timezone.now())
    html = sent(
        at_bench,
        job,
        board,
        "k24/supply",
        typed="14 mA",
        supply_volts="9**9**9",
        supply_actual_volts="1 A",
    )
    assert "read this as a value" in html
    assert "This is read in volts; 1 A looks like amperes." in html
