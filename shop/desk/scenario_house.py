"""How the demo shop works: its texts, hours, places and PINs."""

from collections.abc import Mapping
from typing import Any

from shop.desk.telling import Telling
from shop.intake import services as intake
from shop.people import house_services, message_texts, pins
from shop.people.house_services import Stretch
from shop.people.models import ShopText, TextsRead


def tell(telling: Telling, house: Mapping[str, Any]) -> None:
    """What of these a story says; texts were read when the shop began."""
    shop = telling.shop
    owner = next(iter(telling.people.values()))
    if "texts" in house:
        papers = {k: " ".join(text.split()) for k, text in house["texts"].items()}
        for kind, text in {**papers, **message_texts.ours("en")}.items():
            ShopText.objects.create(
                shop=shop,
                by=owner,
                kind=kind,
                language="en",
                text=text,
                made_at=telling.begun,
            )
        TextsRead.objects.create(shop=shop, by=owner, at=telling.begun)
    if "hours" in house:
        house_services.hours_keep(
            shop=shop,
            by=owner,
            version=shop.version,
            week=[Stretch(**one) for one in house["hours"]],
            closed=[],
        )
    for kind, names in house.get("places", {}).items():
        made = intake.places_make(shop=shop, by=owner, names=names, kind=kind)
        telling.places += [place.name for place in made if kind == "shelf"]
    for username, digits in house.get("pins", {}).items():
        pins.pin_set(person=telling.people[username], shop=shop, digits=digits)
