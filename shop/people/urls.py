from django.urls import path

from shop.people import views

app_name = "people"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("sign-in/again/", views.again, name="again"),
    path("me/", views.own, name="own"),
]
