"""The set-up: its key, its defaults, what it makes, once."""

import stat
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from shop.opening.first_key import first_link
from shop.opening.models import StepDone
from shop.people.models import Membership, Person, Shop, ShopText, TextKind
from shop.people.texts import in_force, texts_are_read
from shop.records.models import Event, NumberSeries
from tests.factories import TicketFactory

BASE = "http://127.0.0.1:8140"
HURRY = {
    "name": "Weir Street Repairs",
    "your_name": "Marit Hollin",
    "password": "lamp under bridge 7",
    "then": "open",
}
pytestmark = pytest.mark.django_db


@pytest.fixture
def data_folder(tmp_path: Path, settings: Any) -> Path:
    settings.DATA_DIR = tmp_path
    return tmp_path


@pytest.fixture
def at_the_door(data_folder: Path, stranger: Client) -> Client:
    """A browser that has opened the first link."""
    answer = stranger.get(first_link(BASE).removeprefix(BASE))
    assert answer["Location"] == "/opening/"
    return stranger


def typed(client: Client, **changes: Any) -> dict[str, Any]:
    """What the page sends when nothing but ``changes`` was touched."""
    page = client.get("/opening/")
    found: dict[str, Any] = {}
    for form in page.context["asking"].forms.values():
        for field in form:
            value = field.value()
            if value not in (None, ""):
                found[field.name] = value
    return found | HURRY | changes


def test_every_page_of_an_empty_shop_leads_to_the_set_up(stranger: Client) -> None:
    for url in ("/", "/counter/new/", "/sign-in/", "/nothing/here/"):
        assert stranger.get(url)["Location"] == "/opening/"
    assert stranger.get("/opening/").status_code == 403


def test_only_the_newest_key_opens(data_folder: Path, stranger: Client) -> None:
    old = first_link(BASE).removeprefix(BASE)
    new = first_link(BASE).removeprefix(BASE)
    assert stranger.get(old).status_code == 403
    assert stranger.get("/opening/?key=guessed").status_code == 403
    assert stranger.get(new).status_code == 302
    assert stranger.get("/opening/").status_code == 200
    first_link(BASE)
    assert stranger.get("/opening/").status_code == 403


def test_the_key_is_kept_as_a_hash_that_is_ours_alone(data_folder: Path) -> None:
    key = first_link(BASE).partition("key=")[2]
    kept = data_folder / "first_key"
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert key not in kept.read_text()


def test_who_is_in_a_hurry_answers_three_questions(at_the_door: Client) -> None:
    answer = at_the_door.post("/opening/", typed(at_the_door))
    assert answer["Location"] == "/opening/first-day/"
    shop = Shop.objects.get()
    terms = shop.terms.get()
    assert (shop.name, shop.country, shop.currency) == (HURRY["name"], "GB", "GBP")
    assert (terms.hourly_rate_minor, terms.diagnosis_fee_minor) == (6000, 3500)
    assert (terms.tax_basis_points, terms.prices_with_tax) == (2000, True)
    assert (terms.warranty_days, terms.diagnosis_minutes) == (90, 45)
    assert shop.opening_hours.count() == 5
    assert terms.markup_tiers.count() == 3
    marit = Person.objects.get()
    assert marit.username == "marit"
    assert Membership.objects.filter(person=marit).count() == 3
    assert at_the_door.get("/opening/first-day/").status_code == 200
    assert at_the_door.get("/counter/new/").status_code == 200


def test_a_shop_is_set_up_once(
    at_the_door: Client,
    data_folder: Path,
    django_capture_on_commit_callbacks: Callable[..., AbstractContextManager[Any]],
) -> None:
    form = typed(at_the_door)
    with django_capture_on_commit_callbacks(execute=True):
        at_the_door.post("/opening/", form)
    assert at_the_door.post("/opening/", form)["Location"] == "/"
    assert Shop.objects.count() == 1
    assert not (data_folder / "first_key").exists()
    assert first_link(BASE) == ""


def test_old_series_go_on(at_the_door: Client) -> None:
    form = typed(
        at_the_door, next_ticket="794", next_invoice="318", next_prepayment="7"
    )
    at_the_door.post("/opening/", form)
    shop = Shop.objects.get()
    by = Person.objects.get()
    assert TicketFactory.create(by=by).number == "7946"
    assert NumberSeries.objects.get(kind="invoice").next_number == 318
    assert NumberSeries.objects.get(kind="prepayment").next_number == 7
    assert Event.objects.filter(shop_id=shop.pk, kind="shop_opened").exists()


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("next_ticket", "R-2025-0318", "Digits only"),
        ("next_invoice", "0", "Digits only"),
        ("next_prepayment", "P-7", "Digits only"),
        ("tax_percent", "-1", "below"),
        ("hourly_rate", "a lot", "12.50"),
        ("password", "12345678", "password"),
        ("day0_closes_1", "08:00", "closes before"),
        ("backup_place", "not/whole", "whole path"),
        ("backup_place", "/proc/nowhere", "be used"),
        ("person0_name", "Ines Okafor", "what they do"),
    ],
)
def test_what_can_t_be_is_said_beside_its_field(
    at_the_door: Client, field: str, value: str, said: str
) -> None:
    answer = at_the_door.post("/opening/", typed(at_the_door, **{field: value}))
    assert answer.status_code == 422
    assert said in answer.content.decode().replace("&#x27;", "'")
    assert not Shop.objects.exists()
    assert "Weir Street Repairs" in answer.content.decode()


def test_a_draft_is_kept_without_the_password(at_the_door: Client) -> None:
    form = typed(at_the_door, street="4 Weir Street", then="keep")
    assert at_the_door.post("/opening/", form).status_code == 204
    page = at_the_door.get("/opening/").content.decode()
    assert "4 Weir Street" in page
    assert HURRY["password"] not in page
    assert HURRY["password"] not in str(dict(at_the_door.session.items()))


def test_a_country_fills_in_the_rest(at_the_door: Client) -> None:
    form = typed(at_the_door, country="US", street="4 Weir Street", then="country")
    page = at_the_door.post("/opening/", form)
    place = page.context["asking"].forms["place"]
    assert place["currency"].value() == "USD"
    assert place["paper_size"].value() == "Letter"
    assert page.context["asking"].forms["address"]["street"].value() == "4 Weir Street"


def test_others_get_a_password_that_is_shown_once(at_the_door: Client) -> None:
    form = typed(
        at_the_door,
        person0_name="Marit Aalto",
        person0_roles=["technician"],
        person1_name="Tomas Reyl",
        person1_roles=["front_desk"],
    )
    at_the_door.post("/opening/", form)
    shown = at_the_door.get("/opening/first-day/").context["passwords"]
    assert [row["username"] for row in shown] == ["marit2", "tomas"]
    other = Client()
    assert other.login(username="marit2", password=shown[0]["password"])
    assert at_the_door.get("/opening/first-day/").context["passwords"] == []


def test_a_backup_place_is_tried_and_left_tidy(
    at_the_door: Client, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("backup")
    at_the_door.post("/opening/", typed(at_the_door, backup_place=str(folder)))
    assert Shop.objects.get().backup_place == str(folder)
    assert list(folder.iterdir()) == []


def test_a_backup_beside_the_data_is_refused(
    at_the_door: Client, data_folder: Path
) -> None:
    form = typed(at_the_door, backup_place=str(data_folder / "backup"))
    assert at_the_door.post("/opening/", form).status_code == 422


def test_the_texts_begin_as_ours_and_in_force_for_nobody(at_the_door: Client) -> None:
    at_the_door.post("/opening/", typed(at_the_door))
    shop = Shop.objects.get()
    ours = ShopText.objects.filter(shop=shop)
    assert [row.is_ours for row in ours] == [True] * len(TextKind)
    assert not texts_are_read(shop)
    assert (
        in_force(shop, TicketFactory.create(by=Person.objects.get()).opened_at, "en")
        == {}
    )


def test_the_checklist_goes_when_all_is_done(at_the_door: Client) -> None:
    at_the_door.post("/opening/", typed(at_the_door))
    page = at_the_door.get("/opening/first-day/")
    ticked = [s.step.code for s in page.context["steps"] if s.is_ours_to_tick]
    assert {"printer", "backup"} <= set(ticked)
    for code in ticked:
        form = {"step": code, "idempotency_key": f"tick-{code:->20}"}
        assert at_the_door.post("/opening/first-day/done/", form).status_code == 302
    assert StepDone.objects.count() == len(ticked)
    refused = {"step": "texts", "idempotency_key": "tick-what-is-seen-itself"}
    assert at_the_door.post("/opening/first-day/done/", refused).status_code == 422
    assert any(not s.is_done for s in page.context["steps"])
