"""What is taken at a tablet arrives once, in order, with its moment and its person.

By https under the shop's name, as on a shop's network; the way there is rough or cut.
"""

from collections.abc import Iterator
from contextlib import ExitStack
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Playwright, expect

from diagnostics import queries
from diagnostics import services as bench
from diagnostics.models import Board, ConditionSet, PassedBy, ProofItem, Reading
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people import pins, stations
from shop.people.models import LateSwitch, Person, Shop
from shop.photos.models import Photo
from tests.browser import lan
from tests.browser.at_a_tablet import SOON, Open, Tablet, dropped
from tests.browser.conftest import OnTheNetwork, faults_of, layout_faults_of
from tests.diagnostics.conftest import power_may_be_applied
from tests.drills import faults
from tests.drills.at_bench import LISTEN, TAKE, until
from tests.drills.rough_way import Way, rough_way
from tests.factories import TicketFactory
from tests.samples import board_of
from tests.serving import NAME

pytestmark = pytest.mark.one_database
PIN = "7391"
LOOKED_AT = """() => atTablet.now().then((late) => !late || late.confirmed !== null)"""
DAY = timedelta(days=1)


@pytest.fixture
def job(transactional_db: None, tomas: Person) -> Ticket:
    return TicketFactory.create(by=tomas, at=timezone.now() - DAY)


@pytest.fixture
def board(job: Ticket, ines: Person) -> Board:
    return board_of(job, ines)


@pytest.fixture
def path(job: Ticket, board: Board) -> str:
    return f"/bench/{job.number}/{board.pk}/"


@pytest.fixture
def may_power(job: Ticket, board: Board, ines: Person) -> None:
    """The gates of power are read, and good."""

    def read(point_id: str, typed: str = "", **taken: Any) -> Reading:
        own: Any = {"board": board, "ticket": job, "by": ines} | taken
        return bench.reading_take(point_id=point_id, typed=typed, **own)

    power_may_be_applied(read, taken_at=timezone.now() - timedelta(minutes=5))


@pytest.fixture
def way(live_server: OnTheNetwork) -> Iterator[Way]:
    with rough_way(live_server.server.thread.port, seed=7) as way:
        yield way


@pytest.fixture
def tablet(
    playwright: Playwright, home: Path, leaf: Path, way: Way, tmp_path: Path
) -> Iterator[Open]:
    """``tablet()``: a browser of its own, behind the way."""
    with ExitStack() as stack:
        port = stack.enter_context(lan.in_front_of(way.port, leaf))
        made: list[Tablet] = []

        def opened(station: str = "", script: str = "") -> Tablet:
            profile = tmp_path / f"profile-{len(made)}"
            url = f"https://{NAME}:{port}"
            one = Tablet(playwright, home, profile, url, way, station)
            made.append(one)
            stack.callback(one.close)
            return one.open(script)

        yield opened


def readings() -> list[Reading]:
    return list(Reading.objects.order_by("id"))


def test_readings_over_a_rough_way_arrive_once_and_in_order(
    tablet: Open, way: Way, path: str, ines: Person
) -> None:
    """A small one of ``manage.py drill outbox``: typed without waiting for answers."""
    one = tablet().sign_in(ines).look(f"{path}?check=k04")
    one.page.evaluate(LISTEN)
    way.is_rough = True
    typed = [f"0.{number:03d}" for number in range(1, 41)]
    for value in typed:
        one.page.evaluate(TAKE, value)
    expect(one.page.locator("#waiting [data-state]")).to_have_text(
        "All sent", timeout=90_000
    )
    assert way.counts.total() - way.counts["smooth"] > 10
    kept = readings()
    assert not list(faults.not_exactly_once("reading", typed, [r.typed for r in kept]))
    assert all(a.taken_at <= b.taken_at for a, b in pairwise(kept))
    assert [r.tablet_sequence for r in kept] == sorted(
        r.tablet_sequence or 0 for r in kept
    )


def test_a_reload_and_a_closed_browser_lose_nothing_and_the_walk_goes_on(
    tablet: Open, way: Way, path: str, ines: Person
) -> None:
    one = tablet().sign_in(ines).look(f"{path}?check=k04")
    one.says("All sent")
    way.is_cut = True
    one.take("0.21")
    assert "point=k22" in one.page.url, "the next check that nothing holds off"
    one.page.reload()
    expect(
        one.page.get_by_role("heading", name="Across the input fuse")
    ).to_be_visible()
    one.says("Not sent yet: 1")
    assert faults_of(one.page) + layout_faults_of(one.page) == []
    one.take("0.1")
    one.says("Not sent yet: 2")
    one.close()
    one.open()
    one.page.goto(f"{path}?check=k06")
    expect(one.page.get_by_text("Held off")).to_be_visible()
    one.says("Not sent yet: 2")
    one.page.goto("/bench/")
    expect(one.page.get_by_role("link", name="HN14-MB")).to_be_visible()
    way.is_cut = False
    one.sign_in(ines)
    one.says("All sent")
    assert [(r.point_id, r.typed) for r in readings()] == [
        ("k04/leads", "0.21"),
        ("k22/fuse", "0.1"),
    ]
    assert {r.by for r in readings()} == {ines}
    assert all(r.is_confirmed and r.taken_at < r.received_at for r in readings())


@pytest.mark.parametrize("is_right", [True, False])
def test_readings_are_of_who_was_at_the_tablet_through_a_switch(
    tablet: Open,
    way: Way,
    path: str,
    ines: Person,
    sami: Person,
    marit: Person,
    hollin_lane: Shop,
    is_right: bool,
) -> None:
    """A PIN that proves wrong leaves the readings, and says so beside them."""
    _station, token = stations.station_enrol(
        shop=hollin_lane, by=marit, name="By the window", is_bench=True
    )
    pins.pin_set(person=sami, shop=hollin_lane, digits=PIN)
    one = tablet(token).sign_in(ines).look(f"{path}?check=k04")
    one.page.goto("/sign-in/switch/")
    until(one.page, "() => caches.match('/sign-in/switch/').then(Boolean)")
    one.page.goto(f"{path}?check=k04")
    way.is_cut = True
    one.take("0.21")
    one.says("Not sent yet: 1")
    one.page.goto("/sign-in/switch/")
    one.page.get_by_text("Sami").click()
    one.page.locator("#pin").fill(PIN if is_right else "4826")
    one.page.get_by_role("button", name="OK").click()
    one.page.get_by_text("The network is away.").wait_for()
    one.page.goto(f"{path}?check=k22")
    one.take("0.1")
    one.says("Not sent yet: 2")
    way.is_cut = False
    until(one.page, LOOKED_AT)
    if not is_right:
        one.sign_in(ines)
        one.page.goto("/bench/")
    one.says("All sent")
    assert [(r.by, r.is_confirmed) for r in readings()] == [
        (ines, True),
        (sami, is_right),
    ]
    assert LateSwitch.objects.get().is_confirmed == is_right


def test_a_ticket_closed_meanwhile_takes_what_waited_and_marks_it_late(
    tablet: Open, way: Way, path: str, job: Ticket, ines: Person, tomas: Person
) -> None:
    one = tablet().sign_in(ines).look(f"{path}?check=k04")
    way.is_cut = True
    one.take("0.21")
    one.says("Not sent yet: 1")
    intake.outcome_record(ticket=job, by=tomas, kind="declined")
    intake.handover_do(ticket=job, by=tomas, given_to="Ada Pell")
    way.is_cut = False
    one.says("All sent")
    assert [r.is_late for r in readings()] == [True]


def test_what_is_refused_later_stays_in_sight_until_somebody_decides(
    tablet: Open, way: Way, path: str, ines: Person
) -> None:
    one = tablet().sign_in(ines).look(f"{path}?check=k04")
    way.is_cut = True
    one.take("5 V")
    one.says("Not sent yet: 1")
    one.take("0.1")
    way.is_cut = False
    one.says("Not taken: 1")
    assert [r.typed for r in readings()] == ["0.1"], "it holds up nothing behind it"
    assert layout_faults_of(one.page) == []
    one.page.locator("#waiting summary").click()
    expect(one.page.locator("#waiting li")).to_contain_text("5 V")
    for theme in ("light", "dark"):
        one.page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
        assert faults_of(one.page) == [], theme
    one.page.reload()
    one.says("Not taken: 1")
    one.page.locator("#waiting summary").click()
    one.page.get_by_role("button", name="Throw it away").click()
    one.says("All sent")


def test_a_clock_a_day_off_is_set_right(
    tablet: Open, way: Way, path: str, ines: Person
) -> None:
    ahead = "const now = Date.now; Date.now = () => now() + 86400000;"
    one = tablet(script=ahead).sign_in(ines).look(f"{path}?check=k04")
    way.is_cut = True
    one.take("0.21")
    one.says("Not sent yet: 1")
    way.is_cut = False
    one.says("All sent")
    (reading,) = readings()
    assert timezone.now() - timedelta(minutes=5) < reading.taken_at < timezone.now()
    assert abs((reading.tablet_offset_seconds or 0) - 86400) < 30
    assert reading.is_confirmed


def test_it_says_so_before_the_storage_is_full(
    tablet: Open, path: str, ines: Person
) -> None:
    """What the browser says of it is made up: Chromium tells a round sum for all."""
    small = """StorageManager.prototype.estimate = async () =>
      ({ usage: 81e6, quota: 100e6 });"""
    one = tablet(script=small).sign_in(ines)
    one.page.goto(path)
    expect(
        one.page.get_by_text("The storage of this tablet is nearly full")
    ).to_be_visible()
    assert faults_of(one.page) == []


def test_a_full_storage_keeps_what_was_typed_and_sends_it_by_itself(
    tablet: Open, path: str, ines: Person
) -> None:
    full = """IDBObjectStore.prototype.add = () => {
      throw new DOMException("full", "QuotaExceededError");
    };"""
    one = tablet(script=full).sign_in(ines)
    one.page.goto(f"{path}?check=k04")
    one.says("All sent")
    one.take("0.21")
    one.page.locator("#verdict").wait_for()
    assert [r.typed for r in readings()] == ["0.21"]
    expect(one.page.get_by_text("The storage of this tablet is full")).to_be_visible()


def test_the_condition_is_asked_once_while_the_network_is_away(
    tablet: Open, way: Way, path: str, may_power: None, ines: Person
) -> None:
    one = tablet().sign_in(ines).look(f"{path}?check=k24")
    step, field = one.page.locator(".stand"), one.page.locator("#id_typed")
    expect(field).to_be_hidden()
    way.is_cut = True
    one.page.get_by_role("button", name="It is so now").click()
    one.says("Not sent yet: 1")
    expect(step).to_be_hidden()
    one.take("14 mA")
    one.page.goto(f"{path}?check=k27&point=k27/main")
    expect(field).to_be_visible()
    expect(step).to_be_hidden()
    assert faults_of(one.page) + layout_faults_of(one.page) == []
    one.take("18.9")
    one.page.goto(f"{path}?check=k03")
    expect(step).to_contain_text("no power")
    expect(field).to_be_hidden()
    one.page.goto(f"{path}?check=k06")
    expect(one.page.get_by_text("nobody has judged that yet")).to_be_visible()
    way.is_cut = False
    one.says("All sent")
    stood = ConditionSet.objects.get()
    live = readings()[-2:]
    assert [(r.typed, r.supply_volts) for r in live] == [("14 mA", 19), ("18.9", 19)]
    assert stood.at <= live[0].taken_at <= live[1].taken_at


def test_a_check_is_passed_by_while_the_network_is_away(
    tablet: Open, way: Way, path: str, ines: Person
) -> None:
    one = tablet().sign_in(ines).look(f"{path}?check=k04")
    title = one.page.locator("#card h1")
    before = title.inner_text()
    way.is_cut = True
    one.page.get_by_text("Pass it by").click()
    one.page.get_by_role("button", name="later").click()
    one.says("Not sent yet: 1")
    expect(title).not_to_have_text(before)
    way.is_cut = False
    one.says("All sent")
    assert PassedBy.objects.get().check_id == "k04"


def test_the_proof_is_tapped_while_the_network_is_away(
    tablet: Open, way: Way, job: Ticket, board: Board, ines: Person
) -> None:
    one = tablet().sign_in(ines)
    one.page.goto(f"/bench/{job.number}/proof/")
    started = one.page.get_by_role("button", name="It started")
    way.is_cut = True
    for count in (1, 2):
        started.click()
        kept = f"Kept on the tablet. Not sent yet: {count}."
        expect(one.page.locator(".kept-away")).to_have_text(kept, timeout=SOON)
    assert faults_of(one.page) + layout_faults_of(one.page) == []
    way.is_cut = False
    expect(one.page.locator(".kept-away")).to_have_count(0, timeout=SOON)
    one.says("All sent")
    taps = ProofItem.objects.filter(ticket=job, item="cold_start")
    assert [tap.by for tap in taps] == [ines, ines]
    expect(one.page.get_by_text("2 of 3")).to_be_visible(timeout=SOON)


def test_two_tablets_see_each_other_within_three_seconds(
    tablet: Open, path: str, ines: Person, sami: Person
) -> None:
    first = tablet().sign_in(ines).look(f"{path}?check=k04")
    second = tablet().sign_in(sami).look(f"{path}?check=k03&point=k03/main")
    second.page.locator("#id_typed").fill("0.0")
    version = "document.querySelector('#ladder').dataset.version"
    before = second.page.evaluate(version)
    first.take("0.21")
    first.page.locator("#verdict").wait_for()
    second.page.wait_for_function(f"() => {version} !== '{before}'", timeout=3000)
    expect(second.page.locator("#news")).to_contain_text("Ines Okafor read")
    assert second.page.locator("#id_typed").input_value() == "0.0"


def test_what_an_older_version_kept_is_taken_and_the_page_for_then_is_new(
    tablet: Open, way: Way, path: str, ines: Person
) -> None:
    one = tablet().sign_in(ines).look(f"{path}?check=k04")
    way.is_cut = True
    one.take("0.21")
    one.says("Not sent yet: 1")
    one.page.evaluate(MAKE_OLD)
    way.is_cut = False
    one.page.goto(f"{path}?check=k22")
    one.says("All sent")
    until(one.page, IS_NEW)
    assert [r.typed for r in readings()] == ["0.21"]


# As an older version might have left it: less beside the act, another page and parts.
MAKE_OLD = """async () => {
  const [item] = await outbox.all();
  for (const name of ["offset", "word", "switch", "shown"]) delete item[name];
  await outbox.change(item, { form: "0" });
  const shell = await caches.open("bench");
  await shell.put("/bench/away/", new Response("an older page"));
  await shell.put("/static/js/gone.js", new Response("an older script"));
}"""
IS_NEW = """async () => {
  const shell = await caches.open("bench");
  const page = await (await shell.match("/bench/away/")).text();
  return page.includes("away.js") && !await shell.match("/static/js/gone.js");
}"""


def test_a_photo_waits_too_and_comes_once(
    tablet: Open, way: Way, path: str, ines: Person, photos_folder: Path
) -> None:
    one = tablet().sign_in(ines).look(path)
    way.is_cut = True
    dropped(one.page, "coil.jpg")
    one.says("Not sent yet: 1")
    expect(one.page.locator(".photo-sending")).to_contain_text("not sent yet")
    one.page.reload()
    one.says("Not sent yet: 1")
    way.is_cut = False
    one.says("All sent")
    photo = Photo.objects.get()
    assert (photo.by, photo.board_id) == (ines, Board.objects.get().pk)


def test_a_strike_waits_too(
    tablet: Open, way: Way, path: str, job: Ticket, board: Board, ines: Person
) -> None:
    reading = bench.reading_take(
        board=board, ticket=job, by=ines, point_id="k04/leads", typed="0.9"
    )
    one = tablet().sign_in(ines).look(f"{path}?reading={reading.pk}")
    way.is_cut = True
    one.page.get_by_role("button", name="Strike through, read again").click()
    one.says("Not sent yet: 1")
    way.is_cut = False
    one.says("All sent")
    assert queries.is_struck(reading)
