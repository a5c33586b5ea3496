from django.urls import path

from shop.office import room_views, trail_views, views
from shop.office.weekly import views as weekly

app_name = "office"
urlpatterns = [
    path("", views.review, name="review"),
    path("trail/", trail_views.events, name="trail"),
    path("weekly/", weekly.weekly, name="weekly"),
    path("weekly/wish/", weekly.wish, name="weekly_wish"),
    path("weekly/send/", weekly.send, name="weekly_send"),
    path("weekly/so-far.pdf", weekly.so_far, name="weekly_so_far"),
    path("weekly/<int:sheet_id>.pdf", weekly.sheet_pdf, name="weekly_sheet"),
    path("<slug:room>/", room_views.figures, name="figures"),
    path(
        "<slug:room>/<slug:code>.csv",
        room_views.table_file,
        {"kind": "csv"},
        name="figures_csv",
    ),
    path(
        "<slug:room>/<slug:code>.ods",
        room_views.table_file,
        {"kind": "ods"},
        name="figures_ods",
    ),
]
