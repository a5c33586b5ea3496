"""The marks: told apart without colour, themed on screen, drawn in full on paper."""

import io
import re
from datetime import UTC, datetime

import pytest
from pypdf import PdfReader

from shop import pdf
from shop.records.templatetags import marks

COLOURS = re.compile(r'class="[^"]*"|(?:stroke|fill)="#[0-9a-f]{6}"')
STAMP = datetime(2026, 11, 25, tzinfo=UTC)


def drawings() -> dict[str, str]:
    return {
        **{f"rung {word}": marks.rung_mark(word) for word in marks.RUNGS},
        **{f"verdict {word}": marks.verdict_mark(word) for word in marks.VERDICTS},
        **{f"turn {whose}": marks.turn_mark(whose) for whose in marks.TURNS},
        "held off": marks.held_off_mark(),
        "flag": marks.flag_mark(),
    }


def test_the_vocabulary_has_a_mark_for_every_word() -> None:
    assert {"up", "down", "odd", "unread", "in_hand", "not_fitted", "resting"} == set(
        marks.RUNGS
    )
    assert {"good", "watch", "bad", "unclear"} == set(marks.VERDICTS)
    assert {"ours", "customer", "supplier", "handover", "nobody"} == set(marks.TURNS)


def test_no_two_marks_are_alike_when_the_colours_are_taken_away() -> None:
    shapes = [COLOURS.sub("", drawn) for drawn in drawings().values()]
    assert len(set(shapes)) == len(shapes)


@pytest.mark.parametrize("drawn", drawings().values(), ids=drawings())
def test_on_screen_the_theme_decides_the_colour_and_the_word_is_elsewhere(
    drawn: str,
) -> None:
    assert 'aria-hidden="true"' in drawn
    assert "#" not in drawn
    assert "{" not in drawn


@pytest.mark.parametrize("word", marks.RUNGS)
def test_on_paper_a_rung_carries_its_own_colours(word: str) -> None:
    drawn = marks.rung_mark(word, "paper", paper=True)
    assert 'stroke="#' in drawn
    assert "s-" not in drawn.replace("focusable", "")


@pytest.mark.parametrize("size", marks.BETWEEN)
def test_a_rung_between_drawn_stiles_brings_none_of_its_own(size: str) -> None:
    assert "M34 1V19" in marks.rung_mark("up")
    assert "M34 1V19" not in marks.rung_mark("up", size)


def test_the_strip_has_one_rung_a_stage_inside_its_stiles() -> None:
    strip = marks.ladder_strip(["up", "down", "odd", "unread", "resting"])
    places = [float(x) for x in re.findall(r'd="M([\d.]+) [23]V', strip)]
    assert places == pytest.approx([6.4, 19.2, 32, 44.8, 57.6])
    assert all("{" not in part for part in strip)


def test_the_paper_renderer_strokes_a_rung_in_its_colour() -> None:
    page = pdf.render(
        f"<title>x</title>{marks.rung_mark('up', 'paper', paper=True)}", stamp=STAMP
    )
    contents = PdfReader(io.BytesIO(page)).pages[0].get_contents()
    assert contents is not None
    red, green, blue = (int(marks.PAPER["teal"][at : at + 2], 16) for at in (1, 3, 5))
    strokes = re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) RG", contents.get_data())
    assert (red, green, blue) in [
        tuple(round(float(part) * 255) for part in stroke) for stroke in strokes
    ]
