"""Tickets that could not be mended, by reason."""

from collections.abc import Mapping

from django.db.models import Count
from django.utils.translation import gettext as _

from shop.intake.models import ClosingKind, Handover, NoFixReason
from shop.office import told
from shop.office.asked import Asked
from shop.office.drawings import Interval, Intervals
from shop.office.kept import kept
from shop.office.sections import Column, Kind, Section, Table
from shop.office.shares import Counted
from shop.people.models import Shop

Ends = Mapping[tuple[str, str], int]  # tickets by closing kind and reason


def ends_of(shop: Shop, asked: Asked) -> Ends:
    """One query. Nothing said is an empty kind."""
    rows = Handover.objects.filter(
        ticket__shop=shop,
        is_undone=False,
        at__gte=asked.since,
        at__lt=asked.until,
    )
    ended = rows.order_by().values_list(
        "ticket__outcome__kind", "ticket__outcome__no_fix_reason"
    )
    counts = ended.annotate(n=Count("pk"))
    return {(kind or "", reason or ""): n for kind, reason, n in counts}


def section(shop: Shop, asked: Asked) -> Section:
    ends = kept("ends", shop, asked, lambda: ends_of(shop, asked))
    closed = sum(ends.values())
    reasons = _reasons(ends, closed)
    return Section(
        code="no_fix",
        title=_("Not to be mended"),
        unit=_("per cent of closed tickets, by reason"),
        says=_said(ends, closed),
        means=_(
            "Tickets closed in this time that ended as no fix, by the reason recorded, "
            "of all tickets closed in it. The interval is Wilson’s, at 95 %."
        ),
        table=Table(
            [
                Column("reason", _("Reason"), Kind.TEXT),
                Column("tickets", _("Tickets"), Kind.COUNT),
                Column("closed", _("Of closed"), Kind.COUNT),
                Column("percent", _("Share, %"), Kind.PERCENT),
                Column("low", _("From, %"), Kind.PERCENT),
                Column("high", _("To, %"), Kind.PERCENT),
            ],
            [
                [name, one.k, one.n, one.percent, one.low, one.high]
                for name, one in reasons
            ],
        ),
        drawing=Intervals(
            [
                Interval(name, one.k, one.percent, one.low, one.high)
                for name, one in reasons
            ],
            "%",
            ceiling=_ceiling(reasons),
        )
        if closed and not reasons[0][1].is_few
        else None,
    )


def _reasons(ends: Ends, closed: int) -> list[tuple[str, Counted]]:
    """All of them first, then each; the commonest before the others."""
    each = [
        (str(reason.label), Counted(ends.get((ClosingKind.NO_FIX, reason), 0), closed))
        for reason in NoFixReason
    ]
    every = Counted(sum(one.k for _name, one in each), closed)
    return [(_("all reasons"), every), *sorted(each, key=lambda one: -one[1].k)]


def _ceiling(reasons: list[tuple[str, Counted]]) -> float:
    """The next ten over the widest interval: these shares are small."""
    highest = max(one.high or 0.0 for _name, one in reasons)
    return min(100.0, 10.0 * (int(highest // 10) + 1))


def _said(ends: Ends, closed: int) -> str:
    (_all, every), (reason, most), *_more = _reasons(ends, closed)
    if every.is_few:
        return _("Too few yet: fewer than three tickets were closed in this time.")
    if not every.k:
        return _("None of the %(n)s closed tickets ended as no fix.") % {"n": every.n}
    low, high = every.interval
    values = {
        "k": every.k,
        "n": every.n,
        "share": told.percent(every.share),
        "low": told.percent(low),
        "high": told.percent(high),
        "reason": reason,
        "most": most.k,
    }
    said = _(
        "%(k)s of %(n)s closed tickets could not be mended, %(share)s (95 %% sure: "
        "%(low)s to %(high)s); most often: %(reason)s, %(most)s."
    )
    return said % values
