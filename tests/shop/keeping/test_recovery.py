"""The recovery key: told once, typed back, never others' to read."""

from pathlib import Path
from typing import Any

import pytest

from shop.keeping import recovery
from shop.keeping.recovery import Key, secret_of
from shop.records.errors import Refused


def test_a_key_is_typed_back_as_people_type() -> None:
    key = Key(bytes(range(20)), is_told=False)
    told = str(key)
    assert len(told.split("-")) == 9
    for typed in (told, told.lower(), told.replace("-", " "), told.replace("B", "8")):
        assert secret_of(typed) == key.secret


def test_every_single_slip_is_caught() -> None:
    told = str(Key(bytes(range(20)), is_told=False))
    for place, letter in enumerate(told):
        if letter != "-":
            other = "A" if letter != "A" else "C"
            with pytest.raises(Refused, match="no recovery key"):
                secret_of(told[:place] + other + told[place + 1 :])


@pytest.mark.parametrize("typed", ["", "----", "ABCD", "é" * 36, "A" * 36, "=" * 36])
def test_what_is_no_key_is_refused(typed: str) -> None:
    with pytest.raises(Refused):
        secret_of(typed)


def test_keys_are_kept_for_their_owner_alone_and_old_ones_stay(data: Path) -> None:
    first = recovery.key_make(is_told=False)
    second = recovery.key_make(is_told=False)
    assert recovery.known() == [first, second]
    assert first.secret != second.secret
    assert recovery.file().stat().st_mode & 0o777 == 0o600
    recovery.all_told()
    assert [key.is_told for key in recovery.known()] == [True, True]


def test_the_environments_key_is_the_one_of_all_machines(
    data: Path, settings: Any
) -> None:
    own = recovery.key_make(is_told=True)
    settings.BACKUP_KEY = str(Key(bytes(20), is_told=True))
    assert [key.secret for key in recovery.known()] == [own.secret, bytes(20)]
    with pytest.raises(Refused, match="COLDRAIL_BACKUP_KEY"):
        recovery.key_make(is_told=False)
