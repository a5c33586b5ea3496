"""What the lists carry on is summed once before anybody looks."""

from django.utils import timezone

from shop.office.acting.lists import lists
from shop.people.models import Shop
from shop.records import warming


def listen() -> None:
    warming.before_serving(make_ready)


def make_ready() -> None:
    for shop in Shop.objects.all():
        lists(shop, timezone.now())
