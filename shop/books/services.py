"""Acts of the till, of reminders and of the accounts' names."""

from array import array
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.account_models import AccountInvoice
from shop.billing.models import Invoice
from shop.books import queries, till
from shop.books.models import (
    AccountName,
    CashDay,
    CashMove,
    DayDeposit,
    DayMove,
    DayPayment,
    PaymentReminder,
    ReminderRule,
)
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.changes import before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind

REMINDER = "payment_reminder"
IN = frozenset({CashMove.Why.FROM_OWNER, CashMove.Why.FROM_BANK})
# Two reminders of one invoice are at least so far apart.
APART = timedelta(days=7)
AT_ONCE = 500
Bound = TypeVar("Bound", DayPayment, DayMove, DayDeposit)


@transaction.atomic
def cash_move(
    *,
    shop: Shop,
    by: Person,
    why: str,
    amount: Money,
    said: str = "",
    at: datetime | None = None,
) -> CashMove:
    """Put cash in or take it out; ``amount`` is above zero, the reason says which."""
    _lock(shop)
    if amount.currency != shop.currency or amount.amount <= 0:
        raise Refused(_("An amount above zero."), field="amount")
    if why == CashMove.Why.BOUGHT and not said:
        raise Refused(_("Say what was bought."), field="said")
    is_in = why in IN
    held = till.now(shop).expected
    if not is_in and amount > held:
        raise Refused(
            _("Only %(held)s should be in the till.") % {"held": held}, field="amount"
        )
    move = CashMove.objects.create(
        shop=shop,
        why=why,
        currency=shop.currency,
        amount_minor=amount.minor if is_in else -amount.minor,
        said=said,
        by=by,
        at=at or timezone.now(),
    )
    records.event_record(
        Kind.CASH_MOVED,
        shop_id=shop.pk,
        by_id=by.pk,
        at=move.at,
        ids={"cash_move": move.pk},
        codes={"why": why, "currency": shop.currency},
        amounts={"amount": move.amount_minor},
    )
    return move


@transaction.atomic
def cash_day_end(
    *,
    shop: Shop,
    by: Person,
    counted: Money,
    after: int,
    reason: str = "",
    pieces: Mapping[int, int] | None = None,
    at: datetime | None = None,
) -> CashDay:
    """Count the till and sign for it.

    ``after`` is the serial of the last count that the person saw: whoever ends the
    day a second time without knowing of the first is told so.
    """
    _lock(shop)
    state = till.now(shop)
    if state.serial != after:
        raise Refused(_("Somebody ended the day meanwhile. Look at it first."))
    if counted.currency != shop.currency or counted.amount < 0:
        raise Refused(_("A till holds nothing or more."), field="counted")
    is_first = after == 0
    if counted != state.expected and not (reason or is_first):
        said = {"expected": state.expected, "difference": counted - state.expected}
        raise Refused(
            _("There should be %(expected)s: a difference of %(difference)s. Say why.")
            % said,
            field="reason",
        )
    day = CashDay.objects.create(
        shop=shop,
        serial=after + 1,
        currency=shop.currency,
        carried_minor=state.carried.minor,
        expected_minor=state.expected.minor,
        counted_minor=counted.minor,
        pieces={str(piece): count for piece, count in (pieces or {}).items() if count},
        reason=reason,
        by=by,
        at=at or timezone.now(),
    )
    _take_in(day, state.rows)
    records.event_record(
        Kind.CASH_DAY_ENDED,
        shop_id=shop.pk,
        by_id=by.pk,
        at=day.at,
        ids={"cash_day": day.pk},
        codes={"currency": shop.currency},
        amounts={"expected": day.expected_minor, "counted": day.counted_minor},
    )
    return day


def _take_in(day: CashDay, rows: till.Rows) -> None:
    """Into this count. The shop is locked: until it ends no payment is committed,
    since the payment's own key waits for the shop.
    """
    _bind(DayPayment, day, "payment_id", rows.payments)
    _bind(DayMove, day, "move_id", rows.moves)
    _bind(DayDeposit, day, "loan_id", rows.loans)
    _bind(DayDeposit, day, "back_id", rows.returns)


def _bind(
    table: type[Bound],
    day: CashDay,
    column: str,
    rows: QuerySet[Any],
) -> None:
    """Keys alone, eight bytes each: a first count may take in payments of years."""
    found = rows.order_by("pk").values_list("pk", flat=True)
    keys = array("q", found.iterator())
    for start in range(0, len(keys), AT_ONCE):
        some = keys[start : start + AT_ONCE]
        table._default_manager.bulk_create(
            [table(day=day, **{column: pk}) for pk in some]
        )


@transaction.atomic
def reminder_rules_set(
    *, shop: Shop, by: Person, first: int, second: int, last: int
) -> ReminderRule:
    """From now on: the days after the due day, each later than the one before."""
    if second - first < APART.days or last - second < APART.days:
        raise Refused(
            _("Each at least %(n)d days after the one before.") % {"n": APART.days},
            field="second",
        )
    names = ("first_days", "second_days", "last_days")
    after = dict(zip(names, (first, second, last), strict=True))
    days = queries.days_of(shop, timezone.now())
    before = dict(zip(names, days, strict=True))
    rule = ReminderRule.objects.create(shop=shop, by=by, **after)
    records.event_record(
        Kind.SETTINGS_CHANGED,
        shop_id=shop.pk,
        by_id=by.pk,
        codes={"what": "payment_reminders"} | before_after(before, after),
    )
    return rule


@transaction.atomic
def reminder_send(
    *, invoice: Invoice, by: Person, at: datetime | None = None
) -> PaymentReminder:
    """The next reminder of an unpaid invoice, with its message, in one act.

    The message goes by e-mail where an address is known; the letter can be printed
    in any case.
    """
    invoice = Invoice.objects.select_for_update(of=("self",)).get(pk=invoice.pk)
    owed = queries.owed_of(invoice)
    if owed <= 0:
        raise Refused(_("Nothing of this invoice is owed."))
    at = at or timezone.now()
    due = queries.reminder_due(invoice, at)
    if due.refusal:
        raise Refused(due.refusal)
    reminder = PaymentReminder.objects.create(
        invoice=invoice,
        level=due.level,
        currency=invoice.currency,
        owed_minor=owed,
        language=invoice.texts.get("language", "en"),
        by=by,
        at=at,
    )
    records.event_record(
        Kind.PAYMENT_REMINDED,
        shop_id=invoice.shop_id,
        by_id=by.pk,
        at=reminder.at,
        ticket_id=invoice.ticket_id,
        ids={"number": invoice.number, "reminder": reminder.pk},
        codes={"currency": invoice.currency},
        amounts={"owed": owed},
    )
    records.message_ask(
        shop_id=invoice.shop_id,
        ticket_id=invoice.ticket_id,
        customer_id=_account_of(invoice),
        message_id=f"{REMINDER}-{reminder.pk}",
        kind=REMINDER,
        paper=str(reminder.pk),
    )
    return reminder


def _account_of(invoice: Invoice) -> int | None:
    """Whose monthly invoice it is."""
    account = AccountInvoice.objects.filter(invoice=invoice).first()
    return account.customer_id if account else None


@dataclass(frozen=True)
class Named:
    """What an account is to be called."""

    code: str
    number: str
    name: str


@transaction.atomic
def accounts_name(
    *, shop: Shop, by: Person, named: Sequence[Named], since: date
) -> list[AccountName]:
    """Numbers and names from a day on; two accounts can't share a number."""
    _lock(shop)
    numbers = [one.number for one in named]
    for one in named:
        if numbers.count(one.number) > 1:
            raise Refused(
                _("%(number)s is there twice.") % {"number": one.number},
                field=one.code,
            )
    rows = AccountName.objects.bulk_create(
        AccountName(
            shop=shop,
            code=one.code,
            number=one.number,
            name=one.name,
            since=since,
            by=by,
        )
        for one in named
    )
    records.event_record(
        Kind.ACCOUNTS_NAMED,
        shop_id=shop.pk,
        by_id=by.pk,
        codes={"since": since.isoformat()},
    )
    return rows


def _lock(shop: Shop) -> None:
    """One act of the till at a time."""
    Shop.objects.select_for_update().only("pk").get(pk=shop.pk)
