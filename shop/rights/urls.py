from django.urls import path

from shop.rights import sale_views, views

app_name = "rights"
CUSTOMER = "customers/<int:pk>"
urlpatterns = [
    path(f"{CUSTOMER}/", views.customer, name="customer"),
    path(f"{CUSTOMER}/data.zip", views.data, name="data"),
    path(f"{CUSTOMER}/erase/", views.erase, name="erase"),
    path("sales/", sale_views.sales, name="sales"),
    path("periods/", views.periods, name="periods"),
]
