from django.urls import path

from shop.desk import (
    day_views,
    evening_views,
    found_more_views,
    handing,
    harvest,
    leaving,
    lore,
    phoned_views,
    slip_panel,
    slip_views,
    views,
    who_has,
)

app_name = "desk"
urlpatterns = [
    path("", views.home, name="home"),
    path("counter/", day_views.day_list, name="day_list"),
    path("counter/live/", day_views.day_live, name="day_live"),
    path("evening/", evening_views.evening_today, name="evening_today"),
    path("evening/<int:person_id>/<str:day>/", evening_views.evening, name="evening"),
    path("scan/take/", evening_views.scan_take, name="scan_take"),
    path("clock/<str:number>/<int:board_id>/", evening_views.clock, name="clock"),
    path(
        "clock/<str:number>/<int:board_id>/undo/",
        evening_views.clock_undo,
        name="clock_undo",
    ),
    path("bench/lore/<int:board_model_id>/", lore.lore, name="lore"),
    path("stock/who-has/", who_has.who_has, name="who_has"),
    path("stock/harvest/<int:taken_id>/", harvest.harvest, name="harvest"),
    path("people/<int:person_id>/leaving/", leaving.leaving, name="leaving"),
    path("tickets/<str:number>/", views.ticket, name="ticket"),
    path("tickets/<str:number>/phoned/", phoned_views.phoned_in, name="phoned"),
    path("tickets/<str:number>/slip/", slip_panel.preview, name="slip_preview"),
    path("tickets/<str:number>/slip/new/", slip_panel.renew, name="slip_renew"),
    path("tickets/<str:number>/slip/end/", slip_panel.revoke, name="slip_revoke"),
    path("tickets/<str:number>/told-again/", day_views.told_again, name="told_again"),
    path("tickets/<str:number>/notice/", day_views.notice, name="notice"),
    path("tickets/<str:number>/notice.pdf", day_views.notice_pdf, name="notice_pdf"),
    path("tickets/<str:number>/invoice/", views.invoice_issue, name="invoice_issue"),
    path(
        "tickets/<str:number>/<int:board_id>/found-more/",
        found_more_views.found_more_page,
        name="found_more",
    ),
    path("slip/<str:link_id>/", slip_views.slip, name="slip"),
    path("tickets/<str:number>/handover/", handing.handover, name="handover"),
    path(
        "tickets/<str:number>/handover/to-sign.pdf",
        handing.handover_draft,
        name="handover_draft",
    ),
    path(
        "tickets/<str:number>/handover.pdf",
        handing.handover_paper,
        name="handover_paper",
    ),
]
