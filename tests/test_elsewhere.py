"""Commands that fill a database never fill the one that a shop works with."""

import subprocess
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.core.management import CommandError
from django.db import connection

from shop.bootstrap import Stop
from tests import elsewhere, machine

SHOPS_OWN = "postgresql://hollin@db.example:5433/hollin_lane"
ON_A_SOCKET = "postgresql://postgres@%2Ftmp%2Fx/postgres"


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, str, str]]:
    """What the server would have been told."""
    said: list[tuple[str, str, str]] = []
    monkeypatch.setattr(elsewhere, "tell", lambda *words: said.append(words))
    return said


def test_a_new_database_stands_beside_the_shops_own(
    told: list[tuple[str, str, str]],
) -> None:
    with elsewhere.own_database(SHOPS_OWN) as url:
        made = urlsplit(url)
    assert made.netloc == urlsplit(SHOPS_OWN).netloc
    assert made.path.startswith("/coldrail_")
    name = made.path.removeprefix("/")
    assert [(what.split()[0], of) for _server, what, of in told] == [
        ("CREATE", name),
        ("DROP", name),
    ]


def test_it_is_dropped_when_the_command_fails_too(
    told: list[tuple[str, str, str]],
) -> None:
    def fail() -> None:
        with elsewhere.own_database(ON_A_SOCKET) as url:
            assert url.startswith("postgresql://postgres@%2Ftmp%2Fx/coldrail_")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert told[-1][1].startswith("DROP")


@pytest.mark.parametrize("url", [None, "postgresql:///coldrail_x"])
def test_the_command_sees_the_given_database_and_no_other(
    url: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: dict[str, str] = {}

    def run(command: Any, env: dict[str, str], **_more: Any) -> Any:
        seen.update(env)
        return subprocess.CompletedProcess(command, 3)

    monkeypatch.setenv("DATABASE_URL", SHOPS_OWN)
    monkeypatch.setattr(subprocess, "run", run)
    assert elsewhere.run(["measure", "--here"], url) is False
    assert seen.get("DATABASE_URL") == url
    assert seen["COLDRAIL_PROFILE"] == "test"


def test_what_was_left_out_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    monkeypatch.setattr(elsewhere, "run", lambda command, url: True)
    assert elsewhere.on_each_database(["drill"], "sqlite", said.append)
    assert said == ["Left out: postgresql (--database sqlite)"]


def test_what_the_machine_lacks_is_the_commands_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def lacks(needs_postgres: bool, needs_browser: bool) -> None:
        raise Stop("apt-get install postgresql")

    monkeypatch.setattr(machine, "equip", lacks)
    with pytest.raises(CommandError, match="apt-get install postgresql"):
        elsewhere.on_each_database(["drill"], "both", print)


@pytest.mark.django_db
def test_a_database_with_tables_in_it_is_left_alone() -> None:
    before = connection.introspection.table_names()
    with pytest.raises(CommandError, match="nothing was done"):
        elsewhere.into_empty_database()
    assert connection.introspection.table_names() == before
