from django.urls import path

from shop.keeping import views

app_name = "keeping"
urlpatterns = [
    path("", views.keeping, name="keeping"),
    path("now/", views.backup_ask, name="backup_ask"),
    path("sheet.pdf", views.sheet, name="sheet"),
    path("key/", views.key_print, name="key_print"),
    path("key/new/", views.key_new, name="key_new"),
]
