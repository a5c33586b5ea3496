"""What a pad knows beforehand is what the bench judges, of every point of a board."""

import json
from dataclasses import replace
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone
from django.utils.html import escape

from diagnostics import foretelling, queries, taking
from diagnostics import services as bench
from diagnostics.bridge import Known
from diagnostics.models import Board, Reading
from diagnostics.taking import Asked
from diagnostics.walk import Step, walk_of
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.diagnostics.conftest import Read
from tests.diagnostics.test_bench_page import page_of

pytestmark = pytest.mark.one_database
TYPED = {
    "V": ("0.01", "1.1", "3.3", "5.02", "19.5"),
    "ohm": ("0.2", "4.1", "410", "62k", "OL"),
    "A": ("0", "0.4"),
}
# More than the usual handheld shows in that mode.
BEYOND = {("C", "62k")} | {("D", "5.02")}
BEYOND |= {("D", "3.3"), ("D", "19.5")}


def judged_later(known: Known, step: Step, by: Person, asked: Asked) -> str:
    """The word that the reading gets among all the others once it is taken."""
    row = taking.draft(known, step.point.id, by, asked)
    row.lead_ohms = 0.2 if taking.needs_leads(row) else None
    row.taken_at = timezone.now()
    *_others, last = replace(known, readings=(*known.readings, row)).judged
    return last.verdict.word.value


def foretold_of(known: Known, step: Step, by: Person, asked: Asked) -> str:
    """What the pad's own words say of what is typed; "" where nothing."""
    offered = replace(asked, typed="OL")
    row = taking.draft(known, step.point.id, by, offered)
    row.lead_ohms = 0.2 if taking.needs_leads(row) else None
    found = foretelling.words_of(known, step, row)
    told = foretelling.on_pad(known, step, by, offered, 0.2)
    if not told or found is None:
        return ""
    typed = taking.draft(known, step.point.id, by, asked)
    if typed.value is None:
        return str(json.loads(told)["over"])
    return found.word(typed.value, digit_of(typed))


def digit_of(typed: Reading) -> float:
    is_bare_zero = typed.value == 0 and not typed.decimals
    return 0.0 if is_bare_zero else typed.digit or 0.0


def test_no_word_is_foretold_that_is_not_judged(
    board: Board, cold: None, read: Read, ines: Person
) -> None:
    known = queries.known_of(board)
    walk, foretold, said = walk_of(known), 0, set()
    for check in known.board.checks.values():
        for step in walk.of_check(check.id):
            for typed in TYPED.get(step.point.unit, ()):
                if check.categories or (check.mode, typed) in BEYOND:
                    continue
                asked = Asked(typed=typed, polarity=step.point.polarity)
                word = foretold_of(known, step, ines, asked)
                said.add(word)
                foretold += bool(word)
                assert word in {"", judged_later(known, step, ines, asked)}, step.point
    assert said == {"", "good", "watch", "bad", "unclear"}
    assert foretold > 200


def test_volts_that_may_leak_in_are_left_to_the_server(
    board: Board, cold: None, read: Read, ines: Person
) -> None:
    """The main rail reads nothing: what it feeds may not be called good."""
    read("k27/main", "0.02", condition="A")
    known = queries.known_of(board)
    (step,) = (
        one for one in walk_of(known).of_check("k32") if one.point.id == "k32/sb.33"
    )
    asked = Asked(typed="OL", condition="A", polarity=step.point.polarity)
    row = taking.draft(known, step.point.id, ines, asked)
    found = foretelling.words_of(known, step, row)
    assert found is not None
    words = {one.word for _digit, stretches in found.by_digit for one in stretches}
    assert words == {"bad", "unclear"}


def test_the_page_gives_the_pad_its_words(
    at_bench: Client, job: Ticket, board: Board, ines: Person
) -> None:
    bench.reading_take(
        board=board,
        ticket=job,
        by=ines,
        point_id="k04/leads",
        typed="0.2",
        taken_at=timezone.now() - timedelta(seconds=5),
    )
    page = at_bench.get(page_of(job, board, check="k06", point="k06/main", told=1))
    known = queries.known_of(board)
    step = next(
        step for step in walk_of(known).of_check("k06") if step.point.id == "k06/main"
    )
    asked = Asked(typed="OL", polarity=step.point.polarity)
    told = foretelling.on_pad(known, step, ines, asked, 0.2)
    html = page.content.decode()
    assert f'data-foretold="{escape(told)}"' in html
    assert json.loads(told)["leads"] == 0.2
    looked_at = at_bench.get(page_of(job, board, check="k01", point="k01/top"))
    assert 'value="corroded" data-word="bad"' in looked_at.content.decode()
