"""Photos sent from a page or a phone, seen by the shop's people alone."""

import uuid
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.photos import limits, links, queries
from shop.photos.links import link_make
from shop.photos.models import Link, Photo
from tests.samples import photo_of
from tests.shop.photos.conftest import Send, files_in, picture
from tests.shop.test_canary import every_cell

ClientOf = Callable[[str], Client]
SCRIPT = "application/json"


def page_of(ticket: Ticket, name: str = "ticket") -> str:
    return reverse(f"photos:{name}", args=[ticket.number])


def phone_of(ticket: Ticket, by: Person) -> tuple[Link, str]:
    link, token = link_make(ticket=ticket, by=by)
    return link, reverse("photos:phone", args=[token])


def test_several_are_sent_at_once_and_the_bad_one_is_named(
    ticket: Ticket, client_of: ClientOf, send: Send
) -> None:
    sent = (picture(), b"<svg/>", picture((9, 9, 9), "PNG"))
    answer = send(client_of("ines"), page_of(ticket), *sent)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "2 photos kept." in page
    assert "Photo 2: Not a picture" in page
    assert Photo.objects.filter(ticket=ticket, side="damage").count() == 2


def test_the_script_sends_one_with_its_own_time(
    ticket: Ticket, client_of: ClientOf, send: Send
) -> None:
    client = client_of("tomas")
    when = timezone.now() - timedelta(hours=2)
    taken = int(when.timestamp() * 1000)
    answer = send(client, page_of(ticket), picture(), taken=taken, accept=SCRIPT)
    assert answer.json() == {"kept": 1, "refused": []}
    photo = Photo.objects.get()
    assert photo.taken_at is not None
    assert abs(photo.taken_at - when) < timedelta(seconds=1)
    refused = send(client, page_of(ticket), b"no picture", accept=SCRIPT)
    assert refused.status_code == 422
    assert "Not a picture" in refused.json()["refused"][0]


@pytest.mark.parametrize(
    "name",
    ["../../x.jpg", "a\0b.jpg", "n" * 300, "CON", "\u202egpj.exe", "a;b'\"<.jpg"],
)
def test_the_name_of_a_file_reaches_nothing(
    ticket: Ticket, client_of: ClientOf, send: Send, own_folder: Path, name: str
) -> None:
    """ASVS 5.0.0, 5.3.2 and 5.4.1: stored and shown under a name of ours."""
    client = client_of("ines")
    send(client, page_of(ticket), picture(), name=name)
    for photo in Photo.objects.all():
        assert files_in(own_folder) == [f"{photo.name}.jpg", f"{photo.name}.small.jpg"]
        served = client.get(reverse("photos:full", args=[photo.pk]))
        expected = f'inline; filename="photo-{ticket.number}-{photo.pk}.jpg"'
        assert served["Content-Disposition"] == expected


def test_one_byte_over_the_limit_is_let_go_unkept(
    ticket: Ticket, client_of: ClientOf, send: Send, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = picture()
    monkeypatch.setattr(limits, "MOST_BYTES", len(one))
    answer = send(client_of("ines"), page_of(ticket), one, one + b"\0")
    assert answer.status_code == 422
    assert "MB: send it smaller" in answer.content.decode()
    assert Photo.objects.count() == 1


def test_a_body_longer_than_any_page_sends_is_not_read(
    ticket: Ticket, client_of: ClientOf, send: Send, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limits, "MOST_BODY", 500)
    assert send(client_of("ines"), page_of(ticket), picture()).status_code == 400
    assert not Photo.objects.exists()


def test_more_files_than_the_page_says_are_refused(
    ticket: Ticket, client_of: ClientOf, send: Send
) -> None:
    many = [b"x"] * (limits.MOST_AT_ONCE + 1)
    assert send(client_of("ines"), page_of(ticket), *many).status_code == 400


@pytest.mark.parametrize("size", ["full", "small"])
def test_a_photo_is_served_as_a_picture_and_nothing_else(
    ticket: Ticket, client_of: ClientOf, ines: Person, size: str
) -> None:
    """ASVS 5.0.0, 3.2.1, 3.4.4, 14.3.2."""
    photo = photo_of(ticket, ines)
    url = reverse(f"photos:{size}", args=[photo.pk])
    served = client_of("tomas").get(url)
    assert served["Content-Type"] == "image/jpeg"
    assert served["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert served["X-Content-Type-Options"] == "nosniff"
    assert served["Cache-Control"] == "no-store"
    assert served["Content-Disposition"].startswith("inline; filename=")
    assert served.content.startswith(b"\xff\xd8\xff")
    photo.erased_at = timezone.now()
    photo.save()
    assert client_of("tomas").get(url).status_code == 404


def test_a_photo_whose_file_is_gone_is_not_found(
    ticket: Ticket, client_of: ClientOf, ines: Person, own_folder: Path
) -> None:
    photo = photo_of(ticket, ines)
    for file in own_folder.rglob("*.jpg"):
        file.unlink()
    url = reverse("photos:full", args=[photo.pk])
    assert client_of("tomas").get(url).status_code == 404


def test_the_strip_is_swapped_when_a_phone_sent_something(
    ticket: Ticket, client_of: ClientOf, ines: Person
) -> None:
    client, htmx = client_of("ines"), {"HX-Request": "true"}
    link_make(ticket=ticket, by=ines)
    page = client.get(page_of(ticket)).content.decode()
    assert 'hx-trigger="every 3s"' in page
    assert "strip/?seen=0-0" in page

    def ask(seen: str) -> Any:
        return client.get(page_of(ticket, "strip"), {"seen": seen}, headers=htmx)

    assert ask("0-0").status_code == 204
    photo_of(ticket, ines)
    assert ask("0-0").status_code == 200
    assert "photo-strip" in ask("0-0").content.decode()
    seen = queries.version_of(queries.of_ticket(ticket))
    assert ask(seen).status_code == 204
    links.end_all(ticket, timezone.now())
    assert ask(seen).status_code == 286


def test_a_phone_adds_photos_and_sees_none(
    ticket: Ticket, stranger: Client, ines: Person, send: Send
) -> None:
    _link, url = phone_of(ticket, ines)
    page = stranger.get(url)
    shown = page.content.decode()
    assert ticket.number in shown
    customer = ticket.customer
    for word in (customer.name, customer.phone_typed, ticket.device.model, "Hollin"):
        assert word not in shown
    assert page["Cache-Control"] == "no-store"
    assert page["Referrer-Policy"] == "strict-origin"
    assert page["X-Robots-Tag"].startswith("noindex")
    answer = send(stranger, url, picture(), accept=SCRIPT)
    assert answer.json()["kept"] == 1
    photo = Photo.objects.get()
    assert (photo.ticket, photo.by, photo.link_id) == (ticket, ines, _link.pk)
    again = stranger.get(url).content.decode()
    assert "data-count>1<" in again
    assert "small.jpg" not in again
    assert stranger.get(reverse("photos:full", args=[photo.pk])).status_code == 302


def wrong_links(ticket: Ticket, by: Person) -> dict[str, str]:
    ended, run_out, good = (phone_of(ticket, by) for _link in range(3))
    links.end_all(ticket, timezone.now())
    Link.objects.filter(pk=run_out[0].pk).update(until=timezone.now(), ended_at=None)
    Link.objects.filter(pk=good[0].pk).update(ended_at=None)
    token = good[1].split("/")[-2]
    as_a_path = "photos:phone"
    return {
        "ended": ended[1],
        "run out": run_out[1],
        "tampered": good[1].replace(token, token[:-1] + "AB"[token[-1] == "A"]),
        "its hash": reverse(as_a_path, args=[good[0].token_hash]),
        "unknown": reverse(as_a_path, args=["x" * 32]),
        "long": reverse(as_a_path, args=["x" * 3000]),
        "good": good[1],
    }


def test_whatever_is_wrong_with_a_link_is_the_same_404(
    ticket: Ticket, stranger: Client, ines: Person, send: Send
) -> None:
    """ASVS 5.0.0, 9.2.1 and 9.2.3."""
    asked = wrong_links(ticket, ines)
    good = asked.pop("good")
    assert stranger.get(good).status_code == 200
    answers = [stranger.get(url) for url in asked.values()]
    answers += [send(stranger, url, picture()) for url in asked.values()]
    intake.handover_do(ticket=ticket, by=ines, given_to="Ada Pell")
    answers.append(stranger.get(good))
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1
    assert not Photo.objects.exists()


def test_a_link_ends_with_the_person_who_made_it(
    ticket: Ticket, stranger: Client, ines: Person
) -> None:
    _link, url = phone_of(ticket, ines)
    ines.is_active = False
    ines.save()
    assert stranger.get(url).status_code == 404


def test_a_link_is_open_for_twenty_minutes(
    ticket: Ticket, stranger: Client, ines: Person
) -> None:
    _link, url = phone_of(ticket, ines)
    for minutes, status in ((19, 200), (21, 404)):
        with time_machine.travel(timezone.now() + timedelta(minutes=minutes)):
            assert stranger.get(url).status_code == status


def test_guessing_is_stopped_and_a_good_link_with_it(
    ticket: Ticket, stranger: Client, ines: Person
) -> None:
    _link, url = phone_of(ticket, ines)
    for guess in range(limits.MOST_WRONG):
        bad = reverse("photos:phone", args=[f"guess-{guess}"])
        assert stranger.get(bad).status_code == 404
    assert stranger.get(url).status_code == 404
    assert stranger.get(url, REMOTE_ADDR="10.0.0.7").status_code == 200


def test_a_link_brings_only_so_many(
    ticket: Ticket,
    stranger: Client,
    ines: Person,
    send: Send,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _link, url = phone_of(ticket, ines)
    monkeypatch.setattr(limits, "MOST_A_MINUTE", 1)
    assert send(stranger, url, picture()).status_code == 200
    late = send(stranger, url, picture((1, 1, 1)), accept=SCRIPT)
    assert late.json()["refused"] == ["Too many at once: wait a minute."]
    monkeypatch.setattr(limits, "MOST_BY_LINK", 1)
    full = send(stranger, url, picture((2, 2, 2)), accept=SCRIPT)
    assert "all it may" in full.json()["refused"][0]


def test_the_token_of_a_link_is_kept_nowhere(
    ticket: Ticket, client_of: ClientOf
) -> None:
    key = {"idempotency_key": str(uuid.uuid4())}
    page = client_of("ines").post(page_of(ticket, "link_make"), key)
    code = page.context["code"]
    token = code.url.split("/")[-2]
    assert len(token) == 32  # 24 bytes: 192 bits
    assert token not in every_cell()
    assert "<svg" in page.content.decode()
    ended = client_of("ines").post(page_of(ticket, "link_end"), key)
    assert ended.status_code == 302
    assert Client().get(code.url).status_code == 404


def test_a_form_sent_again_with_other_photos_loses_none(
    ticket: Ticket, client_of: ClientOf
) -> None:
    """The same key, as after the browser's back button."""
    client, key = client_of("ines"), str(uuid.uuid4())
    for colour in ((1, 2, 3), (1, 2, 3), (7, 8, 9)):
        form = {
            "side": "intake",
            "idempotency_key": key,
            "photos": SimpleUploadedFile("a.jpg", picture(colour)),
        }
        assert client.post(page_of(ticket), form).status_code == 302
    assert Photo.objects.count() == 2


def test_the_viewer_turns_and_keeps_words(
    ticket: Ticket, client_of: ClientOf, ines: Person
) -> None:
    first, second, third = (photo_of(ticket, ines) for _photo in range(3))
    client, url = client_of("tomas"), reverse("photos:photo", args=[second.pk])
    page = client.get(url).content.decode()
    assert "Photo 2 of 3" in page
    for rel, other in (("prev", first), ("next", third)):
        assert f'rel="{rel}" href="/photos/{other.pk}/"' in page
    key = {"idempotency_key": str(uuid.uuid4())}
    form = {"side": "before", "note": "<b>corner</b>"} | key
    assert client.post(url, form).status_code == 302
    assert "&lt;b&gt;corner" in client.get(url).content.decode()
    key = {"idempotency_key": str(uuid.uuid4())}
    gone = client.post(reverse("photos:photo_erase", args=[second.pk]), key)
    assert gone["Location"] == page_of(ticket)
    assert client.get(url).status_code == 404


def test_the_owner_says_for_how_long_photos_stay(
    client_of: ClientOf, ticket: Ticket
) -> None:
    url = reverse("photos:keeping")
    assert 'value="180"' in client_of("marit").get(url).content.decode()
    form = {"days": "90", "idempotency_key": str(uuid.uuid4())}
    assert client_of("marit").post(url, form).status_code == 302
    assert 'value="90"' in client_of("marit").get(url).content.decode()
    for days in ("0", "-1", "x", "99999"):
        key = str(uuid.uuid4())
        answer = client_of("marit").post(url, {"days": days, "idempotency_key": key})
        assert answer.status_code == 422
