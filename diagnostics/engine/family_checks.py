"""The checks of a family's document, with their points and expectations. PURE."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.engine.family import UNIT_OF_MODE, Check, Expect, Point
from diagnostics.engine.family_file import Table
from diagnostics.engine.verdicts import Word

BASES = frozenset({"std", "cp", "jd"})
MODES = frozenset(UNIT_OF_MODE)
CONDITIONS = frozenset({"U", "A", "B", "R", "S", "J", ""})
FORMS = frozenset({"value", "values", "pattern", "ticks", "category", "photo"})
UNITS = frozenset({"V", "ohm", "A", "Hz", "K", "s", "%", "1", ""})
POLARITIES = frozenset({"red_on_point", "red_on_ground"})
WORDS = frozenset(word.value for word in Word)
PHOTO_KEPT = "photo_kept"
PHOTO = {PHOTO_KEPT: Word.GOOD.value}
"""The one answer of a photo: that it is kept with the board."""


@dataclass(frozen=True)
class Inherited:
    """What a check hands down to its points."""

    check: str
    unit: str
    expect: Expect | None
    counts: Mapping[str, int]


def read_check(key: str, table: Table, counts: Mapping[str, int]) -> Check:
    """One check; ``counts`` say how often a repeated point stands."""
    mode = table.choice("mode", MODES)
    unit = table.choice("unit", UNITS, UNIT_OF_MODE[mode])
    expect = _expect(table.table("expect")) if table.has("expect") else None
    inherited = Inherited(key, unit, expect, counts)
    is_photo = table.text("form", "") == "photo"
    points = [
        point
        for number, item in enumerate(table.items_of("points"))
        for point in _points(_entry(item, number, table), inherited)
    ]
    check = Check(
        id=key,
        name=table.text("name"),
        stage=table.text("stage"),
        mode=mode,
        condition=table.choice("condition", CONDITIONS),
        form=table.choice("form", FORMS),
        unit=unit,
        points=tuple(points),
        minutes=table.number("minutes"),
        risk=table.text("risk", ""),
        cautions=table.texts("cautions"),
        needs=table.texts("needs"),
        gates=table.texts("gates"),
        opens=table.pairs("opens"),
        categories=PHOTO if is_photo else _answers(table, "categories", WORDS),
        patterns=_answers(table, "patterns", WORDS | {""}),
        blames=_blames(table),
        pass_tells=table.text("pass_tells", ""),
        fail_tells=table.text("fail_tells", ""),
        by_arithmetic=table.flag("by_arithmetic"),
        is_on_request=table.flag("is_on_request"),
        alike=table.optional_number("alike"),
        walk_after=table.text("walk_after", ""),
        was=table.texts("was"),
    )
    table.done()
    _refuse_odd_check(check, table)
    return check


def _refuse_odd_check(check: Check, table: Table) -> None:
    if len({point.id for point in check.points}) != len(check.points):
        table.refuse("duplicate_id", "points")
    if check.minutes <= 0:
        table.refuse("minutes_not_positive", "minutes", minutes=check.minutes)
    if check.alike is not None and (check.alike <= 0 or len(check.points) < 2):
        table.refuse("alike_to_nothing", "alike", alike=check.alike)
    for answer in check.blames:
        if answer not in check.categories:
            table.refuse("unknown_reference", "blames", to=answer)
    has_answers = check.form in {"category", "ticks"}
    if has_answers != bool(_answers(table, "categories", WORDS)):
        table.refuse("form_without_answers", "form", form=check.form)


def _answers(table: Table, key: str, words: frozenset[str]) -> dict[str, str]:
    if not table.has(key):
        return {}
    answers = table.table(key)
    return {answer: answers.choice(answer, words) for answer in answers.data}


def _blames(table: Table) -> dict[str, dict[str, float]]:
    """By answer, how many times likelier it makes each block."""
    if not table.has("blames"):
        return {}
    return {
        answer: {block: _factor(blocks, block) for block in blocks.data}
        for answer, blocks in table.table("blames").tables()
    }


def _factor(table: Table, key: str) -> float:
    factor = table.number(key)
    if factor <= 0:
        table.refuse("wrong_type", key, wanted="number above 0")
    return factor


def _expect(table: Table) -> Expect:
    expect = Expect(
        limit=table.span("limit"),
        usual=table.span("usual"),
        needs_four_wire=table.flag("needs_four_wire"),
        is_of_leads=table.flag("is_of_leads"),
        ol_is_usual=table.flag("ol_is_usual"),
        basis=table.choice("basis", BASES),
        source=table.text("source"),
    )
    table.done()
    if expect.limit is None and expect.usual is None:
        table.refuse("missing_key", "limit")
    return expect


def _entry(item: object, number: int, parent: Table) -> Table:
    """One entry of the points; a rail's id alone is short for its table."""
    whole = {"id": item, "rail": item} if isinstance(item, str) else item
    return Table(whole, (*parent.path, "points", number), parent.source)


def _points(table: Table, inherited: Inherited) -> list[Point]:
    """The point of one entry, or as many as its count says."""
    repeat = table.text("repeat", "")
    if repeat and repeat not in inherited.counts:
        table.refuse("unknown_reference", "repeat", to=repeat)
    numbers: list[int | None] = [None]
    if repeat:
        numbers = list(range(1, inherited.counts[repeat] + 1))
    points = [_point(table, number, inherited) for number in numbers]
    table.done()
    return points


def _point(table: Table, number: int | None, inherited: Inherited) -> Point:
    def counted(text: str) -> str:
        return text if number is None else text.replace("{n}", str(number))

    own = table.has("expect")
    point = Point(
        id=f"{inherited.check}/{counted(table.text('id'))}",
        check=inherited.check,
        label=counted(table.text("label", "")),
        unit=table.choice("unit", UNITS, inherited.unit),
        rail=table.text("rail") if table.has("rail") else None,
        signal=table.text("signal") if table.has("signal") else None,
        pair=table.two_texts("pair"),
        where=table.text("where", ""),
        polarity=table.choice("polarity", POLARITIES, "red_on_point"),
        expect=_expect(table.table("expect")) if own else inherited.expect,
        was=tuple(counted(old) for old in table.texts("was")),
    )
    if sum(node is not None for node in (point.rail, point.signal, point.pair)) > 1:
        table.refuse("two_places", "id")
    return point
