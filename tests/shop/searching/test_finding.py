"""Finding a ticket by whatever one knows, and the texts that follow their rows."""

from collections.abc import Callable
from io import StringIO

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.db.migrations import Migration
from django.test import Client
from django.utils import timezone

from diagnostics.models import Board, BoardModel, Finding, TicketBoard
from shop.intake import scans
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.models import Note
from shop.searching import candidates, following, pace, queries, services, trigrams
from shop.searching.asking import Sought
from shop.searching.common import Newest
from shop.searching.models import TicketText
from shop.searching.word_names import TRIGRAMS
from tests.factories import CustomerFactory, DeviceFactory, TicketFactory

ClientOf = Callable[[str], Client]


@pytest.fixture
def noor(tomas: Person, hollin_lane: Shop) -> Ticket:
    customer = CustomerFactory.create(
        shop=hollin_lane,
        name="Noor Aldabø",
        phone_typed="020 7946 0958",
        phone_e164="+442079460958",
    )
    device = DeviceFactory.create(
        customer=customer, serial="CS-7788", board_number_seen="LX-20 rev 3"
    )
    return TicketFactory.create(
        by=tomas, device=device, told="Coffee over the keys.", old_number="R-17/04"
    )


def found(ticket: Ticket, typed: str) -> list[Ticket]:
    return [hit.ticket for hit in queries.find(ticket.shop, typed).hits]


@pytest.mark.parametrize(
    "typed",
    [
        *("noor", "Aldabo", "nor aldaba", "Naor Aldbaø", "alda"),
        *("0958", "7946 0958", "+442079460958", "0044 20 7946 0958", "2079460985"),
        *("cs-77", "CS77B8", "cs7788", "LX-2O", "R-17", "r17/o4"),
        *("coffee keys", "cofee", "noor coffee", "aldabo tea"),
    ],
)
def test_a_ticket_is_found_by_what_one_knows(
    noor: Ticket, ticket: Ticket, typed: str
) -> None:
    assert found(noor, typed) == [noor]


def test_a_number_a_tag_and_a_scan_find_one_ticket(
    noor: Ticket, ticket: Ticket, client_of: ClientOf
) -> None:
    for typed in (noor.number, f" {noor.number}-2 ", scans.ticket_code(noor.number)):
        assert queries.find(noor.shop, typed).only == noor
        page = client_of("ines").get("/find/", {"q": typed}, follow=True)
        assert noor.number in page.redirect_chain[0][0]


def test_a_mistyped_number_finds_what_it_may_have_meant(
    noor: Ticket, ticket: Ticket
) -> None:
    wrong = f"{noor.number[:-1]}{(int(noor.number[-1]) + 1) % 10}"
    answer = queries.find(noor.shop, wrong)
    assert answer.is_mistyped
    assert answer.only is None
    assert noor in [hit.ticket for hit in answer.hits]


@pytest.mark.parametrize(
    "typed", ["", "  ", "zzz", "%", "_", "x" * 5000, "'; --", '"', "\u202e", "\0"]
)
def test_what_is_not_there_is_not_found(noor: Ticket, typed: str) -> None:
    answer = queries.find(noor.shop, typed)
    assert (answer.hits, answer.is_mistyped) == ([], False)


def test_tickets_closer_together_than_thought_are_all_read(
    noor: Ticket, tomas: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where another shop's tickets stood between, and now stand no more."""
    for _time in range(7):
        TicketFactory.create(by=tomas, device=noor.device)
    monkeypatch.setattr(candidates, "READ", 2)
    newest = Newest(frozenset(["noor"]), apart=1000)
    monkeypatch.setattr(candidates, "_newest", lambda _shop: newest)
    numbers = noor.shop.tickets.order_by("-id").values_list("number", flat=True)
    hits = queries.find(noor.shop, "noor").hits
    assert [hit.ticket.number for hit in hits] == list(numbers)


def test_another_shop_finds_nothing(noor: Ticket, elsewhere: Person) -> None:
    shop = TicketFactory.create(by=elsewhere).shop
    assert queries.find(shop, "Aldabo").hits == []


def test_a_hit_says_where_it_lies_whose_turn_it_is_and_why(
    noor: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    intake.thing_move(thing=noor.things.get(), by=tomas, place="C7")
    (hit,) = queries.find(noor.shop, "noar cofee").hits
    assert (list(hit.places), hit.whose) == (["C7"], "ours")
    assert [
        (str(reason.label), [piece.text for piece in reason.pieces if piece.is_met])
        for reason in hit.reasons
    ] == [("Customer", ["Noor"]), ("Told", ["Coffee"])]
    page = client_of("ines").get("/find/live/", {"q": "noar cofee"}).content.decode()
    for told in ("at C7", "Ours", "<mark>Noor</mark>", noor.get_absolute_url()):
        assert told in page


def texts() -> dict[int, str]:
    return dict(TicketText.objects.values_list("ticket_id", "text"))


def test_the_text_follows_every_row_that_it_is_made_of(
    noor: Ticket, ines: Person, tomas: Person, hollin_lane: Shop
) -> None:
    """Each write is found at once, and what it took the place of no more."""
    customer, device = noor.customer, noor.device
    intake.customer_change(
        customer=customer, by=tomas, version=customer.version, name="Wren Stavik"
    )
    assert (found(noor, "stavik"), found(noor, "aldabo")) == ([noor], [])
    device.serial = "QT-5150"
    device.save(update_fields=["serial"])
    assert (found(noor, "qt5150"), found(noor, "cs-7788")) == ([noor], [])
    for word in ("corrosion", "verdigris"):
        intake.story_write(ticket=noor, by=ines, kind="found", text=f"Much {word}.")
    assert (found(noor, "verdigris"), found(noor, "corrosion")) == ([noor], [])
    model = BoardModel.objects.create(
        shop=hollin_lane, number="MB-7Z.2", family="laptop_barrel"
    )
    board = Board.objects.create(shop=hollin_lane, board_model=model, serial="ZQ900")
    TicketBoard.objects.create(ticket=noor, board=board)
    Finding.objects.create(
        board=board,
        ticket=noor,
        epoch=0,
        part_id="ec",
        mode_id="dead",
        place="by the lid switch",
        by=ines,
    )
    for typed in ("mb7z2", "zq90o", "lid switch"):
        assert found(noor, typed) == [noor], typed
    before = texts()
    assert services.texts_anew(lambda: True) == 0
    assert texts() == before


def test_an_act_that_is_taken_back_leaves_no_text(noor: Ticket, ines: Person) -> None:
    with transaction.atomic():
        intake.story_write(ticket=noor, by=ines, kind="done", text="Reballed.")
        transaction.set_rollback(True)
    assert found(noor, "reballed") == []


def test_what_is_erased_is_in_no_text_and_in_no_index(
    noor: Ticket, ines: Person
) -> None:
    note = intake.story_write(ticket=noor, by=ines, kind="found", text="Xylophone.")
    assert found(noor, "xylophone") == [noor]
    note.text, note.erased_at = "", timezone.now()
    note.save()
    assert found(noor, "xylophone") == []
    assert not any("xyiophone" in text for text in texts().values())
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute(
                f"SELECT count(*) FROM {TRIGRAMS} WHERE {TRIGRAMS} MATCH %s",  # noqa: S608  our own table
                ['"xyi"'],
            )
            assert cursor.fetchone() == (0,)


@pytest.mark.parametrize("kind", ["private", "strike", "gate", "anything"])
def test_only_notes_of_known_kinds_are_searched(noor: Ticket, kind: str) -> None:
    records.note_keep(
        shop_id=noor.shop_id, ticket_id=noor.pk, kind=kind, text="Xylophone", by_id=None
    )
    services.texts_renew([noor.pk])
    assert found(noor, "xylophone") == []


def test_texts_made_anew_say_what_a_bulk_write_left_out(noor: Ticket) -> None:
    Note.objects.filter(ticket_id=noor.pk).update(text="Xylophone")
    TicketText.objects.filter(ticket=noor).delete()
    assert found(noor, "xylophone") == []
    said = StringIO()
    call_command("search_anew", stdout=said)
    assert said.getvalue() == "1 texts were made anew.\n"
    assert found(noor, "xylophone") == [noor]


@pytest.mark.parametrize(("room", "is_made"), [("searching", True), ("intake", False)])
def test_tickets_of_before_get_their_texts_with_the_searchs_migrations(
    noor: Ticket, room: str, is_made: bool
) -> None:
    TicketText.objects.all().delete()
    plan = [(Migration("0001_some", room), False)]
    following.anew_after(apps.get_app_config("searching"), plan=plan)
    assert (found(noor, "aldabo") == [noor]) is is_made


def test_without_its_index_the_search_says_so_and_works_on(
    noor: Ticket, tomas: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As where a database user may not add the extension, or SQLite is too old."""

    trigrams.drop(connection)
    assert found(noor, "aldabo") == [noor]
    said = StringIO()
    with monkeypatch.context() as patch:
        patch.setattr(trigrams, "OLDEST_SQLITE", (99,))
        patch.setattr(trigrams, "EXTENSION", "CREATE EXTENSION nobody_has_this")
        with pytest.raises(CommandError, match="slow"):
            call_command("search_anew", stderr=said)
    assert ("SQLite 3.34" in said.getvalue()) or ("pg_trgm" in said.getvalue())
    connection.check_constraints()  # PostgreSQL makes no index while some are deferred
    call_command("search_anew", stdout=StringIO())
    assert trigrams.has_index(connection)
    assert found(noor, "aldabo") == [noor]


@pytest.mark.parametrize("many", [candidates.MANY, 0])
def test_the_newest_are_found_however_far_back_they_lie(
    noor: Ticket, tomas: Person, monkeypatch: pytest.MonkeyPatch, many: int
) -> None:
    """By the words that are meant, and by the piece itself where too many have it."""
    monkeypatch.setattr(candidates, "MANY", many)
    again = [
        TicketFactory.create(by=tomas, customer=noor.customer) for _time in range(3)
    ]
    for _other in range(4):
        TicketFactory.create(by=tomas)
    for most in (1, 2, 9):
        with candidates.looking(noor.shop) as look:
            texts = look.found((Sought("aidabo", ("0aid", "dabo")),), most)
        ids = [one.ticket_id for one in texts]
        assert ids == [one.pk for one in (*reversed(again), noor)][:most]


def test_whoever_asks_too_fast_is_told_kindly(
    noor: Ticket, client_of: ClientOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pace, "MOST", 3)
    monkeypatch.setattr(pace, "SECONDS", 10**6)  # slow machines ask within one too
    client = client_of("ines")
    pages = [client.get("/find/live/", {"q": "alda"}) for _time in range(4)]
    assert {page.status_code for page in pages} == {200}
    assert "A moment" in pages[-1].content.decode()
    assert client.get("/find/", {"q": noor.number})["Location"] == (
        noor.get_absolute_url()
    )
    assert "Noor" in client_of("tomas").get("/find/live/?q=noor").content.decode()
