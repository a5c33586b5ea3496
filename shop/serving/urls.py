from django.urls import path

from shop.serving import health, views

app_name = "serving"
urlpatterns = [
    path("trust/", views.trust, name="trust"),
    path("trust/coldrail.crt", views.authority, {"form": "crt"}, name="authority_der"),
    path("trust/coldrail.pem", views.authority, {"form": "pem"}, name="authority_pem"),
    path(
        "trust/coldrail.mobileconfig",
        views.authority,
        {"form": "mobileconfig"},
        name="authority_profile",
    ),
    path("doctor/", views.doctor, name="doctor"),
    path("doctor/answer/", views.answer, name="answer"),
    path("healthz", health.alive, name="healthz"),
    path("readyz", health.ready, name="readyz"),
    path("sw.js", views.service_worker, name="service_worker"),
]
