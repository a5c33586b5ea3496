"""``serve --lan`` as a person starts it, on tables that are made, to its end."""

import os
import shutil
import signal
import ssl
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests import made_database
from tests.serving import NAME, Served, manage, served, wait_until

pytestmark = pytest.mark.one_database


A_SHOP = "from tests.factories import ShopFactory; ShopFactory.create()"


@pytest.fixture(scope="module")
def shop(
    tmp_path_factory: pytest.TempPathFactory, made_folder: Path
) -> Iterator[Served]:
    data = tmp_path_factory.mktemp("serve") / "data"
    made_database.put_in(data, made_folder)
    with served(data) as state:
        told = manage(state.data, "shell", given=A_SHOP, COLDRAIL_SERVED="lan")
        assert told.returncode == 0, told.stderr
        yield state


def test_the_shop_is_there_by_its_name_over_tls(shop: Served) -> None:
    answer = shop.get("/sign-in/")
    assert answer.status == 200
    cookies = answer.headers.get_all("Set-Cookie") or []
    assert cookies
    assert all("Secure" in cookie for cookie in cookies)


def test_other_names_are_refused_by_the_client_and_by_us(shop: Served) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        shop.connection("bench.local").connect()
    asking = shop.connection()
    asking.request("GET", "/sign-in/", headers={"Host": "bank.example"})
    assert asking.getresponse().status == 400


def test_no_promise_that_would_hide_the_trust_page(shop: Served) -> None:
    """Strict transport speaks of a host with all its ports (RFC 6797, 8.3)."""
    assert "Strict-Transport-Security" not in shop.get("/sign-in/").headers


def test_without_tls_there_is_the_trust_page_alone(shop: Served) -> None:
    page = shop.get_plain("/trust/")
    text = page.read().decode()
    assert page.status == 200
    assert f"https://{NAME}:{shop.port}/doctor/" in text
    assert page.headers.get_all("Set-Cookie") is None
    way = shop.get_plain("/sign-in/")
    assert (way.status, way.headers["Location"]) == (
        307,
        f"https://{NAME}:{shop.port}/sign-in/",
    )


def test_the_authority_comes_as_devices_want_it(shop: Served) -> None:
    from cryptography import x509

    held = x509.load_pem_x509_certificate(shop.authority.read_bytes())
    der = shop.get_plain("/trust/coldrail.crt").read()
    assert x509.load_der_x509_certificate(der) == held
    pem = shop.get_plain("/trust/coldrail.pem").read()
    assert x509.load_pem_x509_certificate(pem) == held
    profile = shop.get_plain("/trust/coldrail.mobileconfig")
    assert profile.headers["Content-Type"] == "application/x-apple-aspen-config"


def test_idle_tls_connections_slow_nobody(shop: Served) -> None:
    """Twenty connections that have shaken hands and say nothing; two workers."""
    begun = time.monotonic()
    assert shop.get("/sign-in/").status == 200
    alone = time.monotonic() - begun
    idle = [shop.connection() for _one in range(20)]
    for one in idle:
        one.connect()
    begun = time.monotonic()
    assert shop.get("/sign-in/").status == 200
    beside = time.monotonic() - begun
    for one in idle:
        one.close()
    assert beside < alone + 2


def test_what_the_terminal_says(shop: Served) -> None:
    said = shop.log.read_text().partition("Stop with Ctrl-C")[0]
    assert f":{shop.trust_port}/trust/" in said
    assert "█" in said
    assert "Traceback" not in said


def test_a_killed_worker_is_back(shop: Served) -> None:
    assert shop.get("/sign-in/").status == 200
    os.kill(child_of(shop, "gunicorn"), signal.SIGKILL)
    wait_until(lambda: "web has ended (SIGKILL)" in shop.log.read_text(), 10)
    assert shop.get("/sign-in/").status == 200


def child_of(shop: Served, word: str) -> int:
    """The process of ours whose command has that word in it."""
    for entry in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((entry / "stat").read_text().rpartition(")")[2].split()[1])
            command = (entry / "cmdline").read_text()
        except OSError:
            continue
        if parent == shop.process.pid and word in command:
            return int(entry.name)
    raise AssertionError(f"no {word}")


def test_a_port_in_use_is_said_in_words(shop: Served, tmp_path: Path) -> None:
    done = manage(tmp_path / "data", "serve", "--port", str(shop.port))
    assert done.returncode == 1
    assert f"Port {shop.port} is in use" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_data_folder_that_cannot_be_is_said_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    done = manage(tmp_path / "file" / "data", "serve")
    assert done.returncode == 1
    assert "COLDRAIL_DATA" in done.stderr
    assert "Traceback" not in done.stderr


def test_it_ends_in_time_and_leaves_nobody_behind(shop: Served) -> None:
    children = [child_of(shop, word) for word in ("gunicorn", "front_process")]
    begun = time.monotonic()
    assert shop.stop() == 0
    assert time.monotonic() - begun < 30
    wait_until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in children), 5)


def test_a_lost_authority_is_said_and_nothing_is_made(shop: Served) -> None:
    """Runs last: the folder is the stopped shop's."""
    tls = shop.data / "tls"
    shutil.move(tls / "authority.pem", tls / "away")
    before = shop.authority.read_bytes()
    done = manage(shop.data, "serve", "--lan", "--without-name", "--port", "0")
    assert done.returncode == 1
    assert "--new-authority" in done.stderr
    assert shop.authority.read_bytes() == before
    looked = manage(shop.data, "doctor", COLDRAIL_SERVED="lan")
    assert looked.returncode == 1
    assert "the authority's key is lost" in looked.stdout
