"""The photos of a proof sheet: of the board alone, chosen by the technician."""

from io import BytesIO

from django.core.files.storage import default_storage
from PIL import Image

from shop.intake.models import Ticket
from shop.photos import queries as photos
from shop.photos.models import Photo, Side

MOST = 4
# Never how a device came in, or its case: papers leave the house.
OF_THE_BOARD = frozenset(
    {Side.BOARD_TOP, Side.BOARD_BOTTOM, Side.BEFORE, Side.AFTER, Side.MICROSCOPE}
)
EDGE = 1000  # pixels: 300 dots an inch on 80 mm of paper
QUALITY = 82
SCHEME = "photo:"


def fit_for_sheet(ticket: Ticket) -> list[Photo]:
    """The ticket's photos of its board, in the order of their coming."""
    return [one for one in photos.of_ticket(ticket) if one.side in OF_THE_BOARD]


def chosen(ticket: Ticket) -> list[Photo]:
    """Those that the sheet shows, before the repair first; what was erased is gone."""
    on = dict(ticket.proof_photos.values_list("photo_id", "is_on"))
    kept = [one for one in fit_for_sheet(ticket) if on.get(one.pk)]
    return sorted(kept, key=lambda one: one.side == Side.AFTER)[:MOST]


def url_of(photo: Photo) -> str:
    """How a paper names it; ``shop.pdf`` serves what is handed over by that name."""
    return f"{SCHEME}{photo.name}"


def for_paper(photo: Photo) -> bytes:
    """The picture as large as the sheet shows it: our own JPEG, made anew by
    ``shop.photos`` when it came in; the same bytes each time."""
    with default_storage.open(photo.full_file) as opened, Image.open(opened) as full:
        full.draft("RGB", (EDGE, EDGE))
        small = full.convert("RGB")
    small.thumbnail((EDGE, EDGE))
    out = BytesIO()
    small.save(out, format="JPEG", quality=QUALITY)
    return out.getvalue()
