from django.urls import path

from shop.intake import (
    customer_pages,
    draft_pages,
    outage_pages,
    paper_pages,
    passcode_views,
    place_pages,
    scan_pages,
    views,
    views_kinds,
)
from shop.intake.counter import ticket_new

app_name = "intake"
TICKET = "tickets/<str:number>"
urlpatterns = [
    path("counter/new/", ticket_new, name="ticket_new"),
    path("counter/new/draft/", draft_pages.draft, name="draft"),
    path("counter/new/draft/drop/", draft_pages.draft_drop, name="draft_drop"),
    path("counter/customers/", customer_pages.customer_offers, name="customer_offers"),
    path("counter/customers/<int:pk>/", customer_pages.customer, name="customer"),
    path(
        "counter/customers/<int:pk>/join/<int:other>/",
        customer_pages.customer_join,
        name="customer_join",
    ),
    path(
        "counter/customers/<int:pk>/part/<int:other>/",
        customer_pages.customer_part,
        name="customer_part",
    ),
    path("counter/outage/", outage_pages.packs, name="outage"),
    path("counter/outage/<int:pack_id>/", outage_pages.pack, name="outage_pack"),
    path(
        "counter/outage/<int:pack_id>/pack.pdf",
        outage_pages.pack_pdf,
        name="outage_pdf",
    ),
    path(
        "counter/outage/slips/<str:paper_number>/",
        outage_pages.slip,
        name="paper_slip",
    ),
    path(
        "counter/outage/slips/<str:paper_number>/restore/",
        outage_pages.slip_restore,
        name="paper_slip_restore",
    ),
    path("counter/places/", place_pages.places, name="places"),
    path("counter/places/labels.pdf", place_pages.labels, name="place_labels"),
    path("counter/places/<int:place_id>/", place_pages.place, name="place"),
    path(
        "counter/places/<int:place_id>/label.pdf",
        place_pages.label,
        name="place_label",
    ),
    path(
        "counter/places/<int:place_id>/print/",
        place_pages.label_print,
        name="place_label_print",
    ),
    path("counter/places/<int:place_id>/end/", place_pages.end, name="place_end"),
    path("scan/", scan_pages.scan, name="scan"),
    path("scan/put/", scan_pages.put, name="scan_put"),
    path("scan/slip/", scan_pages.slip_code, name="scan_slip"),
    path("scan/undo/", scan_pages.undo, name="scan_undo"),
    path(f"{TICKET}/job-slip.pdf", paper_pages.job_slip, name="job_slip"),
    path(f"{TICKET}/tags.pdf", paper_pages.tags_pdf, name="tags"),
    path(f"{TICKET}/things/<int:tag>/tag.pdf", paper_pages.tag_pdf, name="tag"),
    path(f"{TICKET}/print/", paper_pages.papers_print, name="papers_print"),
    path(f"{TICKET}/device/", views.device, name="device"),
    path(f"{TICKET}/story/", views.story, name="story"),
    path(f"{TICKET}/park/", views_kinds.park, name="park"),
    path(f"{TICKET}/answer/", views_kinds.answer, name="intake_answer"),
    path(f"{TICKET}/finish/", views_kinds.finish, name="finish"),
    path(f"{TICKET}/unpack/", views_kinds.unpack, name="unpack"),
    path(f"{TICKET}/warranty/", views_kinds.warranty, name="warranty"),
    path(f"{TICKET}/data-safe/", views_kinds.data_safe, name="data_safe"),
    path(f"{TICKET}/together/", views_kinds.together, name="together"),
    path(f"{TICKET}/unpark/", views.unpark, name="unpark"),
    path(f"{TICKET}/told/", views.told, name="told"),
    path(f"{TICKET}/promise/", views.promise, name="promise"),
    path(f"{TICKET}/outcome/", views.outcome, name="outcome"),
    path(f"{TICKET}/passcode/", passcode_views.passcode, name="passcode"),
    path(
        f"{TICKET}/passcode/show/", passcode_views.passcode_show, name="passcode_show"
    ),
    path(
        f"{TICKET}/passcode/erase/",
        passcode_views.passcode_erase,
        name="passcode_erase",
    ),
    path(f"{TICKET}/things/<int:tag>/place/", views.thing_move, name="thing_move"),
    path(f"{TICKET}/things/<int:tag>/back/", views.thing_return, name="thing_return"),
]
