"""A new owner's first half hour: empty folder, set-up, first real job slip.

Acts as a person in a hurry would, in a real browser at the real pages, and counts what
it takes: seconds of program time (from each press until the next page stands), screens
and keystrokes. A person reads and thinks besides: that is not in the seconds.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path

from playwright.sync_api import Page, sync_playwright
from pypdf import PdfReader

from tests import machine
from tests.drills.place import ROOT, Result, die_with_parent
from tests.drills.server import LOOPBACK, free_port, wait_for

QUIET = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-quic"]
PASSWORD = "lamp under bridge 7"
MOST_SCREENS = 12
MOST_SECONDS = 60
LINK = "from shop.opening.first_key import first_link as f; print(f('{base}'))"


@dataclass
class Hand:
    """Somebody at the keyboard, whose keys and waits are counted."""

    page: Page
    keys: int = 0
    screens: int = 0
    seconds: float = 0.0
    lost: list[str] = field(default_factory=list)

    def open(self, url: str) -> None:
        with self.waiting():
            self.page.goto(url)

    def type(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).first.fill(text)
        self.keys += len(text) + 1  # the key that leads to the next field

    def press(self, name: str) -> None:
        self.keys += 1
        with self.waiting():
            self.page.get_by_role("button", name=name, exact=True).first.click()
            self.page.wait_for_load_state("load")

    @contextmanager
    def waiting(self) -> Iterator[None]:
        start = time.monotonic()
        yield
        self.seconds += time.monotonic() - start
        self.screens += 1


def run(_seed: int, _rounds: int) -> Result:
    with tempfile.TemporaryDirectory() as folder:
        start = time.monotonic()
        with serving_empty(Path(folder)) as (base, link):
            started = time.monotonic() - start
            hand = at_work(base, link)
    counts = {
        "s until it serves": round(started),
        "s of program time": round(hand.seconds),
        "screens": hand.screens,
        "keystrokes": hand.keys,
    }
    if hand.screens > MOST_SCREENS:
        hand.lost.append(f"more than {MOST_SCREENS} screens")
    if hand.seconds > MOST_SECONDS:
        hand.lost.append(f"more than {MOST_SECONDS} s")
    return Result("first_day", counts, tuple(hand.lost))


def at_work(base: str, link: str) -> Hand:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=machine.chromium(), args=QUIET
        )
        context = browser.new_context(base_url=base, accept_downloads=True)
        hand = Hand(context.new_page())
        set_up(hand, link)
        read_texts(hand)
        take_one_in(hand)
        browser.close()
    return hand


def set_up(hand: Hand, link: str) -> None:
    hand.open(link)
    hand.type("Name of the shop", "Weir Street Repairs")
    hand.type("Your name", "Marit Hollin")
    hand.type("Your password", PASSWORD)
    hand.press("Open the shop")
    if "first-day" not in hand.page.url:
        hand.lost.append(f"the shop did not open: {hand.page.url}")


def read_texts(hand: Hand) -> None:
    hand.open("/opening/settings/texts/")
    hand.press("Read and ok")


def take_one_in(hand: Hand) -> None:
    hand.open("/counter/new/")
    hand.type("Name", "Ada Pell")
    hand.type("Phone", "020 7946 0100")
    hand.type("Model", "Orrin 14")
    hand.type("In the customer’s words", "Dead since the morning.")
    hand.press("Only keep")
    number = hand.page.url.rstrip("/").rpartition("/")[2]
    with hand.waiting():
        slip = hand.page.request.get(f"/tickets/{number}/job-slip.pdf")
    if not slip.ok or not slip.body().startswith(b"%PDF"):
        hand.lost.append("no job slip")
    if not words_of(slip.body()) >= {"Pell", "Terms"}:
        hand.lost.append("the job slip lacks its words")


def words_of(pdf: bytes) -> set[str]:
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    return set(text.split())


@contextmanager
def serving_empty(folder: Path) -> Iterator[tuple[str, str]]:
    """Our server over an empty folder on loopback, and the first link to it."""
    port = free_port()
    base = f"http://{LOOPBACK}:{port}"
    environment = os.environ | {
        "COLDRAIL_DATA": str(folder),
        "COLDRAIL_PROFILE": "test",  # plain http, on loopback alone
        "COLDRAIL_CLOUDS": "never",
        "DATABASE_URL": f"sqlite:///{folder / 'coldrail.sqlite3'}",
        "DJANGO_SETTINGS_MODULE": "shop.settings",
    }
    for command in (["migrate", "-v0"], ["shell", "-c", LINK.format(base=base)]):
        done = subprocess.run(
            [sys.executable, "manage.py", *command],
            cwd=ROOT,
            env=environment,
            check=True,
            capture_output=True,
            text=True,
        )
    link = done.stdout.strip().splitlines()[-1]
    serve = ["-m", "gunicorn", "shop.wsgi", "--bind", f"{LOOPBACK}:{port}"]
    process = subprocess.Popen(
        [sys.executable, *serve, "--workers", "2", "--log-level", "critical"],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        preexec_fn=die_with_parent,  # noqa: PLW1509  no thread runs yet
    )
    try:
        wait_for(port)
        yield base, link
    finally:
        process.terminate()
        process.wait(10)
