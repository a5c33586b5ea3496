from django.urls import path

from shop.office import views

app_name = "office"
urlpatterns = [path("", views.review, name="review")]
