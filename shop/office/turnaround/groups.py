"""The same by fault, by family and by technician."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from diagnostics import queries_office as bench
from shop.office.drawings import Interval, Intervals
from shop.office.figures import FEWEST
from shop.office.sections import Cell, Column, Section, Table
from shop.office.sections import Kind as Of
from shop.office.turnaround import folding, words
from shop.office.turnaround.queries import Stays
from shop.office.turnaround.survival import HALF, NINE_OF_TEN, Survival
from shop.office.turnaround.where import Mean, mean_cells, mean_columns, mean_of
from shop.people.models import Person

ROOM = 1.1  # a scale reaches a little further than its longest interval


@dataclass(frozen=True)
class Group:
    label: str
    back: Survival
    closed: int
    mean: Mean | None
    is_named: bool

    @property
    def half(self) -> float | None:
        return self.back.within(HALF) if self.back.done >= FEWEST else None


@dataclass(frozen=True)
class By:
    """A way to part tickets: the column that says it, and its values in words."""

    code: str
    title: str
    head: str
    means: str
    column: str
    named: Callable[[object], str]


def sections(stays: Stays) -> list[Section]:
    return [_section(stays, by) for by in (_family(), _told(), _found(), _technician())]


def _family() -> By:
    return By(
        code="families",
        title=_("By board family"),
        head=_("Family"),
        means=_("By the family of the ticket’s first board."),
        column="family",
        named=lambda one: bench.family_title(str(one)) if one else _("not named"),
    )


def _told() -> By:
    titles = {
        folding.LIQUID: _("After liquid"),
        folding.FELL: _("After a fall"),
        folding.HOT: _("Hot or swollen"),
        folding.NOTHING: _("Nothing of these"),
    }
    return By(
        code="told",
        title=_("By what was told"),
        head=_("Told"),
        means=_("By the answers at the counter; of several the first of the list."),
        column="told",
        named=lambda one: titles[str(one)],
    )


def _found() -> By:
    return By(
        code="found",
        title=_("By what was found"),
        head=_("Found"),
        means=_("By how the part failed that was found, a proven finding first."),
        column="found",
        named=lambda one: bench.found_title(str(one)) if one else _("nothing recorded"),
    )


def _technician() -> By:
    names = dict(Person.objects.values_list("pk", "name"))
    return By(
        code="technicians",
        title=_("By technician"),
        head=_("Technician"),
        means=_("By who took the board in hand most often, also those who have left."),
        column="technician_id",
        named=lambda one: names[one] if isinstance(one, int) else _("nobody yet"),
    )


def _section(stays: Stays, by: By) -> Section:
    groups = _groups(stays, by)
    return Section(
        code=by.code,
        title=by.title,
        unit=_("days until half are back"),
        says=_says(groups),
        means=by.means
        + " "
        + _(
            "Half are back: of tickets taken in during the period, open ones counted"
            " as open, with its 95 % interval. Means: of those closed in the period."
            " Warranty returns apart."
        ),
        table=_table(by, groups),
        drawing=_drawing(stays, groups),
    )


def _groups(stays: Stays, by: By) -> list[Group]:
    """The largest first; those without a name last."""
    usual = ~stays.is_warranty
    taken_in, closed = stays.is_taken_in & usual, stays.is_handed_over & usual
    found = [
        Group(
            by.named(value),
            stays.back(of & taken_in),
            int((of & closed).sum()),
            mean_of(stays, of & closed),
            is_named=bool(value),
        )
        for value, of in stays.by(by.column).items()
        if (of & (taken_in | closed)).any()
    ]
    return sorted(found, key=lambda one: (not one.is_named, -one.back.n, one.label))


def _says(groups: Sequence[Group]) -> str:
    """What has no name is in picture and table, and is no slowest or quickest kind."""
    told = sorted(
        (group.half, group.label, group)
        for group in groups
        if group.half is not None and group.is_named
    )
    if not told:
        return words.too_few(max((group.back.done for group in groups), default=0))
    (_half, _label, quick), (_half, _label, slow) = told[0], told[-1]
    if len(told) == 1:
        return _("Only one can be told yet: %(one)s.") % {"one": _told_of(quick)}
    said = _("Quickest: %(quick)s. Slowest: %(slow)s.") % {
        "quick": _told_of(quick),
        "slow": _told_of(slow),
    }
    return f"{said} {_difference(quick, slow)}"


def _told_of(group: Group) -> str:
    return _("%(name)s, half back in %(half)s (%(tickets)s)") % {
        "name": group.label,
        "half": words.span(group.half or 0.0),
        "tickets": words.tickets(group.back.n),
    }


def _difference(quick: Group, slow: Group) -> str:
    _low, longest = quick.back.interval(HALF)
    shortest, _high = slow.back.interval(HALF)
    if longest is None or shortest is None:
        return _("Too few for an interval of both: it may be chance.")
    if longest < shortest:
        return _("Their intervals lie apart.")
    return _("Their intervals overlap: it may be chance.")


def _drawing(stays: Stays, groups: Sequence[Group]) -> Intervals | None:
    rows = [
        Interval(group.label, group.back.n, group.half, *_interval(group))
        for group in groups
    ]
    ends = [one for row in rows for one in (row.value, row.high) if one is not None]
    if not ends:
        return None
    everyone = stays.back(stays.is_taken_in & ~stays.is_warranty).within(HALF)
    return Intervals(rows, _("days"), reference=everyone, ceiling=ROOM * max(ends))


def _interval(group: Group) -> tuple[float | None, float | None]:
    return (None, None) if group.half is None else group.back.interval(HALF)


def _table(by: By, groups: Sequence[Group]) -> Table:
    return Table(
        [
            Column(by.code, by.head, Of.TEXT),
            words.count_column("taken_in", _("Taken in")),
            words.count_column("open", _("Of these open")),
            words.days_column("half", _("Half back in")),
            words.days_column("low", _("At least")),
            words.days_column("high", _("At most")),
            words.days_column("nine_in_ten", _("Nine of ten in")),
            words.count_column("closed", _("Closed")),
            *mean_columns(),
        ],
        [_row(group) for group in groups],
    )


def _row(group: Group) -> list[Cell]:
    back = group.back
    nine = back.within(NINE_OF_TEN) if back.done >= FEWEST else None
    return [
        group.label,
        back.n,
        back.n - back.done,
        group.half,
        *_interval(group),
        nine,
        group.closed,
        *mean_cells(group.mean),
    ]
