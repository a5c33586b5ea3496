"""A signature on the screen: what is kept of it, what is refused, what is printed."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shop.intake import papers, signing
from shop.intake import services as intake
from shop.intake.counter_models import Signature
from shop.intake.models import Ticket
from shop.intake.services import Machine
from shop.people.models import Person
from shop.records.errors import Refused
from tests.factories import CustomerFactory
from tests.shop.intake.test_job_slip import text_of, words_of

DRAWN = json.dumps([[10, 20, 30, 40, 50, 20], [60, 80]])
NONSENSE = [
    "",
    "null",
    "[]",
    "[[1]]",
    "[[1, 2, 3]]",
    '[["1", "2"]]',
    "[[1, 999]]",
    "[[-1, 2]]",
    "[[1.5, 2]]",
    "[[true, 2]]",
    '"><script>',
    "[" * 50_000,
    json.dumps([[1, 2] * 5000]),
]


def test_strokes_become_a_path_and_a_tap_a_dot() -> None:
    assert signing.path_of(DRAWN) == "M10 20L30 40L50 20M60 80L60 80"


@pytest.mark.parametrize("typed", NONSENSE)
def test_what_is_no_drawing_is_refused(typed: str) -> None:
    with pytest.raises(Refused):
        signing.path_of(typed)


@pytest.mark.django_db
def test_it_is_taken_in_sealed_and_printed(
    client_of: Callable[[str], Client], take_in: Callable[..., Any]
) -> None:
    desk = client_of("tomas")
    assert take_in(desk, signed="screen", signature="").status_code == 422
    assert not Ticket.objects.exists()
    assert take_in(desk, key="2", signed="screen", signature=DRAWN).status_code == 302
    ticket, row = Ticket.objects.get(), Signature.objects.get()
    assert "M10" not in row.sealed
    html = papers.job_slip_html(ticket)
    assert 'd="M10 20L30 40L50 20M60 80L60 80"' in html
    assert "signed on the screen" in words_of(html)
    assert papers.job_slip(ticket).startswith(b"%PDF-")
    with pytest.raises(Refused):
        signing.signature_keep(ticket=ticket, by=row.ticket.shop, drawn=DRAWN)  # type: ignore[arg-type]


@pytest.mark.django_db
def test_on_paper_the_slip_prints_the_line_alone(ticket: Ticket) -> None:
    html = papers.job_slip_html(ticket)
    assert "<path d=" not in html.split("signatures")[1].split("cut")[0]
    assert "signed on the screen" not in html


@pytest.mark.django_db
def test_several_machines_have_one_slip_and_one_signature(tomas: Person) -> None:
    shop = tomas.memberships.get().shop
    what = {"kind": "laptop", "serial": "", "board_number_seen": ""}
    things = [intake.ThingDraft("adapter")]
    taken = intake.tickets_take_in(
        shop=shop,
        by=tomas,
        customer=CustomerFactory.create(shop=shop),
        version=1,
        who={},
        machines=[
            Machine(what={**what, "model": "Heron"}, told="No light.", things=things),
            Machine(what={**what, "model": "Plover"}, told="Fan howls."),
        ],
    )
    signing.signature_keep(ticket=taken[0], by=tomas, drawn=DRAWN)
    for ticket in taken:
        words = words_of(papers.job_slip_html(ticket))
        for said in ("2 machines", "No light.", "Fan howls.", "signed on the screen"):
            assert said in words
        for tag in (f"{taken[0]}-1", f"{taken[0]}-2", f"{taken[1]}-1"):
            assert tag in words
    assert f"{taken[1]}-1" in text_of(papers.job_slip(taken[0]))[1]
