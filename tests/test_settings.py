"""Settings as they act: the live connection, the deployment check, the demo."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client, RequestFactory, override_settings

from shop.people.models import Shop
from tests.serving import settings_in

ROOT = Path(__file__).resolve().parent.parent


def pragma(name: str) -> object:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {name}")
        row = cursor.fetchone()
    return row[0] if row else None


@pytest.mark.django_db
def test_sqlite_waits_syncs_and_checks_foreign_keys() -> None:
    if connection.vendor != "sqlite":
        assert connection.vendor == "postgresql"
        return
    assert pragma("foreign_keys") == 1
    assert pragma("synchronous") == 2
    assert pragma("busy_timeout") == 20000
    assert pragma("mmap_size") in {0, None}
    assert getattr(connection, "transaction_mode", None) == "IMMEDIATE"


def django(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """A management command in a process of its own, production by default."""
    clean = {k: v for k, v in os.environ.items() if not k.startswith("COLDRAIL")}
    for name in ("DATABASE_URL", "SECRET_KEY", "PYTEST_CURRENT_TEST"):
        clean.pop(name, None)
    return subprocess.run(
        [sys.executable, "-m", "django", *arguments, "--settings", "shop.settings"],
        cwd=ROOT,
        env=clean | environment,
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_deployment_check_finds_nothing(tmp_path: Path) -> None:
    done = django(
        "check",
        "--deploy",
        "--fail-level",
        "WARNING",
        COLDRAIL_DATA=str(tmp_path),
        ALLOWED_HOSTS="shop.example",
    )
    assert done.returncode == 0, done.stderr
    assert "no issues (0 silenced)" in done.stdout


def test_an_unknown_profile_is_refused(tmp_path: Path) -> None:
    done = django("check", COLDRAIL_PROFILE="holiday", COLDRAIL_DATA=str(tmp_path))
    assert done.returncode != 0
    assert "must be production, demo or test" in done.stderr


def test_the_secret_key_is_made_once_and_kept_from_others(tmp_path: Path) -> None:
    first, second = (settings_in(tmp_path, "SECRET_KEY") for _run in range(2))
    kept = tmp_path / "secret_key"
    assert kept.stat().st_mode & 0o077 == 0
    assert first == second == {"SECRET_KEY": kept.read_text()}
    assert len(kept.read_text()) >= 50


@override_settings(IS_DEMO=True)
def test_the_demo_answers_this_machine_only(client: Client) -> None:
    assert client.get("/sign-in/", REMOTE_ADDR="192.0.2.7").status_code == 403


@pytest.mark.django_db
@override_settings(IS_DEMO=True)
def test_the_demo_says_that_it_is_one(client: Client, hollin_lane: Shop) -> None:
    page = client.get("/sign-in/").content.decode()
    assert "Demo" in page


@override_settings(IS_DEMO=True)
def test_the_demo_refuses_other_hosts() -> None:
    request = RequestFactory().get("/sign-in/", headers={"host": "shop.example"})
    with pytest.raises(Exception, match="Invalid HTTP_HOST"):
        request.get_host()


@pytest.mark.django_db
def test_pages_carry_a_policy_without_inline_script_or_style(client: Client) -> None:
    policy = client.get("/sign-in/")["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy
    assert "http" not in policy


def test_production_is_the_default(tmp_path: Path) -> None:
    assert settings_in(tmp_path, "PROFILE") == {"PROFILE": "production"}
    assert settings.PROFILE == "test"
