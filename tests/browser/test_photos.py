"""Photos by paste, drop and phone, and a passcode that leaves the screen by itself."""

from io import BytesIO
from urllib.parse import urlsplit

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, FilePayload, Page, Route, expect

from shop.intake.models import Ticket
from shop.intake.passcodes import passcode_keep
from shop.people.models import Person
from shop.photos.models import Photo
from tests.browser.conftest import PHONE, TABLET, OnTheNetwork, Visit

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]

# A picture as a microscope's program copies it, or as it is dragged from its window.
BY_HAND = """async (how) => {
  const canvas = document.createElement("canvas");
  canvas.width = 600; canvas.height = 400;
  canvas.getContext("2d").fillRect(9, 9, how.length * 20, 99);
  const blob = await new Promise((done) => canvas.toBlob(done, "image/png"));
  const brought = new DataTransfer();
  brought.items.add(new File([blob], "image.png", {type: "image/png"}));
  document.body.dispatchEvent(how === "paste"
    ? new ClipboardEvent("paste", {clipboardData: brought, bubbles: true})
    : new DragEvent("drop", {dataTransfer: brought, bubbles: true, cancelable: true}));
}"""


@pytest.fixture
def on_bench(told_shop: object) -> Ticket:
    return Ticket.objects.get(device__serial="P15-4402-118C")


def file(width: int, height: int, name: str = "a.jpg") -> FilePayload:
    made = BytesIO()
    Image.new("RGB", (width, height), (20, 90, 60)).save(made, "JPEG")
    return {"name": name, "mimeType": "image/jpeg", "buffer": made.getvalue()}


def shown(page: Page, count: int) -> None:
    page.locator(".photo-strip li").nth(count - 1).wait_for()


def test_pictures_are_pasted_and_dropped_on_ticket_and_bench(
    visit: Visit, on_bench: Ticket
) -> None:
    page = visit("ines", size=TABLET)
    page.goto(on_bench.get_absolute_url())
    page.evaluate(BY_HAND, "paste")
    shown(page, 1)
    page.get_by_role("link", name="To the bench").click()
    page.locator("#card").wait_for()
    page.goto(f"{page.url}?check=k04&told=1")  # whatever the next best check asks
    page.locator("#id_typed").fill("0.2")
    page.keyboard.press("Enter")
    page.locator("#verdict").wait_for()
    page.evaluate(BY_HAND, "drop")
    shown(page, 2)
    assert page.locator("#verdict").is_visible()
    ticket_one, bench_one = Photo.objects.order_by("id")
    assert {ticket_one.side, bench_one.side} == {"microscope"}
    assert (ticket_one.board_id, bench_one.board_id) == (
        None,
        on_bench.ticket_boards.get().board_id,
    )


def test_a_phone_sends_by_the_qr_and_the_page_shows_it(
    visit: Visit, on_bench: Ticket, browser: Browser, live_server: OnTheNetwork
) -> None:
    page = visit("tomas", size=TABLET)
    page.goto(f"{on_bench.get_absolute_url()}photos/")
    page.get_by_role("button", name="Show the QR").click()
    drawn = page.locator(".photo-code svg").screenshot()
    address = zxingcpp.read_barcodes(Image.open(BytesIO(drawn)))[0].text
    assert address.startswith(f"{live_server.url}/add-photos/")
    context = browser.new_context(
        viewport={"width": PHONE["width"], "height": PHONE["height"]}
    )
    phone = context.new_page()
    phone.goto(address)
    phone.locator("#photo-files").set_input_files(
        files=[file(6000, 4500, "large.jpg"), file(300, 200)]
    )
    shown(page, 2)
    assert phone.locator("[data-count]").inner_text() == "2"
    large = Photo.objects.earliest("id")
    assert (large.width, large.height) == (4096, 3072)
    assert large.taken_at is not None
    context.close()


def test_a_break_of_the_line_is_said_and_nothing_sent_twice(
    visit: Visit, on_bench: Ticket, live_server: OnTheNetwork
) -> None:
    """The answer is lost: the photo is kept, the page can't know, and sends again."""
    page, lost = visit("tomas"), list[str]()
    page.goto(f"{on_bench.get_absolute_url()}photos/")

    def lose_the_answer(route: Route) -> None:
        """Sent on by Playwright itself, which knows no names of ours."""
        asked, name = route.request, urlsplit(live_server.url).netloc
        straight = asked.url.replace(live_server.url, live_server.server.url)
        route.fetch(url=straight, headers={**asked.headers, "host": name})
        lost.append("once")
        route.abort()

    page.route("**/photos/", lose_the_answer, times=1)
    page.locator("#photo-files").set_input_files(files=[file(300, 200)])
    page.get_by_role("button", name="Send again").click()
    shown(page, 1)
    assert lost == ["once"]
    assert Photo.objects.count() == 1


def test_the_viewer_turns_by_keyboard_but_not_while_typing(
    visit: Visit, on_bench: Ticket
) -> None:
    page = visit("tomas")
    page.goto(f"{on_bench.get_absolute_url()}photos/")
    page.locator("#photo-files").set_input_files(files=[file(300, 200), file(200, 300)])
    shown(page, 2)
    first, second = Photo.objects.order_by("id")
    page.goto(f"/photos/{first.pk}/")
    page.get_by_label("A few words").press("ArrowRight")
    assert page.url.endswith(f"/photos/{first.pk}/")
    page.locator("[data-frame]").press("ArrowRight")
    page.wait_for_url(f"**/photos/{second.pk}/")


def test_a_passcode_is_gone_after_a_minute(visit: Visit, on_bench: Ticket) -> None:
    by = Person.objects.get(username="tomas")
    passcode_keep(ticket=on_bench, by=by, kind="password", text="Tawny-7 owl")
    page = visit("ines", size=TABLET)
    page.goto(f"{on_bench.get_absolute_url()}passcode/show/")
    page.clock.install()
    page.get_by_text("To prove the repair").click()
    page.get_by_role("button", name="Show it").click()
    assert page.locator(".passcode-text").inner_text() == "Tawny-7 owl"
    page.clock.fast_forward(50_000)
    assert page.locator(".passcode-text").count() == 1
    page.clock.fast_forward(11_000)
    expect(page.locator(".passcode-text")).to_have_count(0)
