"""What the settings make of each way in: loopback, our own front, a proxy, silence."""

from pathlib import Path
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory, override_settings

from shop.serving.certificates import Hosts
from shop.serving.middleware import address_behind_proxy
from shop.serving.plan import Plan
from shop.wsgi import over_tls
from tests.serving import manage, settings_in

NAMES = (
    "ALLOWED_HOSTS SECURE_SSL_REDIRECT SECURE_HSTS_SECONDS SESSION_COOKIE_SECURE "
    "SECURE_HSTS_INCLUDE_SUBDOMAINS SECURE_HSTS_PRELOAD CSRF_COOKIE_SECURE TRUST_PROXY "
    "STATION_COOKIE"
).split()


def settings_with(folder: Path, **environment: str) -> dict[str, Any]:
    return settings_in(folder, *NAMES, **environment)


def test_silence_is_strict(tmp_path: Path) -> None:
    told = settings_with(tmp_path / "data", ALLOWED_HOSTS="shop.example")
    assert told["ALLOWED_HOSTS"] == ["shop.example"]
    assert told["SECURE_SSL_REDIRECT"]
    assert told["SESSION_COOKIE_SECURE"]
    assert told["CSRF_COOKIE_SECURE"]
    assert told["SECURE_HSTS_SECONDS"] >= 31536000
    assert told["SECURE_HSTS_INCLUDE_SUBDOMAINS"]
    assert not told["TRUST_PROXY"]


def test_loopback_is_for_this_machine_alone(tmp_path: Path) -> None:
    told = settings_with(
        tmp_path / "data", COLDRAIL_SERVED="loopback", ALLOWED_HOSTS="shop.example"
    )
    assert told["ALLOWED_HOSTS"] == ["127.0.0.1", "localhost", "[::1]"]
    assert not told["SECURE_SSL_REDIRECT"]
    assert not told["SESSION_COOKIE_SECURE"]
    assert told["STATION_COOKIE"] == "coldrail-station"


def test_the_lan_is_strict_but_makes_no_promise_for_other_names(
    tmp_path: Path,
) -> None:
    told = settings_with(tmp_path / "data", COLDRAIL_SERVED="lan")
    assert told["SESSION_COOKIE_SECURE"]
    assert told["STATION_COOKIE"].startswith("__Host-")
    assert told["SECURE_HSTS_SECONDS"] == 0
    wished = settings_with(
        tmp_path / "data", COLDRAIL_SERVED="lan", SECURE_HSTS_SECONDS="31536000"
    )
    assert wished["SECURE_HSTS_SECONDS"] == 31536000
    assert not wished["SECURE_HSTS_INCLUDE_SUBDOMAINS"]
    assert not wished["SECURE_HSTS_PRELOAD"]


def test_another_word_is_refused_without_a_traceback(tmp_path: Path) -> None:
    done = manage(tmp_path / "data", "doctor", COLDRAIL_SERVED="everywhere")
    assert done.returncode == 1
    assert "must be loopback, lan or empty" in done.stderr
    assert "Traceback" not in done.stderr


TLS_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
FORGED = {"X-Forwarded-Proto": "https"}


@pytest.mark.django_db
def test_a_forged_scheme_counts_only_where_a_proxy_is_trusted(client: Client) -> None:
    with override_settings(SECURE_SSL_REDIRECT=True):
        plain = client.get("/trust/", headers=FORGED)
        assert (plain.status_code, plain["Location"][:6]) == (301, "https:")
        with override_settings(SECURE_PROXY_SSL_HEADER=TLS_HEADER):
            assert client.get("/trust/", headers=FORGED).status_code == 200


def asked_from(forwarded: str, *, is_trusted: bool) -> str:
    def told(request: HttpRequest) -> HttpResponse:
        return HttpResponse(request.META["REMOTE_ADDR"])

    headers = {"x-forwarded-for": forwarded}
    with override_settings(TRUST_PROXY=is_trusted):
        answer = address_behind_proxy(told)(RequestFactory().get("/", headers=headers))
    return answer.content.decode()


@pytest.mark.parametrize(
    ("forwarded", "believed"),
    [
        ("192.168.7.31", "192.168.7.31"),
        ("203.0.113.9, 192.168.7.31", "192.168.7.31"),
        ("203.0.113.9,fd00::31", "fd00::31"),
        ("nonsense", "127.0.0.1"),
        ("203.0.113.9, <script>", "127.0.0.1"),
        ("", "127.0.0.1"),
    ],
)
def test_of_the_addresses_only_the_proxys_own_counts(
    forwarded: str, believed: str
) -> None:
    assert asked_from(forwarded, is_trusted=True) == believed
    assert asked_from(forwarded, is_trusted=False) == "127.0.0.1"


def test_behind_our_front_the_scheme_is_said_by_us() -> None:
    seen: list[dict[str, Any]] = []

    def inner(environ: dict[str, Any], _start: object) -> list[bytes]:
        seen.append(environ)
        return []

    over_tls(inner)({"wsgi.url_scheme": "http", "PATH_INFO": "/"}, None)
    assert seen == [{"wsgi.url_scheme": "https", "PATH_INFO": "/"}]


def plan_for(served: str, port: int, *names: str) -> Plan:
    hosts = Hosts(names, ())
    return Plan(served, port, Path("/run/web"), 3, 2, hosts, 8080, 4)


def test_what_the_processes_are_told(settings: Any) -> None:
    settings.ALLOWED_HOSTS = ["shop.example"]
    lan = plan_for("lan", 8443, "coldrail.local", "counter")
    told = lan.surroundings()
    assert told["COLDRAIL_SERVED"] == "lan"
    assert told["SHOP_ADDRESS"] == "https://coldrail.local:8443"
    assert told["ALLOWED_HOSTS"] == "coldrail.local,counter,shop.example"
    assert [part.name for part in lan.parts()] == ["web", "jobs", "front"]
    assert plan_for("lan", 443, "coldrail.local").address == "https://coldrail.local"
    proxy = plan_for("", 8000).surroundings()
    assert (proxy["COLDRAIL_SERVED"], proxy["TRUST_PROXY_TLS_HEADER"]) == ("", "true")
    home = plan_for("loopback", 8000)
    assert home.address == "http://127.0.0.1:8000"
    assert "TRUST_PROXY_TLS_HEADER" not in home.surroundings()
    assert "--certificate" not in home.front().command
