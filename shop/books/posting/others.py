"""What else is booked: cash without a ticket, day ends, goods. PURE."""

from collections.abc import Mapping
from datetime import date

from shop.books.posting.accounts import Account
from shop.books.posting.entries import Entry, lines_of
from shop.books.posting.owed import money_of

# The other side of cash that moves without a ticket.
CASH_AGAINST: Mapping[str, str] = {
    "from_owner": Account.OWNER,
    "to_owner": Account.OWNER,
    "from_bank": Account.BANK,
    "to_bank": Account.BANK,
    "bought": Account.EXPENSES,
}
# The other side of goods that move; what is not named is a difference.
STOCK_AGAINST: Mapping[str, str] = {
    "received": Account.SUPPLIERS,
    "used": Account.PARTS_COST,
    "returned": Account.PARTS_COST,
    "sent_back": Account.SUPPLIERS,
}


def cash_moved(day: date, mark: str, currency: str, why: str, minor: int) -> Entry:
    """Cash in (above zero) or out without a ticket."""
    against = CASH_AGAINST[why]
    lines = lines_of((Account.CASH, minor), (against, -minor))
    return Entry(day, "cash_move", mark, currency, lines)


def deposit_taken(
    day: date, mark: str, currency: str, method: str, minor: int
) -> Entry:
    """Money left for a loan device: a liability until the device is back."""
    lines = lines_of((money_of(method), minor), (Account.LOAN_DEPOSITS, -minor))
    return Entry(day, "loan_deposit", mark, currency, lines)


def deposit_ended(
    day: date, mark: str, currency: str, method: str, *, taken: int | None, back: int
) -> Entry:
    """The device is back: what is not given back is kept for the damage.

    It is booked without tax, as damages are no supply (jd); whether that holds is for
    the tax adviser to say. Where the deposit was never ``taken`` in the journal, a
    count has long booked it as a difference, and so it goes.
    """
    if taken is None:
        lines = lines_of((Account.CASH_DIFFERENCES, back), (money_of(method), -back))
    else:
        lines = lines_of(
            (Account.LOAN_DEPOSITS, taken),
            (money_of(method), -back),
            (Account.DEPOSITS_KEPT, back - taken),
        )
    return Entry(day, "loan_back", mark, currency, lines)


def cash_counted(
    day: date, mark: str, currency: str, difference: int, *, is_first: bool
) -> Entry:
    """What was counted beyond what was expected; at the first count the owner's."""
    against = Account.OWNER if is_first else Account.CASH_DIFFERENCES
    lines = lines_of((Account.CASH, difference), (against, -difference))
    return Entry(day, "cash_day", mark, currency, lines)


def stock_moved(
    day: date, mark: str, currency: str, why: str, value: int, *, is_first: bool
) -> Entry:
    """Goods at cost, in above zero. What stood there at the first count is the owner's.

    A reservation moves nothing of value and is not to be asked for here.
    """
    against = STOCK_AGAINST.get(why, Account.STOCK_DIFFERENCES)
    if is_first and why == "counted":
        against = Account.OWNER
    lines = lines_of((Account.STOCK, value), (against, -value))
    return Entry(day, "stock_move", mark, currency, lines)


def part_bought(day: date, mark: str, currency: str, cost: int) -> Entry:
    """A part that went from its parcel into a board; below zero: taken back out."""
    lines = lines_of((Account.PARTS_COST, cost), (Account.SUPPLIERS, -cost))
    return Entry(day, "part_use", mark, currency, lines)


def claim_lost(day: date, mark: str, currency: str, lost: int) -> Entry:
    """Goods that went back and were credited for less, or not at all."""
    lines = lines_of((Account.STOCK_DIFFERENCES, lost), (Account.SUPPLIERS, -lost))
    return Entry(day, "claim_end", mark, currency, lines)
