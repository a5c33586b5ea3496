"""Hours billed of hours logged, and hours that nobody paid for."""

from collections.abc import Sequence

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from diagnostics import bridge, sayings
from shop.billing.models import LabourKind
from shop.office import told
from shop.office.drawings import Share, Shares
from shop.office.figures import FEWEST
from shop.office.money.worked import Work, added, tickets_at_least
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.people.models import Person

KINDS = [kind for kind in LabourKind if kind != LabourKind.MACHINE]


def billed(work: Sequence[Work]) -> Section:
    by_kind = added(work, lambda one: one.kind)
    of_kinds = [(kind, by_kind[kind]) for kind in KINDS if kind in by_kind]
    return Section(
        code="hours",
        title=_("Hours billed of hours logged"),
        unit=_("on closed tickets, by kind of work"),
        says=_billed_said(work),
        means=_(
            "Hours on invoice lines by time, of the hours that people logged on "
            "tickets closed in this time. Billed time is rounded up, so it can be "
            "more. What a diagnosis fee or a fixed price pays for counts as not "
            "billed. Left out: machine time, and tickets on an account’s monthly "
            "invoice."
        ),
        table=Table(
            [
                Column("technician", _("Technician"), Kind.TEXT),
                Column("kind", _("Kind of work"), Kind.TEXT),
                Column("logged", _("Logged, h"), Kind.HOURS),
                Column("billed", _("Billed, h"), Kind.HOURS),
                Column("percent", _("Billed, %"), Kind.PERCENT),
            ],
            [
                *(_row(_("all"), kind, one, one.firsts) for kind, one in of_kinds),
                *_rows_of_people(work),
            ],
        ),
        drawing=Shares([_bar(kind, one) for kind, one in of_kinds])
        if of_kinds
        else None,
    )


def _billed_said(work: Sequence[Work]) -> str:
    logged = sum(one.logged for one in work)
    if logged <= 0 or tickets_at_least(work) < FEWEST:
        return _("Too few yet: fewer than three closed tickets have hours on them.")
    paid = sum(one.billed for one in work)
    values = {
        "billed": told.hours(paid),
        "logged": told.hours(logged),
        "share": told.percent(paid / logged),
    }
    return _("%(billed)s of %(logged)s logged hours were billed, %(share)s.") % values


def _rows_of_people(work: Sequence[Work]) -> list[list[Cell]]:
    """Who left is named like everybody else."""
    found = added(work, lambda one: (one.person, one.kind))
    people = {person for person, _kind in found}
    names = dict(Person.objects.filter(pk__in=people).values_list("pk", "name"))
    return [
        _row(names.get(person, ""), kind, one, one.tickets)
        for person in sorted(people, key=lambda pk: names.get(pk, ""))
        for kind in KINDS
        if (one := found.get((person, kind)))
    ]


def _row(name: str, kind: str, one: Work, tickets: int) -> list[Cell]:
    is_told = tickets >= FEWEST and one.logged > 0
    return [
        name,
        _kind(kind),
        told.in_hours(one.logged),
        told.in_hours(one.billed),
        round(100 * one.billed / one.logged, 1) if is_told else None,
    ]


def _bar(kind: str, one: Work) -> Share:
    """What was billed beyond what was logged fills the bar, and is said."""
    says = _("%(billed)s of %(logged)s h") % {
        "billed": told.hours(one.billed),
        "logged": told.hours(one.logged),
    }
    part = min(max(one.billed, 0), one.logged)
    return Share(_kind(kind), told.in_hours(part), told.in_hours(one.logged), says)


def _kind(kind: str) -> str:
    return str(capfirst(str(LabourKind(kind).label)))


# --- hours that nobody paid for -----------------------------------------------------


def lost(work: Sequence[Work]) -> Section:
    return Section(
        code="lost",
        title=_("Hours on no fix and warranty"),
        unit=_("by board family"),
        says=_lost_said(work),
        means=_(
            "Hours that people logged as warranty, and all other hours on tickets that "
            "ended as no fix, of tickets closed in this time; whether or not a fee was "
            "taken for them."
        ),
        table=Table(
            [
                Column("family", _("Board family"), Kind.TEXT),
                Column("logged", _("Logged, h"), Kind.HOURS),
                Column("no_fix", _("No fix, h"), Kind.HOURS),
                Column("warranty", _("Warranty, h"), Kind.HOURS),
                Column("percent", _("Both, %"), Kind.PERCENT),
            ],
            _lost_rows(work),
        ),
        drawing=_lost_bars(work),
    )


def _why(one: Work) -> str:
    if one.kind == LabourKind.WARRANTY:
        return "warranty"
    return "no_fix" if one.is_no_fix else ""


def _sums(work: Sequence[Work]) -> tuple[float, float, float]:
    """Minutes logged in all, on no fix, under warranty."""
    by_why = {why: one.logged for why, one in added(work, _why).items()}
    no_fix, warranty = by_why.get("no_fix", 0.0), by_why.get("warranty", 0.0)
    return sum(by_why.values()), no_fix, warranty


def _families(work: Sequence[Work]) -> list[tuple[str, Sequence[Work]]]:
    """By name; the one with most hours lost first."""
    named = {one.family for one in work}
    found = [
        (_family(family), [one for one in work if one.family == family])
        for family in named
    ]
    return sorted(found, key=lambda pair: (-sum(_sums(pair[1])[1:]), pair[0]))


def _family(family: str | None) -> str:
    if family is None:
        return _("no board, or boards of several families")
    return sayings.family_text(bridge.family_name(family))


def _lost_said(work: Sequence[Work]) -> str:
    logged, no_fix, warranty = _sums(work)
    if logged <= 0 or tickets_at_least(work) < FEWEST:
        return _("Too few yet: fewer than three closed tickets have hours on them.")
    if no_fix + warranty <= 0:
        return _("No hour went into boards that were not fixed, or into warranty.")
    values = {
        "no_fix": told.hours(no_fix),
        "warranty": told.hours(warranty),
        "share": told.percent((no_fix + warranty) / logged),
        "logged": told.hours(logged),
        "family": _families(work)[0][0],
    }
    said = _(
        "%(no_fix)s h went into boards that were not fixed and %(warranty)s h into "
        "warranty, %(share)s of %(logged)s h; most of them into %(family)s."
    )
    return said % values


def _lost_rows(work: Sequence[Work]) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    for name, own in _families(work):
        logged, no_fix, warranty = _sums(own)
        share = round(100 * (no_fix + warranty) / logged, 1) if logged > 0 else None
        is_few = tickets_at_least(own) < FEWEST
        figures = [told.in_hours(one) for one in (logged, no_fix, warranty)]
        rows.append([name, *figures, None if is_few else share])
    return rows


def _lost_bars(work: Sequence[Work]) -> Shares | None:
    rows = []
    for name, own in _families(work):
        logged, no_fix, warranty = _sums(own)
        both = no_fix + warranty
        if logged > 0:
            says = _("%(lost)s of %(logged)s h") % {
                "lost": told.hours(both),
                "logged": told.hours(logged),
            }
            rows.append(Share(name, told.in_hours(both), told.in_hours(logged), says))
    return Shares(rows) if rows else None
