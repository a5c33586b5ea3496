"""The shop's files: private wherever they lie."""

from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage, storages
from django.utils.module_loading import import_string

from shop import storage
from shop.storage import files_setting

BUCKET = "s3://shop-files/hollin?endpoint=https://store.example&region=eu-1"


@pytest.fixture
def with_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(storage, "find_spec", lambda _name: object())


def options(told: str) -> dict[str, Any]:
    found = files_setting(told)["OPTIONS"]
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize(
    ("told", "folder"),
    [("", None), ("/srv/files", "/srv/files"), ("file:///srv/f", "/srv/f")],
)
def test_a_folder_is_its_owners_alone(told: str, folder: str | None) -> None:
    assert options(told)["location"] == folder


def test_what_is_kept_has_no_address_and_is_no_others_to_read(
    settings: Any, tmp_path: Path
) -> None:
    settings.STORAGES = settings.STORAGES | {
        "default": files_setting(str(tmp_path / "files"))
    }
    kept = storages["default"]
    name = kept.save("photos/one.jpg", ContentFile(b"light"))
    file = Path(kept.path(name))
    assert file.stat().st_mode & 0o777 == 0o600
    assert file.parent.stat().st_mode & 0o777 == 0o700
    with pytest.raises(ValueError, match="no public address"):
        kept.url(name)


def test_the_default_storage_is_the_private_one() -> None:
    with pytest.raises(ValueError, match="no public address"):
        default_storage.url("photos/one.jpg")


def test_a_bucket_is_private(with_library: None) -> None:
    assert options(BUCKET) == {
        "bucket_name": "shop-files",
        "location": "hollin",
        "endpoint_url": "https://store.example",
        "region_name": "eu-1",
        "addressing_style": "path",
        "signature_version": "s3v4",
        "default_acl": None,
        "custom_domain": None,
        "querystring_auth": True,
        "file_overwrite": False,
    }
    assert files_setting(BUCKET)["BACKEND"] == ("shop.records.private_s3.PrivateS3")


def test_a_bucket_hands_out_no_address(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a stand-in for the extra, which tests don't install."""
    import sys
    from types import ModuleType

    stand_in = ModuleType("storages.backends.s3")
    stand_in.S3Storage = type("S3Storage", (), {})  # type: ignore[attr-defined]
    for name in ("storages", "storages.backends"):
        monkeypatch.setitem(sys.modules, name, ModuleType(name))
    monkeypatch.setitem(sys.modules, "storages.backends.s3", stand_in)
    monkeypatch.delitem(sys.modules, "shop.records.private_s3", raising=False)
    kind = import_string("shop.records.private_s3.PrivateS3")
    with pytest.raises(ValueError, match="no public address"):
        kind().url("photos/one.jpg", expire=10)


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ("s3://", "its keys are in"),
        ("s3://key:secret@bucket", "its keys are in"),
        ("s3://bucket?endpoint=http://store.example", "must be https"),
        ("s3://bucket?acl=public-read", "what is acl"),
        ("ftp://bucket", "no place for files"),
        ("files", "from the root on"),
    ],
)
def test_what_is_wrong_is_said_plainly(
    with_library: None, told: str, says: str
) -> None:
    with pytest.raises(ImproperlyConfigured, match=says):
        files_setting(told)


def test_without_the_extra_the_line_to_type_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(storage, "find_spec", lambda _name: None)
    with pytest.raises(ImproperlyConfigured, match=r"pip install 'django-storages\[s3"):
        files_setting(BUCKET)
