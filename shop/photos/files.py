"""The two files of a photo, in Django's default storage, and only there."""

import secrets
from datetime import datetime

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from shop.photos.aside import Remade
from shop.photos.models import Photo

FOLDER = "photos"


def random_name() -> str:
    """128 bits: nobody guesses one."""
    return secrets.token_hex(16)


def write(photo: Photo, remade: Remade) -> None:
    """Both files, or neither."""
    try:
        default_storage.save(photo.full_file, ContentFile(remade.full))
        default_storage.save(photo.small_file, ContentFile(remade.small))
    except BaseException:
        remove(photo)
        raise


def remove(photo: Photo) -> None:
    """Gone from the storage; that they were gone already is as good."""
    for name in (photo.full_file, photo.small_file):
        default_storage.delete(name)


def older_than(moment: datetime) -> list[str]:
    """Every file of a photo that lay there before that moment."""
    try:
        folders, _files = default_storage.listdir(FOLDER)
    except FileNotFoundError:
        return []
    names = [
        f"{FOLDER}/{folder}/{name}"
        for folder in folders
        for name in default_storage.listdir(f"{FOLDER}/{folder}")[1]
    ]
    return [name for name in names if default_storage.get_modified_time(name) < moment]
