from django.urls import path

from shop.office import trail_views, views

app_name = "office"
urlpatterns = [
    path("", views.review, name="review"),
    path("trail/", trail_views.events, name="trail"),
]
