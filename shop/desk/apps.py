from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "shop.desk"
    label = "desk"
