"""The doctor: what a figure means, what is said of it, and that faults are found."""

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.utils import timezone

from shop.people.models import Person
from shop.records.models import Lease
from shop.searching import trigrams
from shop.serving import judging, keeping, looking, words
from shop.serving.certificates import Hosts
from shop.serving.judging import Finding, Level
from shop.serving.keeping import Place

NOW = dt.datetime(2026, 11, 26, 9, 0, tzinfo=dt.UTC)
HOUR = dt.timedelta(hours=1)
HOSTS = Hosts(("coldrail.local",), ())


@pytest.mark.parametrize(
    ("found", "code"),
    [
        (judging.of_disk(800_000_000), "disk.full"),
        (judging.of_disk(4_900_000_000), "disk.little"),
        (judging.of_disk(5_000_000_000), "disk.well"),
        (judging.of_jobs(None, NOW), "jobs.never"),
        (judging.of_jobs(NOW - HOUR, NOW), "jobs.gone"),
        (judging.of_jobs(NOW + HOUR, NOW), "jobs.well"),
        (judging.of_backup(None, NOW), "backup.never"),
        (judging.of_backup(NOW - 20 * HOUR, NOW), "backup.well"),
        (judging.of_backup(NOW - 26 * HOUR, NOW), "backup.well"),
        (judging.of_backup(NOW - 26 * HOUR - HOUR / 9, NOW), "backup.stale"),
        (judging.of_migrations(0), "migrations.well"),
        (judging.of_migrations(2), "migrations.missing"),
    ],
)
def test_what_a_figure_means(found: Finding, code: str) -> None:
    assert found.code == code


@pytest.mark.parametrize(
    ("days", "is_begun", "has_key", "code"),
    [
        (300, True, True, "certificate.well"),
        (20, True, True, "certificate.well"),
        (19, True, True, "certificate.not_renewed"),
        (300, True, False, "certificate.authority_lost"),
        (300, False, True, "certificate.not_yet"),
        (-1, True, True, "certificate.ended"),
        (-1, True, False, "certificate.ended"),
    ],
)
def test_what_a_certificates_end_means(
    days: int, is_begun: bool, has_key: bool, code: str
) -> None:
    found = judging.of_certificate(days, is_begun=is_begun, has_key=has_key)
    assert found.code == code


def test_every_finding_has_its_words_and_every_fault_its_advice() -> None:
    values = dict.fromkeys(("days", "hours", "minutes", "gb", "count", "host"), "7")
    for code in words.SAID:
        line = words.line_of(Finding(code, Level.FAULT, dict(values)))
        assert line.subject
        assert "%" not in line.said
    assert set(words.ADVICE) <= set(words.SAID)
    well = {code for code in words.SAID if code.endswith((".well", ".elsewhere"))}
    assert set(words.SAID) - well == set(words.ADVICE)


@pytest.mark.django_db
def test_a_certificate_that_has_ended_is_a_fault(settings: Any, tmp_path: Path) -> None:
    settings.TLS_DIR = tmp_path
    assert codes() == {"certificate.elsewhere"}
    long_ago = timezone.now() - dt.timedelta(days=420)
    keeping.keep(tmp_path, HOSTS, long_ago, shop="Hollin")
    assert codes() == {"certificate.ended", "host.well"}
    assert "host.unnamed" in codes("bench.local")
    keeping.keep(tmp_path, HOSTS, timezone.now(), shop="Hollin")
    assert codes() == {"certificate.well", "host.well"}
    Place(tmp_path).authority.unlink()
    assert "certificate.authority_lost" in codes()
    Place(tmp_path).leaf.write_bytes(b"nothing")
    assert codes() == {"certificate.lost"}


def codes(host: str = "coldrail.local") -> set[str]:
    return {found.code for found in looking.of_certificate(host)}


@pytest.mark.django_db
def test_a_server_clock_a_day_behind_is_a_fault(settings: Any, tmp_path: Path) -> None:
    settings.TLS_DIR = tmp_path
    ahead = timezone.now() + dt.timedelta(days=2)
    keeping.keep(tmp_path, HOSTS, ahead, shop="Hollin")
    assert "certificate.not_yet" in codes()


@pytest.mark.django_db
def test_the_command_says_all_and_ends_with_one(capsys: Any) -> None:
    with pytest.raises(CommandError, match="1 at fault"):
        call_command("doctor")
    said = capsys.readouterr().out
    assert "[x] Jobs" in said
    assert "Serve with its jobs" in said
    Lease.objects.create(name="jobs", holder="here", until=timezone.now() + HOUR)
    call_command("doctor")
    assert "[+] Jobs" in capsys.readouterr().out


@pytest.mark.django_db
def test_a_stranger_is_told_nothing_of_the_server(client: Client) -> None:
    page = client.get("/doctor/").content.decode()
    assert "This device" in page
    assert "server-head" not in page
    assert "GB free" not in page


@pytest.mark.django_db
def test_who_works_here_is_told_all(client: Client, ines: Person) -> None:
    client.force_login(ines)
    page = client.get("/doctor/").content.decode()
    assert "GB free" in page
    assert "No job process has ever run." in page


@pytest.mark.django_db
def test_the_answer_says_whether_the_cookie_came_back(client: Client) -> None:
    assert client.get("/doctor/answer/").json()["cookie"] is False
    client.get("/doctor/")
    told = client.get("/doctor/answer/").json()
    assert told["cookie"] is True
    assert abs(told["now"] - timezone.now().timestamp()) < 60
    assert set(told) == {"now", "cookie"}


def test_the_service_worker_is_for_the_whole_shop_and_puts_nothing_by(
    client: Client, db: None
) -> None:
    answer = client.get("/sw.js")
    assert answer["Content-Type"] == "text/javascript"
    assert answer["Cache-Control"] == "no-cache"
    assert b".put(" not in answer.content


@pytest.mark.django_db
def test_a_search_without_its_index_is_named() -> None:
    assert looking.of_search().code == "search.well"
    trigrams.drop(connection)
    found = looking.of_search()
    assert (found.code, found.level) == ("search.not", Level.SOON)
    assert "search_anew" in words.line_of(found).advice
