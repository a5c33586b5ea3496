"""Tickets whose work has ended and that no standing invoice bills. Reads, never writes.

What was closed longer ago than a year is left to the books, and what another program
billed before is none of ours.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from shop.billing.accounts.draft import end_of
from shop.billing.models import Invoice, PartUse, QuoteAnswer, TimeEntry
from shop.books.debts import KEPT_SECONDS, TAIL
from shop.intake.account_models import AccountTerms
from shop.intake.models import ClosingKind, Ticket
from shop.office.acting.rules import Done
from shop.people.models import Shop
from shop.records.cache import cache
from shop.records.kinds import Kind
from shop.records.models import Event

LOOKED_BACK = timedelta(days=366)
AT_ONCE = 1000
COLUMNS = (
    *("pk", "outcome__at", "outcome__kind", "handover__at", "opened_at"),
    *("diagnosis_fee_minor", "reassembly_minor", "intake_kind"),
    *("minutes", "has_parts", "covered", "goodwill", "has_yes", "has_no"),
    "on_account",
)


def done_work(shop: Shop, now: datetime) -> Iterator[Done]:
    """One by one, so that no more than some rows are held; five queries."""
    rules = list(
        shop.terms.order_by("valid_from").values_list("valid_from", "no_fix_rule")
    )
    for some in batched(sorted({*_never_billed(shop), *_taken_back(shop)}), AT_ONCE):
        for row in _with_facts(_ended(shop, some, now), now):
            yield _done(dict(zip(COLUMNS, row, strict=True)), shop, rules, now)


def batched(keys: Sequence[int], size: int) -> Iterator[Sequence[int]]:
    return (keys[start : start + size] for start in range(0, len(keys), size))


def _never_billed(shop: Shop) -> list[int]:
    """Without an invoice of any age: the open ones, and few that are closed.

    An invoice is never unmade, so who had one needs no second look: what had none is
    kept, and looked at with what came since.
    """
    bills = Invoice.objects.filter(ticket=OuterRef("pk"), kind=Invoice.Kind.INVOICE)
    every = Ticket.objects.filter(shop=shop)
    newest = every.order_by("-pk").values_list("pk", flat=True).first() or 0
    key = f"office-never-billed-{shop.pk}"
    kept: tuple[int, list[int]] | None = cache.get(key)
    if kept is not None and len(kept[1]) <= AT_ONCE:
        every = every.filter(Q(pk__in=kept[1]) | Q(pk__gt=kept[0] - TAIL))
    found = list(every.filter(~Exists(bills)).order_by().values_list("pk", flat=True))
    cache.set(key, (newest, found), KEPT_SECONDS)
    return found


def _taken_back(shop: Shop) -> QuerySet[Invoice, int]:
    """With an invoice that was taken back as a whole; another may stand."""
    notes = Invoice.objects.filter(
        shop=shop,
        kind=Invoice.Kind.CREDIT_NOTE,
        is_partial=False,
        ticket__isnull=False,
    )
    return notes.order_by().values_list("ticket_id", flat=True)


def _ended(shop: Shop, keys: Sequence[int], now: datetime) -> QuerySet[Ticket]:
    standing = Invoice.objects.filter(
        ticket=OuterRef("pk"), kind=Invoice.Kind.INVOICE
    ).exclude(credit_notes__is_partial=False)
    is_late = Q(handover__is_undone=False, handover__at__gte=now - LOOKED_BACK)
    return Ticket.objects.filter(
        ~Exists(standing),
        Q(handover=None) | is_late,
        shop=shop,
        pk__in=keys,
        old_number="",
        outcome__isnull=False,
        billed_on=None,
    )


def _with_facts(rows: QuerySet[Ticket], now: datetime) -> QuerySet[Any, Any]:
    own = {"ticket": OuterRef("pk")}
    terms = AccountTerms.objects.filter(
        customer=OuterRef("customer"), valid_from__lte=now
    ).order_by("-valid_from", "-id")
    answers = QuoteAnswer.objects.filter(quote__ticket=OuterRef("pk"))
    return (
        rows.annotate(
            minutes=Coalesce(Subquery(_minutes(own)), 0),
            has_parts=Exists(
                PartUse.objects.filter(**own, reverses=None, reversed_by=None)
            ),
            covered=_newest(Kind.WARRANTY_DECIDED),
            goodwill=_newest(Kind.GOODWILL_DECIDED),
            has_yes=Exists(answers.filter(is_yes=True)),
            has_no=Exists(answers.filter(is_yes=False)),
            on_account=Subquery(
                terms.filter(customer__is_account=True).values("is_open")[:1]
            ),
        )
        .order_by()
        .values_list(*COLUMNS)
    )


def _minutes(own: dict[str, OuterRef]) -> QuerySet[Any, Any]:
    rows = TimeEntry.objects.filter(**own).order_by().values("ticket")
    return rows.annotate(sum=Sum("minutes")).values("sum")


def _newest(kind: Kind) -> Subquery:
    rows = Event.objects.filter(ticket_id=OuterRef("pk"), kind=kind)
    return Subquery(rows.order_by("-id").values("codes")[:1])


def _done(
    row: dict[str, Any],
    shop: Shop,
    rules: Sequence[tuple[datetime, str]],
    now: datetime,
) -> Done:
    ended_at = row["handover__at"] or row["outcome__at"]
    # What an account's machine cost is billed once it has left the house.
    left_at = row["handover__at"] or now
    is_no_fix = row["outcome__kind"] == ClosingKind.NO_FIX
    covered = row["covered"]
    is_warranty = row["intake_kind"] == "warranty"
    return Done(
        row["pk"],
        ended_at,
        minutes=row["minutes"],
        has_parts=row["has_parts"],
        fee=row["diagnosis_fee_minor"],
        reassembly=row["reassembly_minor"] or 0,
        is_warranty=is_warranty,
        covered=bool(covered["is_covered"]) if covered and is_warranty else None,
        is_goodwill=bool(row["goodwill"] and row["goodwill"]["is_given"]),
        is_declined=row["has_no"] and not row["has_yes"],
        no_fix=_rule_at(rules, row["opened_at"]) if is_no_fix else "",
        billed_from=_month_over(shop, left_at) if row["on_account"] else None,
    )


def _rule_at(rules: Sequence[tuple[datetime, str]], when: datetime) -> str:
    """The rule of the day it was taken in; of before the first, none is known."""
    before = [rule for since, rule in rules if since <= when]
    return before[-1] if before else ""


def _month_over(shop: Shop, at: datetime) -> datetime:
    """When the month in which it was handed over is over, by the shop's clock."""
    day: date = at.astimezone(shop.zone).date()
    return end_of(shop, day.replace(day=1))
