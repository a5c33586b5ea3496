"""Texts are in force once they were read; a logo is drawn anew."""

from collections.abc import Callable
from datetime import timedelta
from io import BytesIO

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone
from PIL import Image, PngImagePlugin

from shop.people import house_services as house
from shop.people import logos
from shop.people.models import Person, Shop, ShopText, TextsRead
from shop.people.texts import in_force, texts_are_read
from shop.records import messages
from shop.records.errors import Refused, StaleEdit

pytestmark = pytest.mark.django_db
Keep = Callable[..., int]


@pytest.fixture
def keep(hollin_lane: Shop, marit: Person) -> Keep:
    """``keep("words", language="de")``: a text for the job slip, as last seen."""

    def kept(text: str, language: str = "en", seen: int | None = None) -> int:
        key = ("job_terms", language)
        last = hollin_lane.texts.filter(language=language).last()
        pk = seen if seen is not None else (last.pk if last else 0)
        return house.texts_keep(
            shop=hollin_lane, by=marit, texts={key: text}, seen={key: pk}
        )

    return kept


def read(shop: Shop, by: Person) -> None:
    last = shop.texts.last()
    assert last is not None
    house.texts_confirm(shop=shop, by=by, last_seen=last.pk)


def test_a_text_is_in_force_from_its_reading_on(
    hollin_lane: Shop, marit: Person, keep: Keep
) -> None:
    keep("First words.")
    before = timezone.now()
    assert in_force(hollin_lane, before, "en") == {}
    read(hollin_lane, marit)
    assert in_force(hollin_lane, timezone.now(), "en") == {"job_terms": "First words."}
    assert in_force(hollin_lane, before, "en") == {}


def test_a_changed_text_waits_and_the_old_one_stands(
    hollin_lane: Shop, marit: Person, keep: Keep
) -> None:
    keep("First words.")
    read(hollin_lane, marit)
    assert texts_are_read(hollin_lane)
    keep("Second words.")
    assert not texts_are_read(hollin_lane)
    now = timezone.now()
    assert in_force(hollin_lane, now, "en") == {"job_terms": "First words."}
    read(hollin_lane, marit)
    later = timezone.now()
    assert in_force(hollin_lane, later, "en") == {"job_terms": "Second words."}
    assert in_force(hollin_lane, now, "en") == {"job_terms": "First words."}


def test_a_customer_reads_their_language_or_the_usual_one(
    hollin_lane: Shop, marit: Person, keep: Keep
) -> None:
    keep("Words.")
    keep("Worte.", "de")
    read(hollin_lane, marit)
    now = timezone.now() + timedelta(seconds=1)
    assert in_force(hollin_lane, now, "de") == {"job_terms": "Worte."}
    assert in_force(hollin_lane, now, "fr") == {"job_terms": "Words."}


def test_two_who_edit_one_text_lose_nothing(keep: Keep) -> None:
    keep("First words.")
    with pytest.raises(StaleEdit) as stale:
        keep("Mine.", seen=0)
    assert stale.value.theirs == {"job_terms_en": "First words."}


def test_what_was_changed_meanwhile_is_not_confirmed(
    hollin_lane: Shop, marit: Person, keep: Keep
) -> None:
    keep("First words.")
    seen = ShopText.objects.latest("id").pk
    keep("Second words.")
    with pytest.raises(Refused):
        house.texts_confirm(shop=hollin_lane, by=marit, last_seen=seen)


def test_a_text_row_is_never_changed(keep: Keep) -> None:
    keep("First words.")
    with pytest.raises(DatabaseError), transaction.atomic():
        ShopText.objects.update(text="Other words.")


def picture(form: str, size: tuple[int, int] = (300, 100), **more: object) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, "navy").save(out, format=form, **more)
    return out.getvalue()


def test_a_logo_is_pixels_alone() -> None:
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "canary of the camera")
    body = picture("PNG", pnginfo=info) + b"<script>tail()</script>"
    drawn = logos.encoded(body)
    assert b"canary" not in drawn
    assert b"script" not in drawn
    assert Image.open(BytesIO(drawn)).size == (300, 100)


def test_a_large_logo_is_made_as_small_as_paper_shows() -> None:
    drawn = Image.open(BytesIO(logos.encoded(picture("JPEG", (2400, 1200)))))
    assert drawn.size == (1200, 600)


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        picture("GIF"),
        picture("BMP"),
        picture("PNG")[:30],
        picture("PNG", (4000, 1001)),
        b"\x89PNG\r\n\x1a\n" + b"\0" * 100,
        b"x" * (logos.MOST_BYTES + 1),
    ],
    ids=["empty", "svg", "gif", "bmp", "cut", "pixels", "broken", "bytes"],
)
def test_what_is_no_small_png_or_jpeg_is_refused(body: bytes) -> None:
    with pytest.raises(Refused):
        logos.encoded(body)


def test_papers_keep_the_logo_of_their_day(hollin_lane: Shop, marit: Person) -> None:
    before = timezone.now()
    house.logo_keep(shop=hollin_lane, by=marit, png=b"first")
    between = timezone.now()
    house.logo_keep(shop=hollin_lane, by=marit, png=b"")
    assert logos.logo_at(hollin_lane, before) == b""
    assert logos.logo_at(hollin_lane, between) == b"first"
    assert logos.logo_at(hollin_lane, timezone.now()) == b""


def test_no_message_goes_out_before_the_owner_has_read(
    hollin_lane: Shop, marit: Person
) -> None:
    assert not messages.may_send(hollin_lane.pk)
    TextsRead.objects.create(shop=hollin_lane, by=marit)
    assert messages.may_send(hollin_lane.pk)
