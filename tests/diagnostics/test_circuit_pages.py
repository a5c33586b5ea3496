"""The pages of the circuit finder, as a technician and an owner use them."""

import re
from html import unescape
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.test import Client
from django.urls import reverse

from diagnostics import services
from diagnostics.models import (
    BoardMark,
    BoardModel,
    BoardPicture,
)
from diagnostics.place import Place
from shop.people.models import Person
from tests.diagnostics.marking import Mark, coil, say
from tests.samples import photo_of


def sent(client: Client, name: str, model: BoardModel, **form: Any) -> Any:
    url = reverse(f"diagnostics:circuits_{name}", args=[model.pk])
    return client.post(url, {"idempotency_key": uuid4().hex, **form})


def page(client: Client, place: Place, **state: str) -> str:
    args = [place.number, place.board.pk]
    body = client.get(reverse("diagnostics:circuits", args=args), state)
    assert body.status_code == 200
    return re.sub(r"\s+", " ", unescape(body.content.decode()))


def test_from_an_empty_page_to_a_confirmed_group(
    at_bench: Client, heron: BoardModel, place: Place
) -> None:
    back = {"number": place.number, "board": str(place.board.pk)}
    assert "An empty outline" in page(at_bench, place)
    sent(at_bench, "outline", heron, side="top", outline="wide", **back)
    for x in (0.36, 0.4, 0.44):
        sent(
            at_bench,
            "mark",
            heron,
            **back,
            tool="inductor",
            kind="inductor",
            x=x,
            y=0.32,
            size=3,
            look="a",
        )
    sent(at_bench, "mark", heron, **back, tool="landmark", kind="cpu", cell="D3")
    text = page(at_bench, place)
    assert "1 group found." in text
    assert "1 landmarks, 3 inductors" in text
    assert "3 alike, 7 to 10 mm, by the CPU." in text
    marks = re.search(r'name="marks" value="([\d,]+)"', text)
    assert marks
    answer = sent(
        at_bench, "say", heron, **back, marks=marks[1], circuit="cpu/cpu.core"
    )
    assert answer["Location"].startswith(f"/bench/{place.number}/")
    assert "Confirmed by Ines Okafor" in page(at_bench, place)
    card = at_bench.get(place.url(check="k17")).content.decode()
    assert "One of the 3 inductors of group A, by the CPU." in card


def test_a_refused_mark_says_why_and_keeps_what_was_chosen(
    at_bench: Client, top: BoardPicture, heron: BoardModel
) -> None:
    asked = {"tool": "inductor", "kind": "inductor", "size": 3, "look": "b"}
    for place, why in (
        ({"x": 1.5, "y": 0.5}, "outside the picture"),
        ({"cell": "Z9"}, "A cell is A to H"),
        ({}, "Tap the picture, or name a cell."),
        ({"x": "nan", "y": "0.5"}, "Enter a number."),
    ):
        answer = sent(at_bench, "mark", heron, **asked, **place)
        text = answer.content.decode()
        assert answer.status_code == 422
        assert why in text
        assert re.search(r'name="size" value="3"[^>]*checked', text)
    assert not BoardMark.objects.exists()


def test_a_dispute_is_shown_with_both_words_and_settled_by_one_tap(
    at_bench: Client,
    row: list[BoardMark],
    heron: BoardModel,
    ines: Person,
    sami: Person,
    place: Place,
) -> None:
    say(heron, ines, row, "cpu")
    say(heron, sami, row, "memory")
    text = page(at_bench, place)
    assert "Ines Okafor says CPU" in text
    assert "Sami Aalto says memory" in text
    assert "Two words stand here. Which is it?" in text
    settles = re.search(r'name="settles" value="(\d+)"', text)
    assert settles
    marks = ",".join(str(one.pk) for one in row)
    sent(at_bench, "say", heron, marks=marks, circuit="memory", settles=settles[1])
    assert "Confirmed by Ines Okafor" in page(at_bench, place)


def test_a_mark_set_from_a_check_leads_back_to_it(
    at_bench: Client, top: BoardPicture, heron: BoardModel, place: Place
) -> None:
    state = {"tool": "point", "check": "k06", "point": "k06/main"}
    text = page(at_bench, place, rail="main", **state)
    assert '<option value="main" selected>' in text
    back = {"number": place.number, "board": str(place.board.pk)}
    asked = {"kind": "point", "rail_id": "main", "x": 0.2, "y": 0.2}
    answer = sent(at_bench, "mark", heron, **back, **state, **asked)
    assert answer["Location"] == place.url(check="k06", point="k06/main")


def test_an_unclear_group_says_which_check_separates(
    at_bench: Client, mark: Mark, place: Place
) -> None:
    mark("chipset", 0.5, 0.5)
    mark("memory", 0.6, 0.5)
    coil(mark, 0.55, 0.5)
    text = page(at_bench, place)
    assert "A needs a reading." in text
    assert "Resistance to ground tells them apart" in text
    assert place.url(check="k14", point="k14/mem.q") in text


def test_a_photo_of_the_ticket_may_be_taken_over(
    at_bench: Client,
    heron: BoardModel,
    place: Place,
    ines: Person,
    photos_folder: Path,
) -> None:
    assert place.ticket
    photo = photo_of(place.ticket, ines, "board_top")
    back = {"number": place.number, "board": str(place.board.pk)}
    assert f'name="kept" value="{photo.pk}"' in page(at_bench, place)
    refused = sent(at_bench, "picture", heron, **back, side="top", kept=photo.pk)
    assert "Look at it first" in unescape(refused.content.decode())
    sent(
        at_bench,
        "picture",
        heron,
        **back,
        side="top",
        kept=photo.pk,
        is_nothing_personal="on",
    )
    picture = BoardPicture.objects.get()
    served = at_bench.get(reverse("diagnostics:picture", args=[picture.pk]))
    assert served["Content-Type"] == "image/jpeg"
    assert "private" in served["Cache-Control"]


def test_the_owner_looks_at_a_models_circuits_without_tools(
    client: Client, marit: Person, row: list[BoardMark], heron: BoardModel
) -> None:
    client.force_login(marit)
    url = reverse("diagnostics:model_circuits", args=[heron.pk])
    text = client.get(url, {"tool": "inductor"}).content.decode()
    assert "1 group found." in text
    assert "Mark inductor" not in text
    assert (
        client.post(reverse("diagnostics:circuits_undo", args=[heron.pk])).status_code
        == 403
    )


def test_a_board_of_another_model_is_no_way_in(
    at_bench: Client, heron: BoardModel, ines: Person, place: Place
) -> None:
    other = services.board_model_keep(
        shop=heron.shop, by=ines, number="OTHER-1", family="laptop_barrel"
    )
    back = {"number": place.number, "board": str(place.board.pk)}
    answer = sent(at_bench, "undo", other, **back)
    assert answer.status_code == 404
