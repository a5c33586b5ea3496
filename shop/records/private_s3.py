"""The same in an S3-compatible store; only loaded where the extra is installed."""

from typing import NoReturn

from storages.backends.s3 import S3Storage

from shop.records.private_files import NO_ADDRESS


class PrivateS3(S3Storage):  # type: ignore[misc]  # django-storages has no types
    """A bucket whose files get no address, not even a signed one for a while."""

    def url(self, *_args: object, **_options: object) -> NoReturn:
        raise ValueError(NO_ADDRESS)
