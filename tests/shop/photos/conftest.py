"""Photos lie in a folder of each test's own; senders of them."""

import uuid
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

Send = Callable[..., Any]


@pytest.fixture(autouse=True)
def own_folder(photos_folder: Path) -> Path:
    return photos_folder


def picture(colour: tuple[int, int, int] = (0, 80, 75), kind: str = "JPEG") -> bytes:
    file = BytesIO()
    Image.new("RGB", (64, 48), colour).save(file, kind)
    return file.getvalue()


def files_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


@pytest.fixture
def send() -> Send:
    """``send(client, url, bytes, ...)``: as a form sends photos."""

    def sent(client: Client, url: str, *photos: bytes, **more: Any) -> Any:
        accept = more.pop("accept", "text/html")
        name = more.pop("name", "a.jpg")
        form = {"side": "damage", "idempotency_key": str(uuid.uuid4())} | more
        form["photos"] = [SimpleUploadedFile(name, one) for one in photos]
        return client.post(url, form, headers={"Accept": accept})

    return sent
