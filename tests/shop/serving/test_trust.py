"""The trust page and its files."""

import plistlib
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from django.test import Client
from django.utils import timezone

from shop.serving import certificates, devices, keeping
from shop.serving.certificates import Hosts
from shop.serving.profile import profile_of

IPAD = "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) Version/17.5 Safari/605.1.15"
AGENTS = {
    "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) Safari/604.1": ("ios",),
    IPAD: ("ios", "macos"),
    "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) Chrome/126.0": ("macos",),
    "Mozilla/5.0 (Linux; Android 14; Tablet) Chrome/126.0": ("android",),
    "Mozilla/5.0 (Windows NT 10.0; Win64; x64) Chrome/126.0": ("windows",),
    "Mozilla/5.0 (X11; Linux x86_64; rv:127.0) Firefox/127.0": ("linux",),
    "": (),
    "curl/8": (),
}


@pytest.mark.parametrize(("agent", "systems"), AGENTS.items())
def test_which_system_a_device_has(agent: str, systems: tuple[str, ...]) -> None:
    assert devices.systems_of(agent) == systems
    ordered = devices.in_order(agent)
    assert [name for name, is_open in ordered if is_open] == list(systems)
    assert sorted(name for name, _open in ordered) == sorted(devices.SYSTEMS)


@pytest.fixture
def authority(settings: Any, tmp_path: Path) -> x509.Certificate:
    settings.TLS_DIR = tmp_path
    hosts = Hosts(("coldrail.local",), ())
    return keeping.keep(tmp_path, hosts, timezone.now(), shop="Hollin").authority


@pytest.mark.django_db
def test_the_page_opens_the_devices_own_system(
    client: Client, authority: x509.Certificate
) -> None:
    page = client.get("/trust/", headers={"user-agent": IPAD}).content.decode()
    assert page.count("<details open>") == 2
    assert page.index("iPad and iPhone") < page.index("Android")
    for pairs in certificates.fingerprint(authority).split():
        assert pairs in page


@pytest.mark.django_db
def test_without_an_authority_there_is_nothing_to_install(
    client: Client, settings: Any, tmp_path: Path
) -> None:
    settings.TLS_DIR = tmp_path / "none"
    assert b"Nothing to install" in client.get("/trust/").content
    for form in ("crt", "pem", "mobileconfig"):
        assert client.get(f"/trust/coldrail.{form}").status_code == 404


@pytest.mark.django_db
def test_no_file_has_a_key_in_it(client: Client, authority: x509.Certificate) -> None:
    for form in ("crt", "pem", "mobileconfig"):
        given = client.get(f"/trust/coldrail.{form}")
        assert given.status_code == 200
        assert b"PRIVATE" not in given.content


def test_the_profile_holds_the_authority(authority: x509.Certificate) -> None:
    profile = plistlib.loads(profile_of(authority, "Hollin Lane"))
    [payload] = profile["PayloadContent"]
    assert payload["PayloadType"] == "com.apple.security.root"
    assert x509.load_der_x509_certificate(payload["PayloadContent"]) == authority
    assert profile["PayloadUUID"] != payload["PayloadUUID"]
    assert profile_of(authority, "Hollin Lane") == profile_of(authority, "Hollin Lane")
