"""Which quotes were decided in a time, and how."""

from collections.abc import Mapping
from datetime import timedelta

from django.db.models import Count, Exists, Min, OuterRef, QuerySet, Sum
from django.utils.translation import gettext as _

from shop.billing.models import Quote, QuoteAnswer
from shop.money import Money
from shop.office import told
from shop.office.asked import Asked
from shop.office.drawings import Share, Shares
from shop.office.kept import kept
from shop.office.money.acceptance import Decided, Pile
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.people.models import Shop

NOTHING = Pile()
MOMENT = timedelta(microseconds=1)
WHOLE = 100.0
ByCurrency = Mapping[str, Decided]


def decided(shop: Shop, asked: Asked) -> ByCurrency:
    """By currency; two queries."""
    answered = _answered(shop, asked)
    expired = _expired(shop, asked)
    currencies = {currency for currency, _yes in answered} | set(expired)
    return {
        one: Decided(
            yes=answered.get((one, True), NOTHING),
            no=answered.get((one, False), NOTHING),
            expired=expired.get(one, NOTHING),
        )
        for one in sorted(currencies)
    }


def _answered(shop: Shop, asked: Asked) -> dict[tuple[str, bool], Pile]:
    rows = QuoteAnswer.objects.filter(
        quote__ticket__shop=shop, at__gte=asked.since, at__lt=asked.until
    )
    sums = rows.values_list("quote__currency", "is_yes").annotate(
        count=Count("pk"), minor=Sum("total_minor")
    )
    return {(currency, yes): Pile(n, minor) for currency, yes, n, minor in sums}


def _expired(shop: Shop, asked: Asked) -> dict[str, Pile]:
    """Of options that nobody chose the cheapest counts."""
    found: dict[str, Pile] = {}
    rows = unanswered(shop, asked).order_by().values("ticket", "version", "currency")
    for row in rows.annotate(minor=Min("total_minor")):
        before = found.get(row["currency"], NOTHING)
        found[row["currency"]] = Pile(before.count + 1, before.minor + row["minor"])
    return found


def unanswered(shop: Shop, asked: Asked) -> QuerySet[Quote]:
    """The newest versions whose last day passed in the time, without an answer."""
    first, last = (
        (one - MOMENT).astimezone(shop.zone).date()
        for one in (asked.since, asked.until)
    )
    today = asked.now.astimezone(shop.zone).date()
    same = Quote.objects.filter(ticket=OuterRef("ticket"))
    version = OuterRef("version")
    return Quote.objects.filter(
        ~Exists(same.filter(version=version, answer__isnull=False)),
        ~Exists(same.filter(version__gt=version)),
        ticket__shop=shop,
        valid_until__gte=first,
        valid_until__lt=min(last, today),
    )


def section(shop: Shop, asked: Asked) -> Section:
    found = kept("quotes", shop, asked, lambda: decided(shop, asked))
    bars = [bar for currency, one in found.items() for bar in _bars(one, currency)]
    return Section(
        code="quotes",
        title=_("Quotes accepted"),
        unit=_("of those that were decided"),
        says=" ".join(_said(one, currency) for currency, one in found.items())
        or _("Too few yet: no quote was decided in this time."),
        means=_(
            "Accepted of decided quotes, by their number and by their totals with tax. "
            "Decided is what was answered in this time, or expired in it unanswered; "
            "a version that a newer one replaced is neither. Of options that nobody "
            "chose the cheapest counts. The interval is Wilson’s, at 95 %."
        ),
        table=Table(
            [
                Column("currency", _("Currency"), Kind.TEXT),
                Column("accepted", _("Accepted"), Kind.COUNT),
                Column("declined", _("Declined"), Kind.COUNT),
                Column("expired", _("Expired"), Kind.COUNT),
                Column("decided", _("Decided"), Kind.COUNT),
                Column("percent", _("Accepted, %"), Kind.PERCENT),
                Column("low", _("From, %"), Kind.PERCENT),
                Column("high", _("To, %"), Kind.PERCENT),
                Column("accepted_value", _("Accepted, worth"), Kind.AMOUNT),
                Column("decided_value", _("Decided, worth"), Kind.AMOUNT),
                Column("percent_value", _("Of the worth, %"), Kind.PERCENT),
            ],
            [_row(one, currency) for currency, one in found.items()],
        ),
        drawing=Shares(bars) if bars else None,
    )


def _said(found: Decided, currency: str) -> str:
    count = found.by_count
    if count.is_few:
        return _(
            "Too few yet: fewer than three quotes in %(currency)s were decided."
        ) % {"currency": currency}
    values = {
        "yes": count.k,
        "all": count.n,
        "share": told.percent(count.share),
        "minor": told.money(found.yes.minor, currency),
        "of": told.money(found.minor, currency),
    }
    said = _(
        "%(yes)s of %(all)s decided quotes were accepted, %(share)s, worth %(minor)s "
        "of %(of)s."
    )
    return said % values


def _row(found: Decided, currency: str) -> list[Cell]:
    count = found.by_count
    return [
        currency,
        found.yes.count,
        found.no.count,
        found.expired.count,
        count.n,
        count.percent,
        count.low,
        count.high,
        told.amount(found.yes.minor, currency),
        told.amount(found.minor, currency),
        found.percent_by_value,
    ]


def _bars(found: Decided, currency: str) -> list[Share]:
    """Filled by their shares: a number and a sum have no scale in common."""
    count, by_value = found.by_count, found.percent_by_value
    if count.is_few:
        return []
    number = _("%(yes)s of %(all)s quotes") % {"yes": count.k, "all": count.n}
    value = _("%(yes)s of %(all)s") % {
        "yes": Money.from_minor(found.yes.minor, currency),
        "all": told.money(found.minor, currency),
    }
    by_number = Share(_("By number"), WHOLE * count.share, WHOLE, number)
    if by_value is None:
        return [by_number]
    return [by_number, Share(_("By value"), by_value, WHOLE, value)]
