"""The one page by which anybody puts the shop back onto an empty machine."""

from datetime import datetime

from django.conf import settings
from django.db import connection
from django.template.loader import render_to_string

from shop import pdf
from shop.keeping import contents, copies
from shop.keeping.recovery import Key
from shop.people.models import Shop


def html_of(shop: Shop, now: datetime, key: Key | None) -> str:
    groups = str(key).split("-") if key else []
    context = {
        "shop": shop,
        "stamp": now,
        "paper_size": shop.paper_size,
        "key": [groups[:5], groups[5:]] if groups else [],
        "blanks": range(9),
        "version": contents.version(),
        "places": [one.folder for one in copies.places()],
        "is_postgresql": connection.vendor == "postgresql",
        "address": settings.SHOP_ADDRESS,
    }
    return render_to_string("papers/restore_sheet.html", context)


def sheet(shop: Shop, now: datetime, *, key: Key | None = None) -> bytes:
    return pdf.render(html_of(shop, now, key), stamp=now)
