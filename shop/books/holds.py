"""What this room's columns hold (``shop/records/holding.py``)."""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "CashMove": table(
        staff="by", business="why currency amount_minor said at", technical="id shop"
    ),
    "CashDay": table(
        staff="by",
        business="serial currency carried_minor expected_minor counted_minor pieces"
        " reason at",
        technical="id shop",
    ),
    "DayPayment": table(technical="day payment"),
    "DayMove": table(technical="day move"),
    "DayDeposit": table(technical="id day loan back"),
    "ReminderRule": table(
        staff="by", business="first_days second_days last_days at", technical="id shop"
    ),
    "PaymentReminder": table(
        staff="by",
        business="level currency owed_minor language at",
        technical="id invoice",
        of_customer="invoice__account__customer",
        of_ticket="invoice__ticket",
    ),
    "AccountName": table(
        staff="by", business="code number name since at", technical="id shop"
    ),
}
