"""Signing in and out, one's own pages, the owner's of people and stations."""

from django.urls import path

from shop.people import (
    factors,
    managing,
    sign_in,
    station_pages,
    switch_later,
    switching,
    views,
)

app_name = "people"
OF_ONE = "people/<int:person_id>/"
urlpatterns = [
    path("sign-in/", sign_in.sign_in, name="sign_in"),
    path("sign-out/", sign_in.sign_out, name="sign_out"),
    path("sign-in/again/", sign_in.again, name="again"),
    path("sign-in/switch/", switching.switch, name="switch"),
    path("sign-in/switch/later/", switch_later.switch_later, name="switch_later"),
    path("sign-in/badge/", switching.badge, name="badge"),
    path("sign-in/here/", switching.here, name="here"),
    path("me/", views.own, name="own"),
    path("me/password/", factors.password, name="password"),
    path("me/pin/", factors.pin, name="pin"),
    path("me/factors/end/", factors.factor_end, name="factor_end"),
    path("people/", managing.people, name="people"),
    path("people/new/", managing.person_new, name="person_new"),
    path("people/badges/end/", managing.badge_end, name="badge_end"),
    path("people/stations/", station_pages.stations, name="stations"),
    path(
        "people/stations/<int:station_id>/end/",
        station_pages.station_end,
        name="station_end",
    ),
    path(OF_ONE, managing.person, name="person"),
    path(f"{OF_ONE}password/", managing.password_new, name="password_new"),
    path(f"{OF_ONE}factors/", managing.factors_reset, name="factors_reset"),
    path(f"{OF_ONE}badge/", managing.badge_new, name="badge_new"),
]
