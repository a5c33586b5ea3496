"""Where the shop's files lie: a folder, or an S3-compatible store. PURE but for
looking whether the store's library is there; the settings are made from it.

``COLDRAIL_FILES`` is empty (``MEDIA_ROOT``, ``files`` in the data folder), a folder, or
``s3://bucket/prefix?endpoint=https://store.example&region=eu-1``. The store's keys
come from the environment: ``AWS_ACCESS_KEY_ID`` and ``AWS_SECRET_ACCESS_KEY``.
"""

from importlib.util import find_spec
from pathlib import Path
from urllib.parse import SplitResult, parse_qsl, urlsplit

from django.core.exceptions import ImproperlyConfigured

LIBRARY = "storages"
NEEDED = "django-storages[s3]>=1.14.6"
LOOPBACK = {"127.0.0.1", "::1", "localhost"}
KNOWN = {"endpoint", "region"}
Setting = dict[str, object]


def files_setting(told: str) -> Setting:
    """Django's setting of the storage that keeps photos and other files."""
    url = urlsplit(told)
    if url.scheme == "s3":
        return s3_setting(url)
    if url.scheme not in {"", "file"}:
        raise ImproperlyConfigured(
            f"COLDRAIL_FILES starts with {url.scheme}:, which is no place for files; "
            "it is a folder, or s3://bucket?endpoint=https://..."
        )
    if told and not Path(url.path).is_absolute():
        raise ImproperlyConfigured("COLDRAIL_FILES is a folder from the root on.")
    return {
        "BACKEND": "shop.records.private_files.PrivateFolder",
        "OPTIONS": {
            "location": url.path or None,  # None: MEDIA_ROOT
            "file_permissions_mode": 0o600,
            "directory_permissions_mode": 0o700,
        },
    }


def s3_setting(url: SplitResult) -> Setting:
    """A private bucket. No access list is sent: many stores refuse one, and without
    it a file is as private as its bucket, which it is unless somebody opens it."""
    if find_spec(LIBRARY) is None:
        raise ImproperlyConfigured(
            "COLDRAIL_FILES names an S3 store, and the library for it is not "
            f"installed. Into the environment of Coldrail: pip install '{NEEDED}'"
        )
    options = dict(parse_qsl(url.query))
    if unknown := sorted(set(options) - KNOWN):
        raise ImproperlyConfigured(f"COLDRAIL_FILES: what is {', '.join(unknown)}?")
    if not url.hostname or url.username:
        raise ImproperlyConfigured(
            "COLDRAIL_FILES is s3://bucket; its keys are in AWS_ACCESS_KEY_ID and "
            "AWS_SECRET_ACCESS_KEY, not in the address."
        )
    endpoint = checked(options.get("endpoint"))
    return {
        "BACKEND": "shop.records.private_s3.PrivateS3",
        "OPTIONS": {
            "bucket_name": url.netloc,
            "location": url.path.strip("/"),
            "endpoint_url": endpoint,
            "region_name": options.get("region"),
            "addressing_style": "path" if endpoint else None,
            "signature_version": "s3v4",
            "default_acl": None,
            "custom_domain": None,
            "querystring_auth": True,
            "file_overwrite": False,
        },
    }


def checked(endpoint: str | None) -> str | None:
    """Photos of customers' machines don't travel in the clear."""
    if endpoint is None:
        return None
    url = urlsplit(endpoint)
    is_local = url.scheme == "http" and url.hostname in LOOPBACK
    if not (url.scheme == "https" or is_local):
        raise ImproperlyConfigured(
            f"COLDRAIL_FILES: the endpoint is {endpoint}; it must be https://..."
        )
    return endpoint
