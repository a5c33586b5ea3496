"""Reads of photos that views and other rooms share."""

from dataclasses import dataclass

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from shop.intake.models import Ticket
from shop.people.models import Shop
from shop.photos.models import Photo


def _photos() -> QuerySet[Photo]:
    standing = Photo.objects.filter(erased_at=None).order_by("id")
    return standing.select_related("ticket__customer", "ticket__device", "by", "note")


def photo_get(shop: Shop, photo_id: int) -> Photo:
    """A standing photo of this shop, or 404."""
    return get_object_or_404(_photos(), shop=shop, pk=photo_id)


def of_ticket(ticket: Ticket) -> list[Photo]:
    """Every photo of a ticket that was not erased, in the order of their coming."""
    return list(_photos().filter(ticket=ticket))


def of_board(shop: Shop, board_id: int) -> list[Photo]:
    return list(_photos().filter(shop=shop, board_id=board_id))


def version_of(photos: list[Photo]) -> str:
    """Another text when a photo came, went, or was said to show something else."""
    newest = photos[-1].pk if photos else 0
    return f"{newest}-{len(photos)}"


@dataclass(frozen=True)
class Turned:
    """A photo among its neighbours."""

    place: int
    count: int
    previous: Photo | None
    next: Photo | None


def among(photo: Photo) -> Turned:
    """Where it stands among the photos of its ticket, or of its board without one."""
    photos = (
        of_ticket(photo.ticket)
        if photo.ticket is not None
        else of_board(photo.shop, photo.board_id or 0)
    )
    at = next(n for n, one in enumerate(photos) if one.pk == photo.pk)
    return Turned(
        place=at + 1,
        count=len(photos),
        previous=photos[at - 1] if at else None,
        next=photos[at + 1] if at + 1 < len(photos) else None,
    )
