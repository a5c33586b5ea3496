from django.urls import path

from shop.messaging import account_views, views

app_name = "messaging"
TICKET = "tickets/<str:number>/messages"
urlpatterns = [
    path(f"{TICKET}/<int:message_id>/again/", views.again, name="again"),
    path(f"{TICKET}/<int:message_id>/told/", views.told, name="told"),
    path(f"{TICKET}/invoice/", views.invoice, name="invoice"),
    path("invoices/<str:number>/mail/", account_views.invoice, name="account_invoice"),
    path(
        "accounts/<int:pk>/statement/mail/",
        account_views.statement,
        name="account_statement",
    ),
    path(
        "accounts/<int:pk>/messages/<int:message_id>/again/",
        account_views.again,
        name="account_again",
    ),
    path(
        "accounts/<int:pk>/messages/<int:message_id>/otherwise/",
        account_views.otherwise,
        name="account_otherwise",
    ),
]
