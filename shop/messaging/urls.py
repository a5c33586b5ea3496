from django.urls import path

from shop.messaging import views

app_name = "messaging"
TICKET = "tickets/<str:number>/messages"
urlpatterns = [
    path(f"{TICKET}/<int:message_id>/again/", views.again, name="again"),
    path(f"{TICKET}/<int:message_id>/told/", views.told, name="told"),
    path(f"{TICKET}/invoice/", views.invoice, name="invoice"),
]
