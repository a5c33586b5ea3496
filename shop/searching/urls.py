from django.urls import path

from shop.searching import views

app_name = "searching"
urlpatterns = [
    path("find/", views.find, name="find"),
    path("find/live/", views.live, name="live"),
]
