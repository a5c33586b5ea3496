from django.urls import path

from shop.books import owed_views, till_views, views

app_name = "books"
urlpatterns = [
    path("", views.books, name="books"),
    path("journal.csv", views.table, {"name": "journal"}, name="journal"),
    path("papers.csv", views.table, {"name": "papers"}, name="papers"),
    path("payments.csv", views.table, {"name": "payments"}, name="payments"),
    path("bundle/", views.bundle, name="bundle"),
    path("accounts/", views.accounts, name="accounts"),
    path("owed/", owed_views.owed, name="owed"),
    path("owed/reminders/", owed_views.reminder_rules, name="reminder_rules"),
    path("owed/<str:number>/remind/", owed_views.remind, name="remind"),
    path(
        "owed/<str:number>/reminder-<int:level>.pdf",
        owed_views.reminder_pdf,
        name="reminder_pdf",
    ),
    path("till/", till_views.till_now, name="till"),
    path("till/move/", till_views.cash_move, name="cash_move"),
    path("till/end/", till_views.day_end, name="day_end"),
    path("till/days/<int:serial>.pdf", till_views.day_pdf, name="day_pdf"),
]
