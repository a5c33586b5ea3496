"""The pages of the map that a browser looks at, and what is done on each first."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from urllib.parse import urlsplit

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import FilePayload, Page

from diagnostics import queries, services
from diagnostics.engine.packages import Channel, Outline, Setup
from diagnostics.models import Board, BoardModel, Meter, Origin, PartTest
from diagnostics.place import Place
from diagnostics.walk import walk_of
from shop.billing import services as billing
from shop.billing.models import Invoice
from shop.intake import joining, slip_links
from shop.intake import services as intake
from shop.intake.models import Customer, Ticket
from shop.intake.passcodes import passcode_keep
from shop.opening.imports.bringing import import_do, import_undo, import_upload
from shop.opening.imports.checking import check_some
from shop.opening.models import ImportRun
from shop.people import badges, stations
from shop.people.models import Person, Shop
from shop.photos.links import link_make
from shop.records import services as records
from shop.records.models import OutgoingMessage
from shop.rights.whom import obstacle, whom
from shop.serving.certificates import Hosts
from shop.serving.keeping import keep
from tests.browser.money_pages import (
    money_counter_pages,
    money_office_pages,
    quote_drafted,
)
from tests.browser.scanner import scan
from tests.browser.shelf_pages import shelf_bench_pages, shelf_counter_pages
from tests.samples import photo_of

WARRANTY, SEVERAL = "/counter/new/?intake=warranty", "/counter/new/?intake=several"
PEOPLE = ("", "tomas", "ines", "marit")


@dataclass(frozen=True)
class Seen:
    """A page, and what is done on it before it is looked at."""

    name: str
    url: str
    status: int = 200
    act: Callable[[Page], None] | None = None


def pages_of(person: str) -> list[Seen]:
    done = Ticket.objects.filter(handover__isnull=False).latest("id")
    on_bench = Ticket.objects.get(device__serial="P15-4402-118C")
    quoted = Ticket.objects.filter(quotes__isnull=False, handover=None).earliest("id")
    return {
        "": pages_of_nobody,
        "tomas": lambda: counter_pages(done, quoted),
        "ines": lambda: bench_pages(done, on_bench),
        "marit": office_pages,
    }[person]()


def pages_of_nobody() -> list[Seen]:
    return [
        Seen("sign-in", "/sign-in/"),
        Seen("switch", "/sign-in/switch/", status=404, act=at_a_tablet),
        Seen("sign-in-refused", "/sign-in/", act=sign_in_wrongly),
        Seen("add-photos", phone_link()),
        *slip_pages(),
        Seen("form-too-old", "/sign-in/", act=sign_in_without_cookie),
        Seen("not-understood", "/broken/400.html", status=400),
        Seen("fault-of-ours", "/broken/500.html", status=500),
        *serving_pages(),
    ]


def slip_pages() -> list[Seen]:
    """The customer's page: asked for an answer, asked once more, closed, not there."""
    quoted = Ticket.objects.filter(quotes__answer=None, handover=None).earliest("id")
    done = Ticket.objects.filter(handover__isnull=False).latest("id")
    at = slip_path(quoted)
    return [
        Seen("slip", at),
        Seen("slip-yes", at, act=lambda page: tap(page, "Accept")),
        Seen("slip-no", at, act=lambda page: tap(page, "Decline")),
        Seen("slip-closed", slip_path(done)),
        Seen("slip-not-here", "/slip/nothing/", status=404),
    ]


def slip_path(ticket: Ticket) -> str:
    return urlsplit(slip_links.address_of(ticket)).path


def tap(page: Page, name: str) -> None:
    page.get_by_role("button", name=name).click()
    page.locator("[name=word]").wait_for(state="attached")


def serving_pages() -> list[Seen]:
    """The trust page with an authority of this test's own, and the doctor."""
    keep(
        settings.TLS_DIR, Hosts(("coldrail.local",), ()), timezone.now(), shop="Hollin"
    )
    return [
        Seen("trust", "/trust/", act=open_all),
        Seen("doctor-stranger", "/doctor/", act=wait_for_doctor),
    ]


def counter_pages(done: Ticket, quoted: Ticket) -> list[Seen]:
    at = f"/tickets/{quoted.number}/"
    tag = quoted.things.earliest("id").tag
    return [
        Seen("day-list", "/counter/"),
        Seen("day-list-filtered", "/counter/?whose=ours&late=1&q=a"),
        Seen("find", "/find/?q=nothing+like+it"),
        Seen("find-several", "/find/?q=a"),
        Seen("find-live", "/counter/", act=type_a_name),
        Seen("intake", "/counter/new/"),
        Seen("intake-filled", "/counter/new/", act=fill_in),
        Seen("intake-begun", "/counter/new/?intake=parcel"),
        Seen("intake-refused", "/counter/new/", act=take_in_nothing),
        *(
            Seen(f"intake-{kind}", f"/counter/new/?intake={kind}")
            for kind in ("quick", "board_only", "parcel", "several", "warranty")
        ),
        *outage_pages(done.shop),
        Seen("intake-several-refused", SEVERAL, act=take_in_nothing),
        Seen("intake-returning", f"{WARRANTY}&customer={done.customer_id}"),
        Seen("offers", "/counter/customers/?name=iris"),
        Seen("customer", f"/counter/customers/{done.customer_id}/"),
        Seen("no-account", f"/accounts/{done.customer_id}/"),
        *twice_of(done),
        Seen("ticket", f"/tickets/{done.number}/"),
        *messages_of(quoted),
        *scanning_pages(quoted),
        Seen("ticket-open", at),
        *(
            Seen(name, f"{at}{name}/")
            for name in (
                *("story", "device", "park", "told", "promise", "outcome", "handover"),
                *("finish", "unpack", "together", "data-safe"),
            )
        ),
        Seen("place", f"{at}things/{tag}/place/"),
        Seen("slip-preview", f"{at}slip/"),
        Seen("quote-new", f"{at}quote/"),
        Seen("quote", f"{at}quotes/1/"),
        *(
            Seen(name, f"{at}{name}/")
            for name in ("order", "payment", "credit", "work")
        ),
        *money_counter_pages(quoted),
        *late_part_of(quoted),
        *shelf_counter_pages(quoted),
        Seen("passcode", f"{at}passcode/"),
        *photos_of(quoted),
        Seen("not-allowed", "/office/", status=403),
        Seen("not-here", "/tickets/0000/", status=404),
    ]


def outage_pages(shop: Shop) -> list[Seen]:
    """A pack with a void slip, and the intake of one that was filled in by pen."""
    by = Person.objects.get(username="marit")
    pack = shop.outage_packs.first() or intake.pack_print(shop=shop, by=by)
    lost, blank = pack.slips.order_by("id")[:2]
    intake.paper_slips_void(pack=pack, by=by, ticked=[lost.number], reason="lost")
    return [
        Seen("outage", "/counter/outage/"),
        Seen("outage-pack", pack.get_absolute_url()),
        Seen("paper-slip", lost.get_absolute_url()),
        Seen("intake-paper", f"/counter/new/?paper={blank}"),
        Seen("find-paper", f"/find/?q={blank.number[:-1]}{9 - int(blank.number[-1])}"),
    ]


def messages_of(quoted: Ticket) -> list[Seen]:
    """A ticket with a message that failed, one to be told by phone, one that is out."""
    now = timezone.now()
    told = {"to": "a@example.org", "subject": "Ready", "text": "Hello\n\nIt is ready."}
    stands = {
        "quote_sent": {"given_up_at": now, "last_error": "SMTP 550", **told},
        "new_promise": {"given_up_at": now, "withheld": "by_phone"},
        "ready": {"sent_at": now, "sent_by": "email", "channel": "email", **told},
    }
    for kind, columns in stands.items():
        message = records.message_ask(
            shop_id=quoted.shop_id,
            ticket_id=quoted.pk,
            message_id=f"seen-{kind}-{quoted.pk}",
            kind=kind,
        )
        OutgoingMessage.objects.filter(pk=message.pk).update(**columns)
    return [Seen("ticket-messages", f"/tickets/{quoted.number}/", act=open_all)]


def an_unsent_paper(college: Customer) -> list[Seen]:
    """A statement of account that could not be sent, on the day list."""
    message = records.message_ask(
        shop_id=college.shop_id,
        ticket_id=None,
        customer_id=college.pk,
        message_id=f"seen-statement-{college.pk}",
        kind="statement",
        paper=f"{college.pk}/2026-03-01/2026-03-31",
    )
    failed = {"given_up_at": timezone.now(), "last_error": "SMTP 550"}
    OutgoingMessage.objects.filter(pk=message.pk).update(**failed, to="a@example.org")
    return [Seen("day-list-unsent", "/counter/", act=open_all)]


def write_no_field(page: Page) -> None:
    open_all(page)
    page.fill("#id_ready_en", "Ready\n\n{{ settings.SECRET_KEY }}")
    page.get_by_role("button", name="Preview").click()
    page.locator("#id_ready_en_error").wait_for()


def fill_in(page: Page) -> None:
    """A returning customer, chips, a swollen pack, a signature."""
    page.get_by_label("Name", exact=True).press_sequentially("ir", delay=60)
    page.locator(".offers a").first.click()
    page.locator("#id_customer[value]").wait_for(state="attached")
    for said in ("Does not charge", "Swollen", "Dent"):
        page.get_by_text(said, exact=True).click()
    page.locator(".sign svg").click()
    page.get_by_text("Kept as a draft").wait_for()


def twice_of(done: Ticket) -> list[Seen]:
    """One customer who is kept twice, and one who was joined."""
    shop, by = done.shop, Person.objects.get(username="marit")
    name = done.customer.name
    twin = Customer.objects.filter(shop=shop, name=name).exclude(pk=done.customer_id)
    if not twin.exists():
        for _one in range(2):
            intake.customer_keep(shop=shop, by=by, name=name)
        joining.customers_join(
            kept=done.customer,
            gone=twin.earliest("id"),
            by=by,
            versions=(done.customer.version, 1),
        )
    gone, other = twin.order_by("id")
    at = f"/counter/customers/{done.customer_id}"
    return [
        Seen("customer-join", f"{at}/join/{other.pk}/"),
        Seen("customer-part", f"{at}/part/{gone.pk}/"),
    ]


def scanning_pages(quoted: Ticket) -> list[Seen]:
    """Places, scans, printers."""
    by = Person.objects.get(username="marit")
    shop = quoted.shop
    if not shop.places.exists():
        intake.places_make(shop=shop, by=by, names="C1 to C4", kind="shelf")
        thing = quoted.things.earliest("id")
        intake.thing_move(thing=thing, by=by, place="C1")
    if not shop.print_jobs.exists():
        shop.print_jobs.create(
            what="slip",
            subject_id=quoted.pk,
            ticket_id=quoted.pk,
            printer="desk",
            asked_by=by,
            last_error="The printer does not answer.",
        )
    place = shop.places.earliest("id")
    return [
        Seen("places", "/counter/places/"),
        Seen("places-refused", "/counter/places/", act=keep_nothing),
        Seen("place-here", f"/counter/places/{place.pk}/"),
        Seen("scan", "/scan/"),
        Seen("scan-tag", f"/scan/?code={quoted.number}-1"),
        Seen("scan-unknown", "/scan/?code=ZX-1"),
        Seen("scan-said", "/counter/", act=scan_nothing),
        Seen("printers", "/printing/"),
    ]


def late_part_of(ticket: Ticket) -> list[Seen]:
    by = Person.objects.get(username="marit")
    line = ticket.order_lines.first() or billing.part_order(
        ticket=ticket,
        by=by,
        supplier="Marsh",
        name="controller",
        price=ticket.diagnosis_fee,
        due_on=timezone.now().date() - timedelta(days=3),
    )
    at = f"/tickets/{ticket.number}/order/{line.pk}/"
    return [
        Seen("day-list-tasks", "/counter/"),
        *(Seen(f"order-{name}", f"{at}{name}/") for name in ("late", "elsewhere")),
        Seen("order-cancel", f"{at}cancel/"),
    ]


def scan_nothing(page: Page) -> None:
    scan(page, "ZX-77-19")
    page.locator("#scan-bar a").wait_for()


def bench_pages(done: Ticket, on_bench: Ticket) -> list[Seen]:
    place = Place(on_bench, Board.objects.get(ticket_boards__ticket=on_bench))
    repaired = Place(done, Board.objects.get(ticket_boards__ticket=done))
    at, bench = f"/bench/{on_bench.number}/", place.url()
    return [
        Seen("bench-list", "/bench/"),
        *evenings(),
        Seen("bench-list-all", "/bench/?all=1"),
        Seen("bench-away", "/bench/away/"),
        Seen("advice", "/bench/advice/"),
        Seen("own-settings", "/me/"),
        Seen("doctor", "/doctor/", act=wait_for_doctor),
        Seen("own-pin", "/me/pin/", act=keep_nothing),
        Seen("bench", place.url(stage="standby")),
        Seen("bench-look", place.url(check="k01")),
        Seen("bench-course", place.url(check="k24", told=1), act=open_all),
        Seen("bench-ticks", place.url(check="k60", told=1)),
        Seen("bench-held", place.url(check="k32"), act=open_all),
        Seen("bench-refused", place.url(check="k03"), act=read_nonsense),
        *readings_of(place),
        Seen("bench-repaired", repaired.url(), act=open_all),
        *part_tests_at(place, bench),
        *calculators_at(place),
        *yardsticks_of(place),
        *circuits_at(place),
        Seen("board-join", f"{at}board/"),
        Seen("board-join-desktop", f"{at}board/", act=choose_a_desktop),
        Seen("bench-condition", place.url(check="k03", ask=1), act=open_all),
        Seen("bench-passed-by", unread(place), act=pass_by),
        Seen("proof", f"/bench/{done.number}/proof/"),
        Seen("proof-empty", f"{at}proof/", act=open_all),
        Seen("found-more", f"/tickets/{on_bench.number}/{place.board.pk}/found-more/"),
        quote_drafted(),
        Seen("ticket-technician", f"/tickets/{on_bench.number}/"),
        *passcode_of(on_bench),
        Seen("park-from-bench", f"/tickets/{on_bench.number}/park/?from=bench"),
        Seen("warranty-decision", f"/tickets/{on_bench.number}/warranty/"),
        Seen("time", f"/tickets/{on_bench.number}/time/"),
        Seen("part", f"/tickets/{on_bench.number}/part/"),
        Seen("work-technician", reverse("billing:work", args=[done.number])),
    ]


def evenings() -> list[Seen]:
    """Today's list and yesterday's, which waits to be confirmed."""
    ines = Person.objects.get(username="ines")
    yesterday = (timezone.now() - timedelta(days=1)).date().isoformat()
    told = reverse("desk:evening", args=[ines.pk, yesterday])
    return [Seen("evening-today", "/evening/"), Seen("evening", told)]


def unread(place: Place) -> str:
    """A check of the walk that may be taken and was not yet."""
    walk = walk_of(queries.known_of(place.board))
    step = next(s for s in walk.steps if not s.is_read and not walk.holds(s.check.id))
    return place.url(check=step.check.id, point=step.point.id, told=1)


def choose_a_desktop(page: Page) -> None:
    page.get_by_text("Desktop, ATX supply").click()


def pass_by(page: Page) -> None:
    page.locator(".pass-by > summary").first.click()
    page.get_by_role("button", name="not needed").click()
    page.locator(".passed-by").first.wait_for()
    open_all(page)


def photos_of(ticket: Ticket) -> list[Seen]:
    """Some photos, one of them seen large, a QR, a photo that is none."""
    by, at = Person.objects.get(username="tomas"), f"/tickets/{ticket.number}/photos/"
    if not ticket.photos.exists():
        for side in ("intake", "damage", "board_top"):
            photo_of(ticket, by, side)
    middle = ticket.photos.all()[1]
    return [
        Seen("ticket-photos", ticket.get_absolute_url()),
        Seen("photos", at),
        Seen("photos-qr", at, act=show_qr),
        Seen("photos-refused", at, act=send_nonsense),
        Seen("photo", f"/photos/{middle.pk}/"),
    ]


def show_qr(page: Page) -> None:
    page.get_by_role("button", name="Show the QR").click()
    page.locator(".photo-code svg").wait_for()


def send_nonsense(page: Page) -> None:
    file: FilePayload = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": b"<svg/>"}
    page.locator("#photo-files").set_input_files(files=[file])
    page.locator(".photo-sending .wrong").wait_for()


def phone_link() -> str:
    """A link as a phone has it."""
    by = Person.objects.get(username="tomas")
    ticket = Ticket.objects.filter(handover=None).earliest("id")
    _link, token = link_make(ticket=ticket, by=by)
    return f"/add-photos/{token}/"


def passcode_of(ticket: Ticket) -> list[Seen]:
    """Why it is looked at, and the look."""
    by, at = Person.objects.get(username="ines"), f"/tickets/{ticket.number}/passcode/"
    passcode_keep(ticket=ticket, by=by, kind="pattern", text="2589", seen=0)
    return [
        Seen("passcode-kept", at),
        Seen("passcode-why", f"{at}show/"),
        Seen("passcode-shown", f"{at}show/", act=look),
    ]


def look(page: Page) -> None:
    page.get_by_text("To see it start").click()
    page.get_by_role("button", name="Show it").click()
    page.locator("[data-passcode]").wait_for()


def readings_of(place: Place) -> list[Seen]:
    """Verdicts, and the cards that a tap from an unclear one leads to."""
    read_now(place, "k03/main", "k03/mem.q", "k03/cpu.core")
    to_main = {"check": "k06", "point": "k06/main"}
    presets = {
        "finer_meter": to_main,
        "four_wire": to_main,
        "swap_probes": to_main | {"polarity": "red_on_ground"},
        "wait_settled": to_main,
        "take_out": to_main,
        "supply_on": {"check": "k27", "point": "k27/main"},
        "measure_leads": {"check": "k04", "point": "k04/leads", "back": "k06/main"},
    }
    return [
        Seen("verdict", place.url(check="k03", point="k03/main"), act=read("0.01")),
        Seen("unclear", place.url(check="k17", point="k17/cpu.core"), act=read("0.3")),
        *(
            Seen(f"preset-{code}", place.url(settle=code, **state))
            for code, state in presets.items()
        ),
    ]


def read_now(place: Place, *points: str) -> None:
    """Nothing on the rails today: resistance may be read."""
    by = Person.objects.get(username="ines")
    for point in points:
        services.reading_take(
            board=place.board, ticket=place.ticket, by=by, point_id=point, typed="0.01"
        )


def part_tests_at(place: Place, bench: str) -> list[Seen]:
    begun, settled = part_test_of(place), settled_part_test_of(place)
    return [
        Seen("part-test-new", f"{bench}part/"),
        Seen("part-test-refused", f"{bench}part/", act=begin_nothing),
        Seen("part-test", f"{bench}part/{begun.pk}/"),
        Seen("part-test-settled", f"{bench}part/{settled.pk}/"),
        Seen("controller", f"{bench}controller/"),
    ]


def calculators_at(place: Place) -> list[Seen]:
    step = {
        "nominal_volts": "3.3",
        "ohms": "0.4",
        "set_volts": "1",
        "set_amperes": "0.5",
        "seconds": "30",
        "points": "201\n194\nby the coil: 188\n190 mV",
        "resolution_volts": "1 mV",
        "board_kind": "thin",
        "is_pack_out": "on",
        "is_adapter_out": "on",
        "are_modules_out": "on",
    }
    sense = {"top_ohms": "30k", "bottom_ohms": "10k", "reference_volts": "0.8"}
    exact = {"resistor_tolerance": "1", "reference_tolerance": "1"}
    asked = {
        "divider": sense | exact,
        "injection": step | {"point": "k53/sb.33"},
        "low_ohms": {"shown_ohms": "0.5", "leads_ohms": "0.2", "spread_ohms": "0.05"},
        "marking": {"text": "4R7"},
        "pack": {},
        "phases": {},
    }
    wrong = {
        "injection": step | {"point": "k53/main", "set_amperes": "9"},
        "marking": {"text": "nothing"},
    }
    return [
        Seen("calculators", place.calculators_url),
        Seen("sheet", f"{place.url()}sheet/"),
        *(
            Seen(f"calculator-{name}", place.calculator_url(name, **typed))
            for name, typed in asked.items()
        ),
        *(
            Seen(f"refused-{name}", place.calculator_url(name, **typed), status=422)
            for name, typed in wrong.items()
        ),
    ]


def circuits_at(place: Place) -> list[Seen]:
    """The circuit finder: empty, with each tool, refused, at odds, and on the card."""
    model, at = place.board.board_model, f"{place.url()}circuits/"
    if not model.pictures.exists():
        mark_circuits(model)
    return [
        Seen("circuits", at, act=open_all),
        Seen("circuits-inductor", f"{at}?tool=inductor"),
        Seen("circuits-landmark", f"{at}?tool=landmark"),
        Seen("circuits-point", f"{at}?tool=point&rail=main&check=k06&point=k06/main"),
        Seen("circuits-no-picture", f"{at}?side=bottom"),
        Seen("circuits-refused", f"{at}?tool=inductor", act=mark_nowhere),
        Seen("circuits-of-model", f"/bench/lore/{model.pk}/circuits/"),
        Seen("bench-where", place.url(check="k17")),
    ]


def mark_circuits(model: BoardModel) -> None:
    """A row by the CPU that is confirmed, a pair at odds, one that is unclear."""
    ines, sami = (Person.objects.get(username=name) for name in ("ines", "sami"))
    picture = services.outline_keep(
        board_model=model, by=ines, side="top", outline="wide"
    )

    def mark(kind: str, x: float, y: float, look: str = "") -> int:
        return services.mark_set(
            picture=picture, by=ines, kind=kind, x=x, y=y, size=2, look=look
        ).pk

    mark("cpu", 0.4, 0.45)
    mark("memory", 0.8, 0.4)
    mark("ground", 0.3, 0.2)
    core = [mark("inductor", 0.34 + n * 0.05, 0.3, "a") for n in range(3)]
    pair = [mark("inductor", 0.7, 0.7 + n * 0.08, "b") for n in range(2)]
    mark("inductor", 0.6, 0.4, "c")
    say = services.circuit_say
    say(board_model=model, by=ines, marks=core, circuit="cpu")
    say(board_model=model, by=ines, marks=pair, circuit="standby")
    say(board_model=model, by=sami, marks=pair, circuit="memory")


def mark_nowhere(page: Page) -> None:
    page.get_by_role("button", name="Set it there").click()
    page.locator(".finder-mark .wrong").wait_for()


def yardsticks_of(place: Place) -> list[Seen]:
    """Meters, the shop's own boards, and what good boards of a model read."""
    meter = Meter.objects.earliest("id")
    good = Board.objects.exclude(serial="").filter(ticket_boards=None).earliest("id")
    donor = Board.objects.filter(origin=Origin.DONOR).earliest("id")
    lore = donor.board_model.get_absolute_url()
    return [
        Seen("meters", "/bench/meters/"),
        Seen("meter-new", "/bench/meters/new/"),
        Seen("meter-refused", "/bench/meters/new/", act=keep_nothing),
        Seen("meter", f"/bench/meters/{meter.pk}/"),
        Seen("references", "/bench/reference/"),
        Seen("references-refused", "/bench/reference/", act=keep_nothing),
        Seen("reference-bench", Place(None, good).url(), act=open_all),
        Seen("donor-bench", Place(None, donor).url(), act=open_all),
        Seen("lore", lore, act=open_all),
        Seen("lore-stage", f"{lore}?stage=standby", act=open_all),
        Seen("lore-differs", f"{lore}differs/"),
        Seen("lore-differs-refused", f"{lore}differs/", act=keep_nothing),
        Seen("lores", "/bench/lore/"),
        *shelf_bench_pages(place.ticket or Ticket.objects.earliest("id")),
        Seen("taken-off", f"/bench/donors/{donor.pk}/"),
        Seen("taken-off-refused", f"/bench/donors/{donor.pk}/", act=keep_nothing),
        Seen("lore-little", f"/bench/lore/{place.board.board_model_id}/"),
    ]


def part_test_of(place: Place) -> PartTest:
    """A part test at the step that finds the diode."""
    label, setup = "by the jack", Setup(Outline.THREE, Channel.UNKNOWN, is_lifted=True)
    return part_test(place, label, setup, {"discharge": "done"})


def settled_part_test_of(place: Place) -> PartTest:
    """A part that conducts both ways."""
    setup = Setup(Outline.EIGHT, Channel.N, is_lifted=True)
    steps = {
        "source_joined": "0.1",
        "drain_joined": "0.2",
        "discharge": "done",
        "forward": "0.002",
        "reverse": "0.003",
    }
    return part_test(place, "left of the second coil", setup, steps)


def part_test(
    place: Place, label: str, setup: Setup, steps: dict[str, str]
) -> PartTest:
    """The test of that label on this board, taken so far if it was not."""
    begun = place.board.part_tests.filter(label=label).first()
    if begun is not None:
        return begun
    by = Person.objects.get(username="ines")
    test = services.part_test_start(
        board=place.board, ticket=place.ticket, by=by, label=label, setup=setup
    )
    for step, typed in steps.items():
        services.part_step_take(test=test, by=by, step=step, typed=typed)
    return test


def office_pages() -> list[Seen]:
    number = Invoice.objects.exclude(ticket=None).latest("id").number
    return [
        Seen("office", "/office/"),
        *figures_pages(),
        Seen("trail", "/office/trail/"),
        Seen("trail-refused", "/office/trail/?ticket=nothing", status=422),
        Seen("backups", "/keeping/"),
        Seen("lore-owner", Board.objects.earliest("id").board_model.get_absolute_url()),
        Seen("sign-in-again", "/sign-in/again/"),
        *people_pages(),
        *rights_pages(),
        *account_pages(),
        Seen("photo-keeping", "/photos/keeping/"),
        Seen("credit-note", f"/invoices/{number}/credit-note/"),
        *books_pages(),
        Seen("invoice", f"/invoices/{number}/"),
        *money_office_pages(),
        Seen("payment-rules", "/payment-rules/"),
        Seen("goodwill", f"/tickets/{Ticket.objects.latest('id').number}/goodwill/"),
        Seen("first-day", "/opening/first-day/"),
        *(
            Seen(f"settings-{name}", f"/opening/settings/{name}")
            for name in ("", "shop/", "hours/", "rates/", "texts/")
        ),
        *(
            Seen(f"settings-{name}", f"/opening/settings/{name}")
            for name in ("limits/", "numbers/")
        ),
        Seen("families", "/bench/families/"),
        Seen("hours-refused", "/opening/settings/hours/", act=close_too_early),
        Seen("texts-refused", "/opening/settings/texts/", act=write_no_field),
        Seen("imports", "/opening/imports/"),
        *imports_of(Shop.objects.get(), Person.objects.get(username="marit")),
    ]


def figures_pages() -> list[Seen]:
    return [
        *(
            Seen(f"figures-{room}", f"/office/{room}/?months=24", act=open_all)
            for room in ("turnaround", "money", "quality")
        ),
        Seen("figures-refused", "/office/money/?since=2020-05-02", status=422),
        Seen("weekly", "/office/weekly/"),
    ]


def books_pages() -> list[Seen]:
    """The till, money owed, the books: the year that the story has told."""
    return [
        Seen("till", "/books/till/"),
        Seen("day-end", "/books/till/end/", act=keep_nothing_new),
        Seen("cash-move", "/books/till/move/", act=keep_nothing_new),
        Seen("owed", "/books/owed/"),
        Seen("reminder-days", "/books/owed/reminders/"),
        Seen("books", "/books/?first=2020-01-01&last=2026-01-01"),
        Seen("accounts", "/books/accounts/"),
    ]


def account_pages() -> list[Seen]:
    """A customer with an account: two machines wait for the month."""
    shop = Shop.objects.get()
    owner = Person.objects.get(username="marit")
    college = shop.customers.filter(name="Weir College").first()
    if college is None:
        college = an_account(shop, owner)
    at = f"/accounts/{college.pk}/"
    ticket = college.tickets.latest("id")
    return [
        Seen("accounts", "/accounts/"),
        *an_unsent_paper(college),
        Seen("account", at),
        Seen("account-rules", f"{at}rules/", act=keep_no_days),
        Seen("account-prices", f"{at}prices/"),
        Seen("account-payment", f"{at}payment/"),
        Seen("account-statement", f"{at}statement/"),
        Seen("account-month", "/accounts/month/"),
        Seen("account-month-of", f"/accounts/month/{college.pk}/"),
        Seen("account-ticket", ticket.get_absolute_url()),
        Seen("account-order", f"/tickets/{ticket}/account/"),
        Seen("account-intake", f"/counter/new/?customer={college.pk}"),
    ]


def an_account(shop: Shop, owner: Person) -> Customer:
    month = timezone.now().replace(day=1) - timedelta(days=1)
    at = month.replace(day=2)
    college = intake.customer_keep(shop=shop, by=owner, name="Weir College")
    intake.account_set(
        customer=college, by=owner, seen=0, payment_days=30, order_number="PO-77", at=at
    )
    intake.account_prices_set(customer=college, by=owner, discount_basis_points=500)
    for serial in ("H14-0091", "H14-0117"):
        device = intake.device_keep(
            customer=college,
            by=owner,
            kind="laptop",
            model="Heron 14",
            serial=serial,
            contact="Lab 3",
        )
        ticket = intake.ticket_open(
            shop=shop, by=owner, customer=college, device=device, told="Dead.", at=at
        )
        intake.outcome_record(ticket=ticket, by=owner, kind="no_fault_found", at=at)
        intake.handover_do(
            ticket=ticket, by=owner, given_to="Lab 3", at=at + timedelta(hours=1)
        )
    return college


def keep_no_days(page: Page) -> None:
    page.get_by_label("Days to pay in").fill("")
    page.get_by_role("button", name="Keep the rules").click()


def rights_pages() -> list[Seen]:
    """What is kept of a customer who may be erased, and the way there."""
    may = (c for c in Customer.objects.filter(joined_to=None) if not whom_obstacle(c))
    at = f"/rights/customers/{next(may).pk}/"
    return [
        Seen("customer-data", at),
        Seen("erase-refused", f"{at}erase/", act=go_on_unread),
        Seen("erase-sure", f"{at}erase/", act=go_on_read),
        Seen("periods", "/rights/periods/"),
        Seen("names-on-sales", "/rights/sales/?q=ada"),
    ]


def whom_obstacle(customer: Customer) -> str:
    return obstacle(whom(customer))


def go_on_unread(page: Page) -> None:
    page.get_by_role("button", name="Go on").click()
    page.locator("main .wrong").first.wait_for()


def go_on_read(page: Page) -> None:
    page.get_by_label("I have read").check()
    page.get_by_role("button", name="Go on").click()
    page.locator("[name=word]").wait_for(state="attached")


def people_pages() -> list[Seen]:
    ines = Person.objects.get(username="ines")
    shop = ines.memberships.all()[0].shop
    if not shop.stations.exists():
        stations.station_enrol(shop=shop, by=ines, name="Bench tablet", is_bench=True)
        badges.badge_make(person=ines, shop=shop, by=ines)
    return [
        Seen("people", "/people/"),
        Seen("person-new", "/people/new/", act=keep_nothing_new),
        Seen("person", f"/people/{ines.pk}/"),
        Seen("leaving", f"/people/{ines.pk}/leaving/"),
        Seen("stations", "/people/stations/"),
        Seen("factors", "/me/factors/"),
        Seen("app", "/me/factors/app/"),
        Seen("passkey", "/me/factors/passkey/"),
        Seen("password", "/me/password/", act=keep_nothing_new),
        Seen("sign-in-again", "/sign-in/again/"),
    ]


def keep_nothing_new(page: Page) -> None:
    page.locator("main button.main").click()
    page.locator("main .wrong").first.wait_for()


def at_a_tablet(page: Page) -> None:
    """The browser becomes a bench tablet, and a wrong PIN is typed."""
    ines = Person.objects.get(username="ines")
    shop = ines.memberships.all()[0].shop
    station, token = stations.station_enrol(
        shop=shop, by=ines, name="Bench tablet", is_bench=True
    )
    host, name = page.url.partition("/sign-in/")[0], settings.STATION_COOKIE
    page.context.add_cookies([{"name": name, "value": token, "url": host}])
    page.goto(page.url)
    page.get_by_text(ines.name.split()[0]).click()
    page.get_by_role("button", name="OK").click()
    page.locator("#refusal").get_by_text("not the PIN").wait_for()
    page.context.clear_cookies()
    stations.station_end(station=station, by=ines)


def imports_of(shop: Shop, by: Person) -> list[Seen]:
    """Files in every state that stands still: new, checked, brought in, taken back."""
    runs = [import_of(shop, by, name) for name in ("new", "dry", "in", "out")]
    new, dry, brought, back = runs
    for run in (dry, brought, back):
        check_some(run)
    for run in (brought, back):
        import_do(run=run, by=by)
    import_undo(run=back, by=by)
    return [
        Seen(f"import-{name}", f"/opening/imports/{run.pk}/")
        for name, run in (("new", new), ("dry", dry), ("in", brought), ("out", back))
    ]


def import_of(shop: Shop, by: Person, name: str) -> ImportRun:
    return import_upload(
        shop=shop,
        by=by,
        body=f"name,phone\nGuest {name},none\n,none\n".encode(),
        digest=f"{name:0>64}",
        what="customers",
        file_name=f"{name}.csv",
        encoding="utf-8",
        separator=",",
        rows=2,
        columns={"name": 0, "phone": 1},
    )


def close_too_early(page: Page) -> None:
    page.get_by_label("Monday opens 1").fill("09:00")
    page.get_by_label("Monday closes 1").fill("08:00")
    page.get_by_role("button", name="Keep").click()
    page.get_by_role("alert").wait_for()


def sign_in_wrongly(page: Page) -> None:
    send_sign_in(page)
    page.get_by_role("alert").wait_for()


def send_sign_in(page: Page) -> None:
    page.get_by_label("Sign-in name").fill("tomas")
    page.get_by_label("Password").fill("wrong")
    page.get_by_role("button", name="Sign in").click()


def sign_in_without_cookie(page: Page) -> None:
    page.context.clear_cookies()
    send_sign_in(page)
    page.get_by_role("heading", name="too old to be sent").wait_for()


def type_a_name(page: Page) -> None:
    page.locator("#find").press_sequentially("iriss")
    page.locator("#find-hits a").first.wait_for()


def take_in_nothing(page: Page) -> None:
    page.get_by_role("button", name="Only keep").click()
    page.get_by_role("alert").first.wait_for()


def open_all(page: Page) -> None:
    page.evaluate("document.querySelectorAll('details').forEach((e) => e.open = true)")


def wait_for_doctor(page: Page) -> None:
    page.locator("[data-doctor=done]").wait_for()


def begin_nothing(page: Page) -> None:
    page.get_by_role("button", name="Begin the test").click()
    page.get_by_role("alert").wait_for()


def read_nonsense(page: Page) -> None:
    page.locator("#id_typed").fill("a lot")
    page.keyboard.press("Enter")
    page.locator("#wrong").wait_for()
    open_all(page)


def keep_nothing(page: Page) -> None:
    page.locator("main button.main").click()
    page.get_by_role("alert").first.wait_for()


def read(typed: str) -> Callable[[Page], None]:
    """Take a reading in place, which turns the card into its verdict."""

    def take(page: Page) -> None:
        page.locator("#id_typed").fill(typed)
        page.keyboard.press("Enter")
        page.locator("#verdict").wait_for()

    return take
