from django.urls import path

from shop.billing import credit_views, order_views, views
from shop.billing.shelf import urls as shelf

app_name = "billing"
TICKET = "tickets/<str:number>"
urlpatterns = [
    path(f"{TICKET}/quote/", views.quote_new, name="quote_new"),
    path(f"{TICKET}/quotes/<int:version>/", views.quote, name="quote"),
    path(
        f"{TICKET}/quotes/<int:version>/answer/",
        views.quote_answer,
        name="quote_answer",
    ),
    path(f"{TICKET}/quotes/<int:version>.pdf", views.quote_pdf, name="quote_pdf"),
    path(f"{TICKET}/work/", views.work, name="work"),
    path(f"{TICKET}/time/", views.time_record, name="time_record"),
    path(
        f"{TICKET}/time/<int:entry_id>/take-back/",
        views.time_reverse,
        name="time_reverse",
    ),
    path(f"{TICKET}/part/", views.part_use, name="part_use"),
    path(
        f"{TICKET}/part/<int:use_id>/take-back/",
        views.part_return,
        name="part_return",
    ),
    path(f"{TICKET}/order/", views.part_order, name="part_order"),
    path(
        f"{TICKET}/order/<int:line_id>/arrived/",
        views.part_arrive,
        name="part_arrive",
    ),
    path(
        f"{TICKET}/order/<int:line_id>/late/",
        order_views.order_put_off,
        name="order_put_off",
    ),
    path(
        f"{TICKET}/order/<int:line_id>/elsewhere/",
        order_views.order_elsewhere,
        name="order_elsewhere",
    ),
    path(
        f"{TICKET}/order/<int:line_id>/cancel/",
        order_views.order_cancel,
        name="order_cancel",
    ),
    path(f"{TICKET}/payment/", views.payment_take, name="payment_take"),
    path(
        f"{TICKET}/payments/<int:payment_id>/receipt.pdf",
        views.receipt,
        name="receipt",
    ),
    path(
        f"{TICKET}/payments/<int:payment_id>/print/",
        views.receipt_print,
        name="receipt_print",
    ),
    path("invoices/<str:number>.pdf", views.invoice_pdf, name="invoice_pdf"),
    path(
        "invoices/<str:number>/credit-note/",
        credit_views.credit_note,
        name="credit_note",
    ),
    *shelf.urlpatterns,
]
