"""Each room's pages, in reading order."""

from django.urls import include, path

handler403 = "shop.desk.views.not_allowed"
handler429 = "shop.people.sign_in.too_often"

urlpatterns = [
    path("", include("shop.serving.urls")),
    path("", include("shop.desk.urls")),
    path("", include("shop.searching.urls")),
    path("", include("shop.people.urls")),
    path("", include("shop.people.allauth_urls")),
    path("", include("shop.intake.urls")),
    path("", include("shop.photos.urls")),
    path("bench/", include("diagnostics.urls")),
    path("", include("shop.billing.urls")),
    path("", include("shop.messaging.urls")),
    path("printing/", include("shop.printing.urls")),
    path("office/", include("shop.office.urls")),
    path("books/", include("shop.books.urls")),
    path("opening/", include("shop.opening.urls")),
    path("keeping/", include("shop.keeping.urls")),
    path("rights/", include("shop.rights.urls")),
]
