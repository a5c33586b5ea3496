"""One customer's data as a ZIP: a page to read, the same for machines, files.

``data.json`` (RFC 8259) holds every row, ``index.html`` says it in words. Beside them
lie the photos, the papers as they were issued and the signatures as drawings.
"""

import json
import zipfile
from collections.abc import Iterator
from datetime import datetime
from typing import IO, Any

from django.core.files.storage import default_storage
from django.core.serializers.json import DjangoJSONEncoder
from django.template.loader import render_to_string
from django.utils import timezone, translation

from shop.billing import papers
from shop.billing.models import Invoice, Quote
from shop.intake import signing
from shop.intake.counter_models import Signature
from shop.intake.models import Customer
from shop.intake.passcode_models import Passcode, ShownFor
from shop.people.models import Person
from shop.photos.models import Photo
from shop.records import services as records
from shop.records.kinds import Kind
from shop.rights.handing import Part, parts_of
from shop.rights.sales import sales_naming
from shop.rights.searched import naming
from shop.rights.whom import Whom, whom

PAGE, DATA = "index.html", "data.json"
FORMAT = 1
SIGNED = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">'
    '<path d="{path}" fill="none" stroke="#000" stroke-width="3"'
    ' stroke-linecap="round" stroke-linejoin="round"/></svg>\n'
)


def package_write(*, customer: Customer, by: Person | None, target: IO[bytes]) -> Whom:
    """Write the ZIP and record that it was handed out; returns whom it is about.

    In the customer's language and the shop's time.
    """
    about = whom(customer)
    shop, now = about.customer.shop, timezone.now()
    records.event_record(
        Kind.CUSTOMER_DATA_GIVEN,
        shop_id=shop.pk,
        by_id=by.pk if by else None,
        at=now,
        ids={"customer": about.customer.pk},
    )
    _tell_passcodes(about, by)
    with (
        translation.override(about.customer.language),
        timezone.override(shop.zone),
        zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive,
    ):
        parts = parts_of(about)
        files = [_put(archive, name, body) for name, body in _files(about)]
        archive.writestr(DATA, _data(about, parts, files, now))
        archive.writestr(PAGE, _page(about, parts, files, now))
    return about


def _tell_passcodes(about: Whom, by: Person | None) -> None:
    """A passcode that is handed out was looked at, like any other look."""
    for row in Passcode.objects.filter(ticket__in=about.ticket_ids).exclude(sealed=""):
        records.event_record(
            Kind.PASSCODE_SHOWN,
            shop_id=about.customer.shop_id,
            ticket_id=row.ticket_id,
            by_id=by.pk if by else None,
            codes={"reason": ShownFor.CUSTOMER_THERE.value},
        )


def file_name(customer: Customer) -> str:
    return f"customer-{customer.pk}.zip"


def _put(archive: zipfile.ZipFile, name: str, body: bytes) -> str:
    archive.writestr(name, body)
    return name


def _data(about: Whom, parts: list[Part], files: list[str], now: datetime) -> str:
    told = {
        "format": FORMAT,
        "made_at": now,
        "shop": about.customer.shop.name,
        "files": files,
        "tables": {
            part.name: [{"ticket": row.ticket, **row.data} for row in part.rows]
            for part in parts
        },
    }
    return json.dumps(told, cls=DjangoJSONEncoder, ensure_ascii=False, indent=1)


def _page(about: Whom, parts: list[Part], files: list[str], now: datetime) -> str:
    context: dict[str, Any] = {
        "customer": about.customer,
        "shop": about.customer.shop,
        "language": about.customer.language,
        "parts": parts,
        "pictures": [name for name in files if name.startswith("photos/")],
        "files": [name for name in files if not name.startswith("photos/")],
        "data": DATA,
        "now": now,
    }
    return render_to_string("rights/package.html", context)


def _files(about: Whom) -> Iterator[tuple[str, bytes]]:
    tickets = about.ticket_ids
    for photo in Photo.objects.filter(ticket__in=tickets, erased_at=None):
        if default_storage.exists(photo.full_file):
            with default_storage.open(photo.full_file) as file:
                yield f"photos/{photo.ticket}-{photo.pk}-{photo.side}.jpg", file.read()
    for invoice in _invoices(about):
        yield f"papers/{invoice.number}.pdf", papers.invoice_pdf(invoice)
    for quote in Quote.objects.filter(
        ticket__in=tickets, option__in=("", "A")
    ).order_by("pk"):
        yield (
            f"papers/{quote.ticket}-quote-{quote.version}.pdf",
            papers.quote_pdf(quote),
        )
    for signature in Signature.objects.filter(ticket__in=tickets):
        if path := signing.drawn_on(signature):
            drawn = SIGNED.format(path=path, width=signing.WIDTH, height=signing.HEIGHT)
            name = f"signatures/{signature.ticket}-{signature.about}.svg"
            yield name, drawn.encode()


def _invoices(about: Whom) -> Iterator[Invoice]:
    """Of their tickets, of their account, and of sales that name them."""
    yield from about.papers.select_related("shop")
    yield from sales_naming(about.customer.shop, naming(about.rows))
