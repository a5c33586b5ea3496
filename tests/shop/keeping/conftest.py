"""A data folder of the test's own, with a recovery key in it."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from shop.keeping import recovery
from tests import machine, made_database
from tests.shop.keeping.servers import Postgres


@pytest.fixture
def data(settings: Any, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path
    settings.BACKUP_KEYS = tmp_path / "backup_keys"
    settings.FIELD_KEYS_FILE = tmp_path / "field_keys"
    settings.TLS_DIR = tmp_path / "tls"
    settings.BACKUP_DIR, settings.BACKUP_KEY = "", ""
    settings.MEDIA_ROOT = str(tmp_path / "files")
    return tmp_path


@pytest.fixture
def key(data: Path) -> recovery.Key:
    return recovery.key_make(is_told=True)


@pytest.fixture(scope="session")
def postgres(django_db_setup: None, made_folder: Path) -> Iterator[Postgres]:
    with machine.postgres() as server:
        yield Postgres(server, made_database.template(made_folder, server))
