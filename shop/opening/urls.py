from django.urls import path

from shop.opening import (
    import_views,
    limits_views,
    rates_views,
    settings_views,
    views,
)

app_name = "opening"
RUN = "imports/<int:run_id>"
urlpatterns = [
    path("", views.set_up, name="set_up"),
    path("first-day/", views.first_day, name="first_day"),
    path("first-day/done/", views.step_done, name="step_done"),
    path("settings/", settings_views.settings, name="settings"),
    path("settings/shop/", settings_views.address, name="address"),
    path("settings/hours/", settings_views.hours, name="hours"),
    path("settings/rates/", rates_views.rates, name="rates"),
    path(
        "settings/rates/<int:terms_id>/withdraw/",
        rates_views.rates_withdraw,
        name="rates_withdraw",
    ),
    path("settings/limits/", limits_views.limits, name="limits"),
    path("settings/numbers/", limits_views.numbers, name="numbers"),
    path("settings/texts/", settings_views.texts, name="texts"),
    path("settings/texts/read/", settings_views.texts_read, name="texts_read"),
    path("imports/", import_views.imports, name="imports"),
    path(f"{RUN}/", import_views.import_run, name="import_run"),
    path(f"{RUN}/read/", import_views.import_read, name="import_read"),
    path(f"{RUN}/check/", import_views.import_check, name="import_check"),
    path(f"{RUN}/do/", import_views.import_do, name="import_do"),
    path(f"{RUN}/undo/", import_views.import_undo, name="import_undo"),
    path(f"{RUN}/left-out.csv", import_views.import_left_out, name="import_left_out"),
]
