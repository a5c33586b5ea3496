"""Sealed columns: what lies there, what opens, what turning the keys over leaves."""

import json
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from cryptography.fernet import Fernet
from django.core.management import CommandError, call_command

from shop.intake.models import Ticket
from shop.intake.passcode_models import Passcode
from shop.intake.passcodes import passcode_keep
from shop.people.models import Person
from shop.records import field_keys, rotating, sealed
from tests.factories import TicketFactory


@pytest.fixture(autouse=True)
def own_keys(settings: Any, tmp_path: Path) -> Path:
    settings.FIELD_KEYS = []
    settings.FIELD_KEYS_FILE = tmp_path / "field_keys"
    return tmp_path / "field_keys"


@pytest.fixture
def rows(tomas: Person) -> list[Passcode]:
    return [kept(tomas, f"word {n}") for n in range(5)]


def kept(by: Person, text: str) -> Passcode:
    ticket: Ticket = TicketFactory.create(by=by)
    return passcode_keep(ticket=ticket, by=by, kind="password", text=text)


def texts() -> list[str]:
    rows = Passcode.objects.order_by("pk")
    return [sealed.unseal(row, "sealed") for row in rows]


def rotate(*options: str) -> str:
    said = StringIO()
    call_command("rotate_keys", *options, stdout=said)
    return said.getvalue()


def test_the_database_has_ciphertext_of_one_length(rows: list[Passcode]) -> None:
    kept(rows[0].kept_by, "x" * 100)
    lying = [row.sealed for row in Passcode.objects.all()]
    assert len({len(text) for text in lying}) == 1
    assert not any("word" in text for text in lying)
    assert texts() == [f"word {n}" for n in range(5)] + ["x" * 100]


def test_a_ciphertext_opens_on_its_own_row_alone(rows: list[Passcode]) -> None:
    mine, other = rows[:2]
    other.sealed = mine.sealed
    with pytest.raises(sealed.CannotOpen):
        sealed.unseal(other, "sealed")
    assert not sealed.can_open(other, "sealed")
    assert sealed.can_open(mine, "sealed")


def test_a_ciphertext_of_another_column_does_not_open(rows: list[Passcode]) -> None:
    mark = ["intake.Passcode", "another", str(rows[0].ticket_id), "word"]
    rows[0].sealed = sealed.keys().encrypt(json.dumps(mark).encode()).decode()
    with pytest.raises(sealed.CannotOpen):
        sealed.unseal(rows[0], "sealed")


def test_one_flipped_bit_does_not_open(rows: list[Passcode]) -> None:
    """ASVS 5.0.0, 11.3.3: encryption that is authenticated."""
    text = rows[0].sealed
    for at in (12, len(text) // 2, len(text) - 8):
        rows[0].sealed = text[:at] + ("A" if text[at] != "A" else "B") + text[at + 1 :]
        assert not sealed.can_open(rows[0], "sealed")


def test_the_keys_lie_in_a_file_for_its_owner_alone(own_keys: Path) -> None:
    first = field_keys.kept()
    assert len(first) == 1
    assert own_keys.stat().st_mode & 0o777 == 0o600
    assert field_keys.kept() == first
    assert list(own_keys.parent.glob(".field_keys*")) == []


def test_the_environment_goes_before_the_file(settings: Any, own_keys: Path) -> None:
    settings.FIELD_KEYS = [field_keys.new(), field_keys.new()]
    assert field_keys.kept() == settings.FIELD_KEYS
    assert not own_keys.exists()


def test_every_row_comes_under_the_new_key(rows: list[Passcode]) -> None:
    old = field_keys.kept()
    said = rotate("--drop-old")
    assert "5 under the newest key (5 turned now), 0 under an older" in said
    assert field_keys.kept() != old
    assert len(field_keys.kept()) == 1
    assert texts() == [f"word {n}" for n in range(5)]
    newest = Fernet(field_keys.kept()[0])
    assert all(newest.decrypt(row.sealed) for row in Passcode.objects.all())


def test_a_rotation_killed_in_the_middle_goes_on(
    rows: list[Passcode], monkeypatch: pytest.MonkeyPatch
) -> None:
    """After each number of rows in turn; the batch is smaller than the table."""
    monkeypatch.setattr(rotating, "BATCH", 2)
    for survived in range(5):
        monkeypatch.setattr(rotating, "_turn", dying(rotating._turn, survived))
        with pytest.raises(KeyboardInterrupt):
            rotate()
        monkeypatch.undo()
        monkeypatch.setattr(rotating, "BATCH", 2)
        before = field_keys.kept()
        assert texts() == [f"word {n}" for n in range(5)]
        said = rotate()
        assert "Going on" in said
        assert f"({5 - survived} turned now)" in said
        assert field_keys.kept() == before
    rotate("--drop-old")
    assert texts() == [f"word {n}" for n in range(5)]


def dying(turn: Any, survived: int) -> Any:
    left: Iterator[int] = iter(range(survived))

    def turn_or_die(*args: Any) -> int:
        if next(left, None) is None:
            raise KeyboardInterrupt
        done: int = turn(*args)
        return done

    return turn_or_die


def test_a_row_erased_while_turning_stays_erased(
    rows: list[Passcode], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The row changes between being read and being written."""
    real = rotating.opens

    def erased_meanwhile(keys: list[str], text: str) -> bool:
        Passcode.objects.filter(pk=rows[2].pk).update(sealed="")
        return real(keys, text)

    monkeypatch.setattr(rotating, "opens", erased_meanwhile)
    said = rotate()
    assert "4 under the newest key (4 turned now)" in said
    assert "1 empty" in said
    assert texts()[2] == ""


def test_the_old_key_stays_while_a_row_needs_it(
    rows: list[Passcode], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rotating, "_turn", lambda *_row: 0)
    with pytest.raises(CommandError, match="5 rows"):
        rotate("--drop-old")
    assert len(field_keys.kept()) == 2


def test_a_lost_key_is_counted_and_stops_nothing(
    rows: list[Passcode], own_keys: Path
) -> None:
    own_keys.unlink()
    kept(rows[0].kept_by, "asked again")
    said = rotate("--drop-old")
    assert "1 under the newest key (1 turned now), 0 under an older, 5 that" in said
    assert sealed.unseal(Passcode.objects.latest("pk"), "sealed") == "asked again"


def test_keys_from_outside_are_turned_over_but_not_touched(
    rows: list[Passcode], settings: Any
) -> None:
    settings.FIELD_KEYS = [field_keys.new(), *field_keys.kept()]
    assert "(5 turned now)" in rotate()
    with pytest.raises(CommandError, match="yourself"):
        rotate("--drop-old")
    settings.FIELD_KEYS = settings.FIELD_KEYS[:1]
    assert texts() == [f"word {n}" for n in range(5)]


def test_every_sealed_column_is_found() -> None:
    found = [rotating.name_of(*one) for one in sealed.sealed_fields()]
    assert "intake.Passcode.sealed" in found
