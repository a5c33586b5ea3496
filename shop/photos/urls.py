from django.urls import path

from shop.photos import phone_views, views

app_name = "photos"
TICKET = "tickets/<str:number>/photos"
PHOTO = "photos/<int:photo_id>"
urlpatterns = [
    path(f"{TICKET}/", views.ticket, name="ticket"),
    path(f"{TICKET}/strip/", views.strip, name="strip"),
    path(f"{TICKET}/link/", views.link_make, name="link_make"),
    path(f"{TICKET}/link/end/", views.link_end, name="link_end"),
    path("photos/keeping/", views.keeping, name="keeping"),
    path(f"{PHOTO}/", views.photo, name="photo"),
    path(f"{PHOTO}/erase/", views.photo_erase, name="photo_erase"),
    path(f"{PHOTO}/full.jpg", views.full, name="full"),
    path(f"{PHOTO}/small.jpg", views.small, name="small"),
    path("add-photos/<str:token>/", phone_views.phone, name="phone"),
]
