"""Acts that write money: quotes, time, parts, payments, invoices."""

from shop.billing.services.credit_moves import credit_move
from shop.billing.services.credits import credit_note_issue
from shop.billing.services.days import Work, day_confirm
from shop.billing.services.drafts import quote_draft_keep
from shop.billing.services.invoices import invoice_issue
from shop.billing.services.orders import order_elsewhere, order_end, order_put_off
from shop.billing.services.parts import (
    part_arrive,
    part_order,
    part_return,
    part_use,
    stock_receive,
)
from shop.billing.services.payments import payment_take
from shop.billing.services.prepayments import prepayment_issue
from shop.billing.services.quotes import Option, quote_answer, quote_send
from shop.billing.services.sales import Sale, Sold, sale_do
from shop.billing.services.stock import StockDraft, stock_begin, stock_take_back
from shop.billing.services.time import time_record, time_reverse

__all__ = [
    "Option",
    "Sale",
    "Sold",
    "StockDraft",
    "Work",
    "credit_move",
    "credit_note_issue",
    "day_confirm",
    "invoice_issue",
    "order_elsewhere",
    "order_end",
    "order_put_off",
    "part_arrive",
    "part_order",
    "part_return",
    "part_use",
    "payment_take",
    "prepayment_issue",
    "quote_answer",
    "quote_draft_keep",
    "quote_send",
    "sale_do",
    "stock_begin",
    "stock_receive",
    "stock_take_back",
    "time_record",
    "time_reverse",
]
