from django.urls import path

from shop.desk import found_more_views, leaving, views

app_name = "desk"
urlpatterns = [
    path("", views.home, name="home"),
    path("counter/", views.day_list, name="day_list"),
    path("find/", views.find, name="find"),
    path("people/<int:person_id>/leaving/", leaving.leaving, name="leaving"),
    path("tickets/<str:number>/", views.ticket, name="ticket"),
    path("tickets/<str:number>/invoice/", views.invoice_issue, name="invoice_issue"),
    path(
        "tickets/<str:number>/<int:board_id>/found-more/",
        found_more_views.found_more_page,
        name="found_more",
    ),
    path("tickets/<str:number>/handover/", views.handover, name="handover"),
]
