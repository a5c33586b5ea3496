"""What came back: with which fault, whose repair it was, and of which cause."""

from collections import defaultdict
from collections.abc import Sequence

from django.utils.translation import gettext as _

from shop.office import told
from shop.office.drawings import Interval, Intervals
from shop.office.quality.fix_rate import Fault, Held
from shop.office.quality.fixed import Back, Fixed
from shop.office.quality.names import Names
from shop.office.sections import Cell, Column, Kind, Section, Table

MOST_BARS = 10


def section(fixed: Fixed, names: Names) -> Section:
    """Each of them, the newest first."""
    return Section(
        code="returns",
        title=_("Came back"),
        unit=_("warranty checks of repairs closed in this time"),
        says=_said(fixed),
        means=_(
            "Warranty checks of tickets that were closed as fixed in this time. The "
            "same fault: a part found on the return is one found on the repair; a new "
            "one: none is. Counted is what came inside the warranty and was not "
            "decided as not covered, once a repair."
        ),
        table=Table(
            [
                Column("ticket", _("Ticket"), Kind.TICKET),
                Column("earlier", _("Repair"), Kind.TICKET),
                Column("days", _("Days after"), Kind.DAYS),
                Column("fault", _("Fault"), Kind.TEXT),
                Column("covered", _("Covered"), Kind.TEXT),
                Column("counted", _("Counted"), Kind.TEXT),
                Column("technician", _("Technician"), Kind.TEXT),
                Column("board_model", _("Board model"), Kind.TEXT),
                Column("cause", _("Cause then"), Kind.TEXT),
            ],
            [_row(one, names) for one in fixed.back],
        ),
    )


def _said(fixed: Fixed) -> str:
    counted = [one for one in fixed.back if one.counts]
    if not fixed.held("all").closed:
        return _("Too few yet: no repair was closed in this time.")
    if not counted:
        return _(
            "No repair that was closed in this time came back inside its warranty."
        )
    values = {
        "back": len(counted),
        "n": fixed.held("all").closed,
        "same": sum(one.fault == Fault.SAME for one in counted),
        "new": sum(one.fault == Fault.NEW for one in counted),
        "untold": sum(one.fault == Fault.UNTOLD for one in counted),
    }
    said = _(
        "%(back)s of %(n)s repairs came back inside the warranty so far: with the same "
        "fault %(same)s, with a new one %(new)s, not told yet %(untold)s."
    )
    return said % values


def _row(one: Back, names: Names) -> list[Cell]:
    return [
        one.ticket,
        one.earlier,
        one.days,
        _fault(one.fault),
        _covered(one.is_covered),
        _("yes") if one.counts else _("no"),
        names.person(one.seen.person),
        names.model(one.seen.model),
        names.part(one.seen.model, one.seen.part),
    ]


def _fault(fault: Fault) -> str:
    return {
        Fault.SAME: _("the same"),
        Fault.NEW: _("a new one"),
        Fault.UNTOLD: _("not told yet"),
    }[fault]


def _covered(is_covered: bool | None) -> str:
    if is_covered is None:
        return _("not decided")
    return _("yes") if is_covered else _("no")


# --- whose, and of which cause ------------------------------------------------------


def shares(fixed: Fixed, names: Names) -> Section:
    people, parts = _people(fixed, names), _parts(fixed, names)
    bars = [
        Interval(name, held.run, one.percent, one.low, one.high)
        for name, held in (*people, *parts)
        for one in [held.returned]
        if not one.is_few
    ]
    return Section(
        code="return_shares",
        title=_("Returns by technician and cause"),
        unit=_("per cent of repairs whose warranty is over"),
        says=_shares_said(people, parts),
        means=_(
            "Repairs that came back inside their warranty, of those whose warranty has "
            "run out, by who confirmed the cause and by the part that it was. The "
            "interval is Wilson’s, at 95 %: where intervals overlap widely, chance "
            "alone may make the difference."
        ),
        table=Table(
            [
                Column("by", _("Told apart by"), Kind.TEXT),
                Column("name", _("Which"), Kind.TEXT),
                Column("counted", _("Warranty over"), Kind.COUNT),
                Column("back", _("Came back"), Kind.COUNT),
                Column("percent", _("Came back, %"), Kind.PERCENT),
                Column("low", _("From, %"), Kind.PERCENT),
                Column("high", _("To, %"), Kind.PERCENT),
            ],
            [
                *(_share_row(_("technician"), *one) for one in people),
                *(_share_row(_("cause"), *one) for one in parts),
            ],
        ),
        drawing=Intervals(bars[:MOST_BARS], "%") if bars else None,
    )


Named = Sequence[tuple[str, Held]]


def _people(fixed: Fixed, names: Names) -> Named:
    found = [
        (names.person(pk if isinstance(pk, int) else None), held)
        for (what, pk), held in fixed.groups.items()
        if what == "person"
    ]
    return sorted(found, key=lambda one: one[0])


def _parts(fixed: Fixed, names: Names) -> Named:
    """Parts of one name are one, whatever their families; most repairs first."""
    found: dict[str, Held] = defaultdict(Held)
    for (model, part), held in fixed.parts.items():
        found[names.part(model, part)] += held
    return sorted(found.items(), key=lambda one: (-one[1].run, one[0]))


def _share_row(by: str, name: str, held: Held) -> list[Cell]:
    one = held.returned
    return [by, name, one.n, one.k, one.percent, one.low, one.high]


def _shares_said(people: Named, parts: Named) -> str:
    told_of = [(n, h.returned) for n, h in parts if not h.returned.is_few]
    if not told_of and all(held.returned.is_few for _name, held in people):
        return _(
            "Too few yet: fewer than three repairs have come through their warranty."
        )
    worst = max(told_of, key=lambda one: one[1].share, default=None)
    if worst is None or not worst[1].k:
        return _("No cause with three repairs or more came back.")
    name, one = worst
    values = {
        "cause": name,
        "back": one.k,
        "n": one.n,
        "low": told.percent(one.interval[0]),
        "high": told.percent(one.interval[1]),
    }
    said = _(
        "Most came back of: %(cause)s, %(back)s of %(n)s (95 %% sure: %(low)s to "
        "%(high)s)."
    )
    return said % values
