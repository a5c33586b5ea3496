"""Whatever a picture shows: nothing outside, no words on words."""

import re
from collections.abc import Callable
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.office import keys
from shop.office.drawing.draw import LAYOUTS, NARROW, WIDE, drawn
from shop.office.drawing.grounds import dots, ground, hatches
from shop.office.drawing.says import Says
from shop.office.drawing.shapes import Disc, Lines, Picture, Rect, Text
from shop.office.drawing.writing import svg
from shop.office.drawings import (
    Control,
    Curve,
    Curves,
    Dot,
    Drawing,
    Interval,
    Intervals,
    Part,
    Reliability,
    Share,
    Shares,
    Step,
    Tally,
    Trend,
    Trends,
    TurnBar,
    TurnBars,
)
from tests.shop.office.sample_sections import DRAWINGS, TURNS, tally

SAYS = Says(
    figure=lambda value, places: f"{value:.{places}f}",
    turns={
        "ours": "ours",
        "customer": "the customer’s",
        "supplier": "a supplier’s",
        "handover": "the handover’s",
    },
    few="too few yet",
)
WIDTHS = (NARROW, WIDE)
SLACK = 0.75  # half of an edge

labels = st.text("Wim 0,-é漢", max_size=30)
counts = st.integers(0, 70)
shares = st.floats(0, 1)
percents = st.floats(0, 100)
amounts = st.floats(0, 1e4)
maybe = st.none() | percents


def dots_of(values: st.SearchStrategy[float | None]) -> st.SearchStrategy[list[Dot]]:
    one = st.builds(Dot, labels, values, counts, st.booleans(), st.booleans())
    return st.lists(one, max_size=16)


ANY: dict[str, st.SearchStrategy[Drawing]] = {
    "turns": st.builds(
        TurnBars,
        st.lists(
            st.builds(
                TurnBar,
                labels,
                st.lists(
                    st.builds(Part, st.sampled_from([*TURNS, "nobody"]), amounts),
                    max_size=5,
                ),
                st.lists(st.text("0123.", max_size=5), max_size=3),
                st.booleans(),
            ),
            max_size=7,
        ),
        st.lists(st.text("mean", max_size=6), max_size=3),
    ),
    "curves": st.builds(
        Curves,
        st.lists(
            st.builds(
                Curve,
                labels,
                counts,
                st.lists(
                    st.builds(Step, st.floats(0, 400), shares, shares, shares),
                    max_size=9,
                ).map(lambda steps: sorted(steps, key=lambda step: step.at)),
                st.lists(st.floats(0, 400), max_size=5),
            ),
            max_size=5,
        ),
        st.just("days"),
        st.lists(st.tuples(st.floats(0, 400), shares), max_size=3),
    ),
    "control": st.builds(
        Control,
        dots_of(st.none() | amounts),
        st.just("days"),
        *[st.none() | amounts] * 3,
    ),
    "trends": st.builds(
        Trends,
        st.lists(st.builds(Trend, labels, counts, dots_of(maybe)), max_size=9),
        st.just("%"),
        maybe,
    ),
    "intervals": st.builds(
        Intervals,
        st.lists(st.builds(Interval, labels, counts, maybe, maybe, maybe), max_size=9),
        st.just("%"),
        maybe,
    ),
    "shares": st.builds(
        Shares, st.lists(st.builds(Share, labels, amounts, amounts, labels), max_size=9)
    ),
    "tally": st.lists(st.lists(counts, min_size=5, max_size=5), max_size=4).map(
        lambda cells: Tally(
            ("0–3", "4–7", "8–14", "15–30", "over 30"),
            [("ours", "Ours")] * len(cells),
            cells,
        )
    ),
    "reliability": st.lists(st.tuples(maybe, percents, counts), max_size=12).map(
        lambda told: Reliability(
            [Dot("a", value, n) for value, _at, n in told], [at for _v, at, _n in told]
        )
    ),
}


def held(picture: Picture) -> None:
    for shape in picture.shapes:
        left, top, right, bottom = shape.frame
        assert left >= -SLACK, shape
        assert top >= -SLACK, shape
        assert right <= picture.width + SLACK, shape
        assert bottom <= picture.height + SLACK, shape
    for one, other in combinations([text for text in picture.texts if text.words], 2):
        assert not one.frame.meets(other.frame), (one, other)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("make", DRAWINGS.values(), ids=DRAWINGS.keys())
def test_samples_are_held(make: Callable[[], Drawing], width: float) -> None:
    held(drawn(make(), width, SAYS))


@pytest.mark.parametrize("kind", ANY)
def test_any_picture_is_held(kind: str) -> None:
    @settings(max_examples=30, deadline=None)
    @given(ANY[kind], st.sampled_from(WIDTHS))
    def is_held(drawing: Drawing, width: float) -> None:
        held(drawn(drawing, width, SAYS))

    is_held()


def test_every_kind_has_a_layout() -> None:
    assert {type(make()) for make in DRAWINGS.values()} == set(LAYOUTS)


def test_bars_are_as_long_as_their_days() -> None:
    bars = TurnBars([TurnBar("a", [Part("ours", 6)]), TurnBar("b", [Part("ours", 3)])])
    picture = drawn(bars, WIDE, SAYS)
    long, short = (
        shape.width
        for shape in picture.shapes
        if isinstance(shape, Rect) and shape.height == 24
    )
    assert long == pytest.approx(2 * short)


def test_one_mark_is_one_ticket_until_they_are_many() -> None:
    few = drawn(tally(), WIDE, SAYS)
    boxes = [shape for shape in few.shapes if isinstance(shape, Rect)]
    assert len(boxes) == 28
    many = Tally(("0–3", "4–7"), [("ours", "Ours")], [[40, 20]])
    picture = drawn(many, WIDE, SAYS)
    assert not [shape for shape in picture.shapes if isinstance(shape, Rect)]
    assert {"40", "20", "60"} <= {text.words for text in picture.texts}


def test_what_is_too_young_is_open_and_dotted() -> None:
    dots_told = [Dot("a", 60, 9), Dot("b", 70, 9), Dot("c", 80, 2, hollow=True)]
    picture = drawn(Trends([Trend("t", 20, dots_told)], "%"), WIDE, SAYS)
    discs = [shape for shape in picture.shapes if isinstance(shape, Disc)]
    assert [disc.fill for disc in discs] == ["ink", "ink", "sheet"]
    assert [line.dash for line in picture.shapes if isinstance(line, Lines)] == [
        "",
        "",
        "1 4",
    ]
    assert "70" in {text.words for text in picture.texts}
    assert "80" not in {text.words for text in picture.texts}


def test_a_gap_is_no_line() -> None:
    gap = [Dot("a", 60, 9), Dot("b", None, 0), Dot("c", 80, 9)]
    picture = drawn(Trends([Trend("t", 18, gap)], "%"), WIDE, SAYS)
    lines = [shape for shape in picture.shapes if isinstance(shape, Lines)]
    assert len(lines) == 1  # the foot line alone


@pytest.mark.parametrize("make", DRAWINGS.values(), ids=DRAWINGS.keys())
def test_how_many_it_was_is_written(make: Callable[[], Drawing]) -> None:
    """n stands in the picture wherever the drawing knows it."""
    drawing = make()
    words = {text.words for text in drawn(drawing, WIDE, SAYS).texts}
    told = (
        *(getattr(drawing, name, ()) for name in ("curves", "trends", "said")),
        [row for row in getattr(drawing, "rows", ()) if isinstance(row, Interval)],
    )
    for row in (row for group in told for row in group):
        assert f"n {row.n}" in words


box = st.floats(0, 200)
size = st.floats(3, 200)


@given(box, box, size, size)
def test_patterns_stay_in_their_box(
    x: float, y: float, width: float, height: float
) -> None:
    for lines in (hatches(x, y, width, height), dots(x, y, width, height)):
        for line in lines:
            for across, down in line:
                assert x - 1e-6 <= across <= x + width + 0.011
                assert y - 1e-6 <= down <= y + height + 1e-6


@given(size, size)
def test_hatches_rise_at_45_degrees(width: float, height: float) -> None:
    for (x, y), (right, top) in hatches(0, 0, width, height):
        assert right - x == pytest.approx(y - top)


def test_grounds_differ_without_colour() -> None:
    """Solid, lines, dots, an empty box with one thick foot: by shape alone."""
    told = {turn: ground(turn, 0, 0, 60, 24) for turn in TURNS}
    assert [shape.fill for shape in told["ours"] if isinstance(shape, Rect)] == ["ink"]
    lines = {
        turn: [shape for shape in told[turn] if isinstance(shape, Lines)]
        for turn in TURNS
    }
    assert not lines["ours"]
    assert len(lines["customer"][0].lines) > 5
    assert not lines["customer"][0].is_round
    assert lines["supplier"][0].is_round
    assert len(lines["handover"][0].lines) == 1


@pytest.mark.parametrize("paper", [False, True])
@pytest.mark.parametrize("make", DRAWINGS.values(), ids=DRAWINGS.keys())
def test_the_svg_is_well_formed_and_bare_of_style(
    make: Callable[[], Drawing], paper: bool
) -> None:
    """No style, which our policy forbids, and no name, which would clash."""
    told = svg(drawn(make(), WIDE, SAYS), "What it <says>", "wide", paper=paper)
    root = ElementTree.fromstring(told)  # noqa: S314  our own
    assert root.get("role") == "img"
    assert root[0].tag.endswith("title")
    assert root[0].text == "What it <says>"
    assert not re.search(r"\s(style|id|on\w+)=", told)
    assert ("class=" in told.partition("<g")[2]) != paper


def test_words_are_escaped() -> None:
    bars = TurnBars([TurnBar("<b>&", [Part("ours", 1)])])
    told = svg(drawn(bars, WIDE, SAYS), "t", "wide", paper=False)
    assert "&lt;b&gt;&amp;" in told
    assert "<b>" not in told


@pytest.mark.parametrize("make", DRAWINGS.values(), ids=DRAWINGS.keys())
def test_screen_and_paper_draw_the_same(make: Callable[[], Drawing]) -> None:
    """They differ in how an ink is named, and in nothing else."""
    picture = drawn(make(), WIDE, SAYS)
    both = [svg(picture, "t", "wide", paper=paper) for paper in (False, True)]
    inks = re.compile(r'\s(class|fill|stroke|font-family)="[^"]*"')
    bare = {inks.sub("", one) for one in both}
    assert len(bare) == 1


def test_each_picture_explains_itself() -> None:
    told = {name: keys.key(make()) for name, make in DRAWINGS.items()}
    assert "Hollow" in told["first"]
    assert "In a box" in told["weeks"]
    assert "One mark is one ticket" in told["open"]
    assert told["turns"] == ""  # its legend stands in it


def test_figures_are_written_as_the_scale_needs() -> None:
    says = keys.says()
    assert says.value(9.04, 20) == "9.0"
    assert says.value(92.4, 100) == "92"
    assert says.value(-0.04, 20) == "0.0"
    assert says.figure(-3.2, 1) == "−3.2"
    assert isinstance(Text(0, 0, "a").width, float)
