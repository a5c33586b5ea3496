from django.apps import AppConfig


class PhotosConfig(AppConfig):
    name = "shop.photos"
    label = "photos"
