"""The pictures of board models in the default storage; they go with the backup."""

import secrets

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.http import HttpResponse

from diagnostics.models import BoardPicture
from shop.photos import serving
from shop.photos.aside import Remade, remake

EDGE = 2048  # pixels: sharp in a cut-out, and light enough for each check
KEPT_BY_BROWSERS = "private, max-age=604800, immutable"


def made_anew(sent: bytes) -> Remade:
    """The picture as it is kept; ``Refused`` where it is none."""
    return remake(sent, edge=EDGE)


def new_name() -> str:
    return secrets.token_hex(16)


def write(picture: BoardPicture, body: bytes) -> None:
    default_storage.save(picture.file, ContentFile(body))


def remove(picture: BoardPicture) -> None:
    default_storage.delete(picture.file)


def served(picture: BoardPicture) -> HttpResponse:
    """Nothing of a customer's is on it, and it never changes: browsers may keep it."""
    response = serving.jpeg(picture.file, f"board-{picture.pk}.jpg")
    response["Cache-Control"] = KEPT_BY_BROWSERS
    response.may_be_kept = True  # type: ignore[attr-defined]
    return response
