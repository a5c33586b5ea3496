"""A tablet on the shop's network: https, by name, trusting our authority alone.

The server is ``serve --lan`` itself; Chromium reads the authority from its own store
(``trusting.py``) and checks everything about a certificate that it checks at all.
"""

import datetime as dt
import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Error, Page, Playwright

from shop.serving import certificates, keeping
from shop.serving.certificates import Hosts, Pair
from tests import machine
from tests.browser import trusting
from tests.browser.conftest import QUIET, TABLET
from tests.serving import NAME, ROOT, Served, manage, served, surroundings

pytestmark = pytest.mark.one_database

# A fake camera stands in for glass and sensor, and the person says yes to it.
CAMERA = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
MAP = f"--host-resolver-rules=MAP {NAME} 127.0.0.1, MAP bank.example 127.0.0.1"
PEOPLE = """
from tests.factories import *
PersonFactory.create(
    username="ines", name="Ines Okafor", shop=ShopFactory.create(),
    roles=[Role.TECHNICIAN],
)
"""
PASSWORD = "bench lamp 3"
DEVICE = ("trust", "cookie", "clock", "worker", "screen")
Open = Callable[..., Page]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("lan") / "data") as state:
        told = manage(state.data, "shell", given=PEOPLE, COLDRAIL_SERVED="lan")
        assert told.returncode == 0, told.stderr
        yield state


@pytest.fixture
def tablet(playwright: Playwright, tmp_path: Path) -> Iterator[Open]:
    """``tablet(authority)``: a page of a device that trusts that authority."""
    contexts: list[BrowserContext] = []

    def opened(authority: Path | None) -> Page:
        home = tmp_path / f"home-{len(contexts)}"
        home.mkdir()
        if authority is not None:
            script = [sys.executable, trusting.__file__, str(home), str(authority)]
            subprocess.run(script, check=True)
        context = playwright.chromium.launch_persistent_context(
            home / "profile",
            executable_path=machine.chromium(),
            args=[*QUIET, *CAMERA, MAP],
            env={**os.environ, "HOME": str(home)},
            viewport={"width": TABLET["width"], "height": TABLET["height"]},
            ignore_https_errors=False,
        )
        contexts.append(context)
        return context.pages[0]

    yield opened
    for context in contexts:
        context.close()


def address(port: int, path: str = "/", host: str = NAME) -> str:
    return f"https://{host}:{port}{path}"


def outcome(page: Page, check: str) -> str | None:
    shown = f'[data-check="{check}"] [data-outcome]:not([hidden])'
    return page.locator(shown).get_attribute("data-outcome")


def look(page: Page) -> dict[str, str | None]:
    page.locator("[data-doctor=done]").wait_for()
    return {check: outcome(page, check) for check in DEVICE}


def test_a_tablet_signs_in_and_all_is_well(shop: Served, tablet: Open) -> None:
    page = tablet(shop.authority)
    page.goto(address(shop.port, "/sign-in/?next=/doctor/"))
    page.get_by_label("Sign-in name").fill("ines")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    assert look(page) == dict.fromkeys(DEVICE, "well")
    assert page.evaluate("isSecureContext")
    active = "navigator.serviceWorker.ready.then((one) => one.active.scriptURL)"
    assert page.evaluate(active) == address(shop.port, "/sw.js")
    page.get_by_role("button", name="Try the camera").click()
    page.locator('[data-check="camera"] [data-outcome="well"]').wait_for()
    server = page.get_by_role("region", name="The server")
    assert server.get_by_text(f"The certificate names {NAME}.").is_visible()
    assert server.get_by_text("it renews itself").is_visible()


def test_a_tablet_a_day_off_is_told_so(shop: Served, tablet: Open) -> None:
    page = tablet(shop.authority)
    page.clock.install(time=time.time() + 24 * 3600)
    page.goto(address(shop.port, "/doctor/"))
    assert look(page)["clock"] == "wrong"
    assert page.get_by_text("Set it before you go on.").is_visible()
    page.clock.set_system_time(time.time() + 150)
    page.reload()
    assert look(page)["clock"] in {"off", "wrong"}


def test_a_tablet_that_was_only_waved_through_is_told_so(
    shop: Served, tablet: Open
) -> None:
    """A person who clicks a warning away has a page, and no service worker."""
    page = tablet(None)
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(address(shop.port, "/doctor/"))
    page.locator("#details-button").click()
    page.locator("#proceed-link").click()
    looked = look(page)
    assert (looked["trust"], looked["worker"]) == ("untrusted", "refused")


def test_a_tablet_that_does_not_trust_us_comes_by_the_trust_page(
    shop: Served, tablet: Open
) -> None:
    page = tablet(None)
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(address(shop.port))
    page = page.context.new_page()
    page.goto(f"http://{NAME}:{shop.trust_port}/trust/")
    held = keeping.authority_in(shop.data / "tls")
    assert held is not None
    shown = page.locator(".fingerprint").inner_text().split()
    assert shown == certificates.fingerprint(held).split()
    with page.expect_download() as download:
        page.get_by_role("link", name="Take the certificate").first.click()
    taken = download.value.path().read_bytes()
    assert taken == certificates.pem_of(held)


@contextmanager
def front_with(folder: Path, leaf: Pair) -> Iterator[int]:
    """The front with any certificate, and no shop behind it."""
    file = folder / "server.pem"
    file.write_bytes(keeping.pem_of(leaf))
    with socket.create_server(("127.0.0.1", 0)) as sock:
        handed = sock.fileno()
        command = [sys.executable, "-m", "shop.serving.front_process"]
        options = ["--web", str(folder / "web"), "--certificate", str(file)]
        process = subprocess.Popen(
            [*command, *options, "--shop", str(handed)],
            pass_fds=[handed],
            cwd=ROOT,
            env=surroundings(folder),
        )
        yield sock.getsockname()[1]
        process.terminate()
        process.wait(timeout=20)


NOW = dt.datetime.now(dt.UTC)
LONG_AGO = NOW - dt.timedelta(days=450)


@pytest.mark.parametrize(
    ("names", "made", "asked", "refusal"),
    [
        ((NAME,), LONG_AGO, NAME, "ERR_CERT_DATE_INVALID"),
        (("bench.local",), NOW, NAME, "ERR_CERT_COMMON_NAME_INVALID"),
        (("bank.example",), NOW, "bank.example", "ERR_CERT_INVALID"),
    ],
    ids=["ended", "another-name", "beyond-the-authority"],
)
def test_what_a_browser_refuses(
    tmp_path: Path,
    tablet: Open,
    monkeypatch: pytest.MonkeyPatch,
    names: tuple[str, ...],
    made: dt.datetime,
    asked: str,
    refusal: str,
) -> None:
    """The last: our own authority's word for a name that it may not vouch for."""
    authority = certificates.make_authority("Hollin", Hosts((NAME,), ()), LONG_AGO)
    root = tmp_path / "root.pem"
    root.write_bytes(certificates.pem_of(authority.certificate))
    monkeypatch.setattr(certificates, "allowed", lambda _authority, hosts: hosts)
    leaf = certificates.make_leaf(authority, Hosts(names, ()), made)
    page = tablet(root)
    with front_with(tmp_path, leaf) as port, pytest.raises(Error, match=refusal):
        page.goto(address(port, host=asked))
