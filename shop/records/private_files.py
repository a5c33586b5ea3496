"""Files that have no address: a view that knows who asks shows them."""

from typing import NoReturn

from django.core.files.storage import FileSystemStorage

NO_ADDRESS = "The shop's files have no public address; a view shows them."


class PrivateFolder(FileSystemStorage):
    """A folder that its owner alone reads."""

    def url(self, name: str | None) -> NoReturn:
        raise ValueError(NO_ADDRESS)
