"""A shop's first day: served from an empty folder, stopped at its end.

A backup is made of what happened, and is whole.
"""

import re
from pathlib import Path
from typing import Any

import pytest

from shop.keeping import at_close, backups, recovery
from shop.records import services as records
from shop.records.kinds import Kind
from tests.factories import PersonFactory, ShopFactory
from tests.serving import manage, served

SOMETHING = """
from shop.records import services as records
from shop.records.kinds import Kind
from tests.factories import ShopFactory
shop = ShopFactory.create(name="Hollin Lane")
records.event_record(Kind.SHOP_OPENED, shop_id=shop.pk, by_id=None)
"""


@pytest.mark.one_database
def test_stopped_for_the_day_it_leaves_a_backup_that_opens(tmp_path: Path) -> None:
    """The real server, stopped by SIGTERM; the file is opened by the command.

    Alone in the whole suite it begins with nothing and makes its tables itself.
    """
    with served(tmp_path / "data", has_jobs=True) as state:
        assert (state.data / "coldrail.sqlite3").stat().st_mode & 0o077 == 0
        told = manage(state.data, "shell", given=SOMETHING, COLDRAIL_SERVED="lan")
        assert told.returncode == 0, told.stderr
        assert state.get("/sign-in/").status == 200
        before = set((state.data / "backups").glob("*.backup"))
        assert state.stop(seconds=240) == 0, state.log.read_text()
        said = state.log.read_text()
        assert "A backup at close" in said
        file = Path(re.findall(r"(/\S+\.backup): whole\.", said)[-1])
        assert set(file.parent.glob("*.backup")) - before == {file}
        checked = manage(state.data, "backup", "--check", str(file))
        assert checked.returncode == 0, checked.stderr
        assert ": whole. sqlite of " in checked.stdout


@pytest.mark.django_db(transaction=True)
def test_where_nothing_happened_since_none_is_made(
    tmp_path: Path, settings: Any
) -> None:
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, str(tmp_path / "files")
    settings.BACKUP_KEYS = tmp_path / "backup_keys"
    settings.FIELD_KEYS_FILE = tmp_path / "field_keys"
    settings.BACKUP_DIR, settings.BACKUP_KEY = "", ""
    assert not at_close.is_due()  # no shop
    shop = ShopFactory.create()
    by = PersonFactory.create(shop=shop, roles=["owner"])
    recovery.key_make(is_told=True)
    backups.backup_make()
    assert not at_close.is_due()
    records.event_record(Kind.TEXTS_READ, shop_id=shop.pk, by_id=by.pk)
    assert at_close.is_due()
