"""Fixed the first time: by technician, after liquid, by board model, over time."""

from collections.abc import Sequence
from datetime import timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.office import told
from shop.office.drawings import Dot, Trend, Trends
from shop.office.figures import FEWEST
from shop.office.quality.fix_rate import Held
from shop.office.quality.fixed import Fixed, Group
from shop.office.quality.names import Names
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.office.spans import Span
from shop.people.models import Shop
from shop.shown import date_format

MOST_MODELS = 4
REFERENCE = 90.0
MOMENT = timedelta(microseconds=1)


def section(shop: Shop, fixed: Fixed, names: Names) -> Section:
    groups = _groups(fixed, names)
    return Section(
        code="first_time",
        title=_("Fixed the first time"),
        unit=_("per cent without a return inside the warranty"),
        says=_said(fixed.held("all")),
        means=_(
            "Closed as fixed with no return in the warranty, of those closed as fixed "
            "whose warranty has run out. The others are too young to tell: open dots, "
            "counted apart. A technician’s are those whose cause he or she confirmed. "
            "The interval is Wilson’s, at 95 %."
        ),
        table=Table(
            [
                Column("group", _("Which"), Kind.TEXT),
                Column("span", _("Closed"), Kind.TEXT),
                Column("counted", _("Warranty over"), Kind.COUNT),
                Column("held", _("Held"), Kind.COUNT),
                Column("percent", _("Held, %"), Kind.PERCENT),
                Column("low", _("From, %"), Kind.PERCENT),
                Column("high", _("To, %"), Kind.PERCENT),
                Column("young", _("Too young"), Kind.COUNT),
                Column("young_back", _("Of them back"), Kind.COUNT),
            ],
            [row for name, group in groups for row in _rows(shop, fixed, name, group)],
        ),
        drawing=_drawing(shop, fixed, groups),
    )


def _groups(fixed: Fixed, names: Names) -> list[tuple[str, Group]]:
    """All, the technicians, after liquid, and the models that came most."""
    people = [
        (names.person(int(pk)), ("person", pk))
        for what, pk in fixed.groups
        if what == "person" and pk is not None
    ]
    models = [
        (names.model(int(pk)), ("model", pk))
        for what, pk in fixed.groups
        if what == "model" and pk is not None
    ]
    models.sort(key=lambda one: (-fixed.groups[one[1]].closed, one[0]))
    wet = [(_("After liquid"), ("wet", None))] if ("wet", None) in fixed.groups else []
    every = [(_("All"), ("all", None))] if ("all", None) in fixed.groups else []
    return [*every, *sorted(people), *wet, *models[:MOST_MODELS]]


def _said(held: Held) -> str:
    counted = held.first_time
    young = _young(held)
    if counted.is_few:
        few = _(
            "Too few yet: fewer than three repairs have come through their warranty."
        )
        return f"{few} {young}".strip()
    low, high = counted.interval
    values = {
        "held": counted.k,
        "n": counted.n,
        "share": told.percent(counted.share),
        "low": told.percent(low),
        "high": told.percent(high),
    }
    said = _(
        "%(held)s of %(n)s repairs held through their warranty, %(share)s (95 %% sure: "
        "%(low)s to %(high)s)."
    )
    return f"{said % values} {young}".strip()


def _young(held: Held) -> str:
    if not held.young:
        return ""
    said = ngettext(
        "%(n)s more is too young to tell.",
        "%(n)s more are too young to tell.",
        held.young,
    )
    return said % {"n": held.young}


def _rows(shop: Shop, fixed: Fixed, name: str, group: Group) -> list[list[Cell]]:
    """The whole time, then its spans."""
    whole = _row(name, _("in all"), fixed.groups[group])
    spans = [
        _row(name, label, tally.get(group, Held()))
        for label, tally in zip(_labels(shop, fixed), fixed.in_spans, strict=True)
    ]
    return [whole, *spans]


def _row(name: str, span: str, held: Held) -> list[Cell]:
    one = held.first_time
    shares = [one.percent, one.low, one.high]
    return [name, span, one.n, one.k, *shares, held.young, held.young_back]


def _labels(shop: Shop, fixed: Fixed) -> list[str]:
    """“Jan”, or “Jan–Feb” where a span has several months."""
    return [_label(shop, one) for one in fixed.spans]


def _label(shop: Shop, span: Span) -> str:
    last = span.until - MOMENT
    first, end = (
        date_format(one.astimezone(shop.zone), "M") for one in (span.since, last)
    )
    return first if first == end else f"{first}–{end}"


def _drawing(
    shop: Shop, fixed: Fixed, groups: Sequence[tuple[str, Group]]
) -> Trends | None:
    labels = _labels(shop, fixed)
    trends = [
        Trend(
            name,
            fixed.groups[group].run,
            [
                _dot(label, tally.get(group, Held()))
                for label, tally in zip(labels, fixed.in_spans, strict=True)
            ],
        )
        for name, group in groups
        if fixed.groups[group].closed >= FEWEST
    ]
    return Trends(trends, "%", reference=REFERENCE) if trends else None


def _dot(label: str, held: Held) -> Dot:
    """Open while any of the span's repairs is too young to tell."""
    shown = held.so_far if held.young else held.first_time
    return Dot(label, shown.percent, shown.n, hollow=bool(held.young))
