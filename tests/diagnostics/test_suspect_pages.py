"""The suspects card, the next best check and what is seen, as the bench shows them."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import advising, queries
from diagnostics import services as bench
from diagnostics.bridge import Known
from diagnostics.engine.assessment import (
    Assessment,
    Disagreement,
    Learned,
    Offer,
    Suspect,
)
from diagnostics.engine.reasons import reason
from diagnostics.models import Advice, Board, Reading, Sighting, SuspectWord
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.diagnostics.conftest import Read
from tests.diagnostics.test_bench_page import HTMX, act_of, gone, keyed, page_of

pytestmark = pytest.mark.one_database

Says = Callable[..., None]
TELLS = reason("tells_apart", suspects="p.dual:no_output, p.csb:short")
SAID = Assessment(
    suspects=(
        Suspect(
            "p.dual",
            "no_output",
            "keep5",
            0.7,
            speaks_for=(
                reason(
                    "reading_for",
                    point="k11/sb.33",
                    value=0.4,
                    unit="ohm",
                    low=0.02,
                    high=3.0,
                    usual_low=300.0,
                    usual_high=900.0,
                ),
            ),
            against=(
                reason("reading_against", point="k11/sb.5", value=2.0, unit="ohm"),
            ),
            alike=("p.bead",),
        ),
        Suspect("p.csb", "short", "sb.33", 0.2),
        *(Suspect(part, "open", "", 0.01) for part in ("p.fuse", "p.jack", "p.rsense")),
    ),
    no_fault=0.02,
    something_else=0.05,
    confidence=0.7,
    offers=(Offer("k03/cpu.core", "k03", 0.3, 2.5, False, TELLS),),
    stop=None,
    confirm=Offer("k03/mem.q", "k03", 0.1, 1.0, True, TELLS),
    disagreements=(),
    measured=12,
    not_looked_at=("memory", "graphics"),
    learned=Learned(3, 1, 0.12),
)


@pytest.fixture
def says(monkeypatch: pytest.MonkeyPatch) -> Says:
    """Let the engine say this of every board."""

    def say(said: Assessment | None = SAID, **changed: object) -> None:
        told = replace(said, **changed) if said else None  # type: ignore[arg-type]

        def assessment_of(known: Known) -> Assessment | None:
            return told

        monkeypatch.setattr(advising, "assessment_of", assessment_of)

    return say


def html_of(client: Client, url: str, **headers: str) -> str:
    text = client.get(url, headers=headers).content.decode()
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


# --- the card ---


def test_a_suspect_carries_its_reasons_in_words(
    at_bench: Client, job: Ticket, board: Board, says: Says
) -> None:
    says()
    html = html_of(at_bench, page_of(job, board, check="k11"))
    for words in (
        "with this fault 20 mΩ to 3 Ω, on a good board 300 to 900 Ω.",
        "Against it:",
        "or bead or link",
        "45 to 75 min, part 5 to 20 EUR, medium risk to the board",
        "1 more suspect <b",
        "Something else",
        "12 % are this shop’s (3 proven findings, 1 good board of this model)",
        "for it<",
        "against it<",
    ):
        assert words in html, words


def test_while_it_is_worked_out_the_card_asks_again_and_the_walk_goes_on(
    at_bench: Client, job: Ticket, board: Board, says: Says
) -> None:
    says(None)
    html = html_of(at_bench, page_of(job, board, check="k03"))
    assert "are being worked out" in html
    assert 'hx-trigger="every 4s"' in html
    assert "Take reading" in html
    fragment = act_of(job, board, "suspects")
    again = html_of(at_bench, fragment, **HTMX)
    assert again.startswith('<section id="suspects"')
    assert "hx-swap-oob" not in again
    says()
    done = html_of(at_bench, fragment, **HTMX)
    assert "hx-trigger" not in done
    assert 'id="ladder"' in done


def test_without_script_the_fragment_is_the_page(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    url = act_of(job, board, "suspects")
    response = at_bench.get(f"{url}?check=k03&suspects=show")
    assert response["Location"] == page_of(job, board, check="k03", suspects="show")


def test_a_healthy_board_is_said_to_be_one_and_what_was_not_looked_at(
    at_bench: Client, job: Ticket, board: Board, says: Says
) -> None:
    says(no_fault=0.9)
    html = html_of(at_bench, page_of(job, board))
    assert "No fault found in the 12 points measured." in html
    assert "Not looked at: Memory, Graphics." in html
    assert "Name it as the suspect" not in html
    many = tuple(f"k{number:02}" for number in range(1, 13))
    says(no_fault=0.9, not_looked_at=many)
    assert "and 4 more" in html_of(at_bench, page_of(job, board))


def test_readings_that_disagree_are_named_and_no_suspect_is(
    at_bench: Client, job: Ticket, board: Board, says: Says, read: Read
) -> None:
    read("k03/main", "0.01")
    odd = Disagreement(("k03/main", "k06/main"), reason("no_single_fault"))
    says(disagreements=(odd,), stop=reason("sure_enough"))
    html = html_of(at_bench, page_of(job, board, check="k03"))
    assert "These readings disagree" in html
    again = page_of(job, board, check="k06", point="k06/main")
    assert again.replace("&", "&amp;") in html
    assert "Main rail 0.01 V" in html
    assert "Name it" not in html
    assert "speaks-way" not in html


# --- the next best check ---


def test_it_takes_the_place_of_the_walks_next(
    at_bench: Client, job: Ticket, board: Board, says: Says, read: Read
) -> None:
    says()
    reading = read("k03/main", "0.01", taken_at=timezone.now())
    html = html_of(at_bench, page_of(job, board, reading=reading.pk))
    following = html.partition('<section class="next"')[2].partition("</section>")[0]
    assert "Next best check" in following
    assert "2.5 min" in following
    assert "It tells apart: 3.3/5 V controller and" in following
    assert "or go on with the walk" in following


def test_a_begun_board_opens_on_it(
    at_bench: Client, job: Ticket, board: Board, says: Says, read: Read
) -> None:
    says()
    assert "top side, microscope" in html_of(at_bench, page_of(job, board))
    read("k03/main", "0.01")
    html = html_of(at_bench, page_of(job, board))
    assert "<b>next best check</b>" in html
    assert 'name="offered" value="k03/cpu.core"' in html


def test_beside_another_check_it_is_one_tap_away(
    at_bench: Client, job: Ticket, board: Board, says: Says
) -> None:
    says()
    html = html_of(at_bench, page_of(job, board, check="k04"))
    short = html.partition("next-beside")[2].partition("</section>")[0]
    assert (
        page_of(job, board, check="k03", point="k03/cpu.core").replace("&", "&amp;")
        in short
    )


def test_what_is_held_off_is_never_offered(
    at_bench: Client, job: Ticket, board: Board, says: Says
) -> None:
    held = Offer("k06/main", "k06", 0.9, 1.0, False, reason("gate_of", check="k24"))
    says(offers=(held, Offer("k99/gone", "k99", 0.5, 1.0, False, TELLS)))
    html = html_of(at_bench, page_of(job, board, check="k04"))
    assert "Next best check" not in html


def test_enough_says_why_and_what_confirms_it_before_the_iron(
    at_bench: Client, job: Ticket, board: Board, says: Says, read: Read
) -> None:
    says(stop=reason("not_worth_it", minutes=25.0))
    reading = read("k03/main", "0.01", taken_at=timezone.now())
    for state in ({"reading": reading.pk}, {"check": "k04"}):
        html = html_of(at_bench, page_of(job, board, **state))
        assert "the next would take 25 min" in html
        assert "Before the iron: confirm with" in html
        assert "1 min with the change to: no power" in html
        assert "Name it: 3.3/5 V controller: no output" in html


def test_an_answered_offer_is_kept_with_the_reading(
    at_bench: Client, job: Ticket, board: Board, says: Says
) -> None:
    says()
    fields = keyed(point_id="k04/leads", typed="0.2", offered="k03/cpu.core")
    at_bench.post(act_of(job, board, "reading_take"), fields)
    kept = Advice.objects.get()
    assert (kept.moment, kept.was_followed) == ("offer_overruled", False)
    assert kept.suspects[0]["part"] == "p.dual"


def test_the_offers_row_keeps_what_the_page_had_said(
    at_bench: Client, job: Ticket, board: Board, says: Says
) -> None:
    says()
    at_bench.get(page_of(job, board, check="k04"))
    says(suspects=())
    fields = keyed(point_id="k04/leads", typed="0.2", offered="k03/cpu.core")
    at_bench.post(act_of(job, board, "reading_take"), fields)
    assert Advice.objects.get().suspects[0]["part"] == "p.dual"


def test_a_reference_board_has_no_suspects(
    at_bench: Client, heron: object, ines: Person, board: Board
) -> None:
    good = bench.reference_board_keep(
        board_model=board.board_model, by=ines, origin="known_good"
    )
    html = html_of(at_bench, f"/bench/reference/{good.pk}/")
    assert "Suspects so far" not in html


# --- hidden until asked ---


def test_hidden_suspects_leave_no_name_on_the_page(
    at_bench: Client, job: Ticket, board: Board, says: Says, read: Read, ines: Person
) -> None:
    says()
    ines.hides_suspects = True
    ines.save(update_fields=["hides_suspects"])
    reading = read("k03/main", "0.01", taken_at=timezone.now())
    url = page_of(job, board, reading=reading.pk)
    html = html_of(at_bench, url)
    assert "Suspects: show" in html
    assert "It is expected to tell most for its minutes." in html
    names = html.replace(html.partition('id="said_suspect"')[2], "")
    for untold in ("No output", "speaks-way", "70 %", "It tells apart"):
        assert untold not in names
    shown = html_of(at_bench, f"{url}&suspects=show")
    assert "70 %" in shown
    says(stop=reason("sure_enough"))
    assert "sure enough" not in html_of(at_bench, url)


def test_who_hides_them_is_a_persons_own_choice(at_bench: Client, ines: Person) -> None:
    url = reverse("people:own")
    assert "Hide suspects" in at_bench.get(url).content.decode()
    assert at_bench.post(url, keyed(hides_suspects="on"))["Location"] == url
    ines.refresh_from_db()
    assert ines.hides_suspects
    at_bench.post(url, keyed())
    ines.refresh_from_db()
    assert not ines.hides_suspects


# --- the technician's own word ---


def test_a_suspect_is_struck_with_one_tap_and_taken_back(
    suspecting: None, at_bench: Client, job: Ticket, board: Board
) -> None:
    url = act_of(job, board, "suspect_word")
    fields = {"suspect": "p.dual:no_output", "kind": "struck", "chip": "seen_intact"}
    form = keyed(**fields, check="k03", point="k03/main")
    back = page_of(job, board, check="k03", point="k03/main")
    assert at_bench.post(url, form)["Location"] == back
    assert '<input type="hidden" name="point" value="k03/main">' in html_of(
        at_bench, back
    )
    at_bench.post(url, form)
    assert SuspectWord.objects.count() == 1
    html = html_of(at_bench, page_of(job, board))
    assert "Struck by Ines Okafor" in html or "struck by Ines Okafor" in html
    at_bench.post(url, keyed(suspect="p.dual:no_output", kind="taken_back"))
    assert "truck by Ines" not in html_of(at_bench, page_of(job, board))


def test_an_unlikely_suspect_that_was_added_is_shown(
    at_bench: Client, job: Ticket, board: Board, says: Says
) -> None:
    says()
    url = act_of(job, board, "suspect_word")
    fields = {"suspect": "p.rsense:open", "kind": "added", "chip": "looks_wrong"}
    at_bench.post(url, keyed(**fields, words="dark spot"))
    html = html_of(at_bench, page_of(job, board))
    assert "Added by Ines Okafor: looks wrong, dark spot" in html


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"chip": ""}, "Say why."),
        ({"chip": "other"}, "Another reason needs its words."),
        ({"suspect": ""}, "required"),
        ({"suspect": "p.none:open"}, "p.none:open is not one"),
        ({"kind": "blessed"}, "blessed is not one"),
        ({"chip": "<script>"}, "&lt;script&gt; is not one"),
        ({"kind": "struck", "chip": "other", "words": " "}, "needs its words"),
    ],
)
def test_a_wrong_word_is_refused_beside_its_field(
    at_bench: Client, job: Ticket, board: Board, wrong: dict[str, str], said: str
) -> None:
    fields = {"suspect": "p.dual:no_output", "kind": "added", "chip": "looks_wrong"}
    url = act_of(job, board, "suspect_word")
    response = at_bench.post(url, keyed(**fields | wrong))
    assert response.status_code == 422
    assert said in response.content.decode()
    assert not SuspectWord.objects.exists()


def test_a_suspect_is_named_and_a_strange_one_is_not(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    url = act_of(job, board, "suspect_name")
    assert at_bench.post(url, keyed(suspect="p.dual:melted")).status_code == 422
    assert not Advice.objects.exists()
    assert at_bench.post(url, keyed(suspect="p.dual:no_output")).status_code == 302
    assert Advice.objects.get().moment == "suspect_named"


# --- what is seen, what was told ---


def test_what_is_seen_is_kept_and_struck_through(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    first = keyed(point_id="k01/bottom", category="corroded")
    verdict = at_bench.post(act_of(job, board, "reading_take"), first)["Location"]
    assert 'id="record-seen" open>' in html_of(at_bench, verdict)
    look = html_of(at_bench, page_of(job, board, check="k01"))
    assert look.count('id="record-seen"') == 1
    url = act_of(job, board, "sighting")
    form = keyed(kind="burnt", where="part:p.cmain", place="C-a", check="k01")
    response = at_bench.post(url, form)
    assert response["Location"] == page_of(job, board, check="k01")
    html = html_of(at_bench, page_of(job, board))
    assert "Burnt: ceramic capacitor on main, C-a" in html
    taken = keyed(point_id="k01/top", category="burnt")
    verdict = at_bench.post(act_of(job, board, "reading_take"), taken)["Location"]
    assert 'id="record-seen">' in html_of(at_bench, verdict)
    at_bench.post(url, keyed(kind="hot", where="rail:sb.33"))
    assert "Hot: standby 3.3 V" in html_of(at_bench, page_of(job, board))
    seen = Sighting.objects.get(kind="burnt")
    at_bench.post(act_of(job, board, "sighting_strike", seen.pk), keyed())
    assert "Burnt: " not in html_of(at_bench, page_of(job, board))
    endless = keyed(why="x" * 10_000)
    hot = Sighting.objects.get(kind="hot")
    url = act_of(job, board, "sighting_strike", hot.pk)
    assert at_bench.post(url, endless).status_code == 422


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": ""},
        {"where": ""},
        {"where": "part:p.none"},
        {"where": "main"},
        {"place": "x" * 500},
        {"uuid": "no"},
    ],
)
def test_a_wrong_sighting_keeps_what_was_typed(
    at_bench: Client, job: Ticket, board: Board, wrong: dict[str, str]
) -> None:
    fields = {"kind": "burnt", "where": "part:p.cmain", "place": "C-a"}
    response = at_bench.post(act_of(job, board, "sighting"), keyed(**fields | wrong))
    assert response.status_code == 422
    assert (wrong.get("place") or "C-a") in response.content.decode()
    assert not Sighting.objects.exists()


def test_what_another_repairer_told_is_entered_past_a_hold_and_shown_so(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    held = html_of(at_bench, page_of(job, board, check="k06"))
    assert "Enter what another repairer read" in held
    html = html_of(at_bench, page_of(job, board, check="k06", told=1))
    assert "It weighs little and opens no gate." in html
    fields = keyed(point_id="k06/main", typed="x", is_told="on", check="k06", told="1")
    wrong = at_bench.post(act_of(job, board, "reading_take"), fields)
    assert wrong.status_code == 422
    assert 'value="x"' in wrong.content.decode()
    fields = keyed(point_id="k06/main", typed="0.4", is_told="on")
    response = at_bench.post(act_of(job, board, "reading_take"), fields)
    assert Reading.objects.get().source == "told"
    assert "Told by another repairer" in html_of(at_bench, response["Location"])
    page = html_of(at_bench, page_of(job, board, check="k06", told=1))
    assert "Told by another repairer: 0.4 Ω" in page
    assert page.count("Main rail, resistance 0.4 Ω") == 1


# --- a finding closes one fault ---


def test_after_a_finding_the_card_says_whether_a_fault_still_shows(
    at_bench: Client, job: Ticket, board: Board, read: Read, ines: Person
) -> None:
    gone(read)
    act: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
    bench.intervention_do(**act, kind="replaced", part_id="p.cmain", place="C-a")
    bench.finding_confirm(
        **act, part_id="p.cmain", mode_id="short", place="C-a", is_proven=True
    )
    url = page_of(job, board, check="k03")
    assert "Nothing was read since" in html_of(at_bench, url)
    now = timezone.now()
    read("k05/in.jack", "48k", taken_at=now)
    assert "1 reading since shows no fault." in html_of(at_bench, url)
    read("k06/main", "5", taken_at=now + timedelta(seconds=1))
    html = html_of(at_bench, url)
    assert "Later readings still show a fault: Main rail, resistance 5 Ω" in html
    assert "The search goes on." in html
    assert "Found</strong> ceramic capacitor on main: short" in html
    assert queries.known_of(board).epoch == 1
