from django.urls import path

from shop.billing import credit_views, order_views, views
from shop.billing.accounts import statement_views
from shop.billing.accounts import views as account_views
from shop.billing.loans import views as loans
from shop.billing.offers import views as offers
from shop.billing.paying import views as paying
from shop.billing.rates import views as rates
from shop.billing.selling import views as selling
from shop.billing.shelf import urls as shelf

app_name = "billing"
TICKET = "tickets/<str:number>"
urlpatterns = [
    path(f"{TICKET}/quote/", offers.quote_new, name="quote_new"),
    path(f"{TICKET}/quote/sums/", offers.quote_sums, name="quote_sums"),
    path(f"{TICKET}/quotes/<int:version>/", offers.quote, name="quote"),
    path(
        f"{TICKET}/quotes/<int:version>/answer/",
        offers.quote_answer,
        name="quote_answer",
    ),
    path(f"{TICKET}/quotes/<int:version>.pdf", offers.quote_pdf, name="quote_pdf"),
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
    path(f"{TICKET}/account/", account_views.ticket_order, name="ticket_order"),
    path("accounts/", account_views.accounts_page, name="accounts"),
    path("accounts/<int:pk>/", account_views.account, name="account"),
    path("accounts/<int:pk>/rules/", account_views.account_rules, name="account_rules"),
    path(
        "accounts/<int:pk>/prices/", account_views.account_prices, name="account_prices"
    ),
    path(
        "accounts/<int:pk>/payment/",
        account_views.account_payment,
        name="account_payment",
    ),
    path("accounts/<int:pk>/statement/", statement_views.statement, name="statement"),
    path(
        "accounts/<int:pk>/statement.pdf",
        statement_views.statement_pdf,
        name="statement_pdf",
    ),
    path(f"{TICKET}/credit/", paying.credit_move, name="credit_move"),
    path("sale/", selling.sale, name="sale"),
    path("payment-rules/", paying.payment_rules, name="payment_rules"),
    path("invoices/<str:number>/", paying.invoice_page, name="invoice_page"),
    path("invoices/<str:number>/payment/", paying.invoice_pay, name="invoice_pay"),
    path(
        "invoices/<str:number>/payments/<int:payment_id>/receipt.pdf",
        paying.invoice_receipt,
        name="invoice_receipt",
    ),
    path(
        "invoices/<str:number>/payments/<int:payment_id>/print/",
        paying.invoice_receipt_print,
        name="invoice_receipt_print",
    ),
    path(f"{TICKET}/goodwill/", rates.goodwill, name="goodwill"),
    path(f"{TICKET}/loan/", loans.loan_give, name="loan_give"),
    path(f"{TICKET}/loans/<int:loan_id>/back/", loans.loan_back, name="loan_back"),
    path("loan-devices/", loans.loan_devices, name="loan_devices"),
    path(
        "loan-devices/<int:device_id>/end/",
        loans.loan_device_end,
        name="loan_device_end",
    ),
    path("invoices/<str:number>.pdf", views.invoice_pdf, name="invoice_pdf"),
    path(
        "invoices/<str:number>/credit-note/",
        credit_views.credit_note,
        name="credit_note",
    ),
    *shelf.urlpatterns,
]
