"""How much of an upload is read: no file beyond the limit reaches memory or disk."""

from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadhandler import FileUploadHandler, SkipFile
from django.http import HttpRequest

from shop.photos import limits

TOO_LARGE = "coldrail.too_large"


class NotTooLarge(FileUploadHandler):
    """Refuse a body too long before reading it; let go of a file that grows too large.

    Goes before the handlers that keep files. How many were let go stands in the
    request's ``META``, for the page to say so.
    """

    def handle_raw_input(self, *args: Any, **kwargs: Any) -> None:
        content_length = args[2] if len(args) > 2 else kwargs["content_length"]
        if content_length > limits.MOST_BODY:
            raise RequestDataTooBig("The body is longer than any page sends.")

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        if start + len(raw_data) > limits.MOST_BYTES:
            assert self.request is not None, "Django gives every handler its request"
            self.request.META[TOO_LARGE] = too_large_in(self.request) + 1
            raise SkipFile
        return raw_data

    def file_complete(self, file_size: int) -> None:
        return None


def too_large_in(request: HttpRequest) -> int:
    """How many files of this request were let go; read after its files."""
    count: int = request.META.get(TOO_LARGE, 0)
    return count
