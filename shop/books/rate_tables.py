"""What the shop charged and promised, and to whom otherwise: each dated change."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import groupby
from typing import TypeVar

from django.db.models import Model, QuerySet
from django.utils.translation import gettext as _

from shop.billing.paying.models import PaymentRules
from shop.books.periods import Period
from shop.books.tables import Cells, moment
from shop.intake.account_models import AccountPrices, AccountTerms
from shop.people.models import Terms

LEFT_OUT = {"id", "shop", "by", "customer", "valid_from"}
LEFT_OUT |= {"billing_contact", "billing_email"}
Values = Mapping[str, object]


Row = TypeVar("Row", Terms, PaymentRules, AccountTerms | AccountPrices)


def rates(period: Period) -> Iterator[Cells]:
    """At the start of the period's rows, and each change in it."""
    yield _("from"), _("what"), _("before"), _("after")
    terms = period.shop.terms.filter(valid_from__lt=period.end)
    related = ("labour_rates__person", "fixed_jobs", "markup_tiers")
    rows = terms.prefetch_related(*related).order_by("valid_from")
    yield from _changes(rows, _of_terms, period)
    paying = period.shop.payment_rules.filter(valid_from__lt=period.end)
    yield from _changes(paying, columns_of, period)
    yield from _of_accounts(AccountTerms.objects.all(), period)
    yield from _of_accounts(AccountPrices.objects.all(), period)


def _of_accounts(
    rows: QuerySet[AccountTerms] | QuerySet[AccountPrices], period: Period
) -> Iterator[Cells]:
    found = rows.filter(shop=period.shop, valid_from__lt=period.end)
    dated: Iterable[AccountTerms | AccountPrices] = found.select_related("customer")
    for _pk, own in groupby(dated, lambda row: row.customer_id):
        of_one = list(own)
        said = f"{of_one[0].customer.name}: "
        yield from _changes(of_one, columns_of, period, said)


def _changes(
    rows: Iterable[Row],
    values_of: Callable[[Row], Values],
    period: Period,
    of: str = "",
) -> Iterator[Cells]:
    before: Values = {}
    for row in rows:
        after: Values = values_of(row)
        if row.valid_from >= period.start:
            at = moment(row.valid_from, period)
            for name in dict.fromkeys([*after, *before]):
                old, new = before.get(name, ""), after.get(name, "")
                if old != new:
                    yield at, f"{of}{name}", old, new
        before = after


def _of_terms(terms: Terms) -> Values:
    """With its rates by kind and person, its fixed jobs and its markup."""
    found = dict(columns_of(terms))
    for rate in terms.labour_rates.all():
        whose = rate.person.name if rate.person else ""
        found[" ".join(filter(None, ("labour_rate", rate.kind, whose)))] = (
            rate.rate_minor
        )
    for job in terms.fixed_jobs.all():
        found[f"fixed_job {job.name}: price_minor"] = job.price_minor
        found[f"fixed_job {job.name}: minutes"] = job.minutes
    for tier in terms.markup_tiers.all():
        below = f"below {tier.cost_below_minor}" if tier.cost_below_minor else "else"
        found[f"markup {below}: percent"] = tier.percent
        found[f"markup {below}: minimum_minor"] = tier.minimum_minor
    return found


def columns_of(row: Model) -> Values:
    columns = (one.name for one in row._meta.concrete_fields)
    found = {name: getattr(row, name) for name in columns if name not in LEFT_OUT}
    return {name: "" if value is None else value for name, value in found.items()}
