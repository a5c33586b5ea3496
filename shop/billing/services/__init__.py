"""Acts that write money: quotes, time, parts, payments, invoices."""

from shop.billing.offers.ways import Option
from shop.billing.services.anew import quote_ask_anew
from shop.billing.services.credit_moves import credit_move
from shop.billing.services.credits import credit_note_issue
from shop.billing.services.days import Work, day_confirm
from shop.billing.services.drafts import quote_draft_keep
from shop.billing.services.invoices import invoice_issue
from shop.billing.services.orders import order_elsewhere, order_end, order_put_off
from shop.billing.services.parts import (
    claim_of_use,
    part_arrive,
    part_order,
    part_return,
    part_use,
    stock_receive,
)
from shop.billing.services.payments import payment_take
from shop.billing.services.prepayments import prepayment_issue
from shop.billing.services.quotes import quote_answer, quote_send
from shop.billing.services.sales import Sale, Sold, sale_do
from shop.billing.services.stock import StockDraft, stock_begin, stock_take_back
from shop.billing.services.time import time_record, time_reverse
from shop.billing.shelf.claims import claim_at_arrival, claim_end, claim_from_shelf
from shop.billing.shelf.counting import stock_count
from shop.billing.shelf.items import stock_harvest, stock_item_keep
from shop.billing.shelf.moves import stock_take
from shop.billing.shelf.ordering import stock_order
from shop.billing.shelf.receiving import order_receive
from shop.billing.shelf.reserving import reservation_release, stock_reserve

__all__ = [
    "Option",
    "Sale",
    "Sold",
    "StockDraft",
    "Work",
    "claim_at_arrival",
    "claim_end",
    "claim_from_shelf",
    "claim_of_use",
    "credit_move",
    "credit_note_issue",
    "day_confirm",
    "invoice_issue",
    "order_elsewhere",
    "order_end",
    "order_put_off",
    "order_receive",
    "part_arrive",
    "part_order",
    "part_return",
    "part_use",
    "payment_take",
    "prepayment_issue",
    "quote_answer",
    "quote_ask_anew",
    "quote_draft_keep",
    "quote_send",
    "reservation_release",
    "sale_do",
    "stock_begin",
    "stock_count",
    "stock_harvest",
    "stock_item_keep",
    "stock_order",
    "stock_receive",
    "stock_reserve",
    "stock_take",
    "stock_take_back",
    "time_record",
    "time_reverse",
]
