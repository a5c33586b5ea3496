from django.urls import path

from shop.opening import settings_views, views

app_name = "opening"
urlpatterns = [
    path("", views.set_up, name="set_up"),
    path("first-day/", views.first_day, name="first_day"),
    path("first-day/done/", views.step_done, name="step_done"),
    path("settings/", settings_views.settings, name="settings"),
    path("settings/shop/", settings_views.address, name="address"),
    path("settings/hours/", settings_views.hours, name="hours"),
    path("settings/rates/", settings_views.rates, name="rates"),
    path("settings/texts/", settings_views.texts, name="texts"),
    path("settings/texts/read/", settings_views.texts_read, name="texts_read"),
]
