"""A bench tablet of the browser tests: its way to the shop can be rough, or cut."""

import os
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.test import Client
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from shop.people.models import Person
from tests import machine
from tests.browser import lan
from tests.browser.conftest import QUIET, TABLET
from tests.drills.at_bench import KEPT, WAITING, until
from tests.drills.rough_way import Way

SOON = 60_000


@dataclass
class Tablet:
    """One browser with a profile of its own, which outlives being closed."""

    playwright: Playwright
    home: Path
    profile: Path
    url: str
    way: Way
    station: str = ""
    contexts: list[BrowserContext] = field(default_factory=list)

    @property
    def context(self) -> BrowserContext:
        return self.contexts[-1]

    @property
    def page(self) -> Page:
        return self.context.pages[0]

    def open(self, script: str = "") -> "Tablet":
        opened = self.playwright.chromium.launch_persistent_context(
            self.profile,
            executable_path=machine.chromium(),
            args=[*QUIET, lan.MAP],
            env={**os.environ, "HOME": str(self.home)},
            base_url=self.url,
            viewport={"width": TABLET["width"], "height": TABLET["height"]},
        )
        self.contexts.append(opened)
        if script:
            opened.add_init_script(script)
        if self.station:
            self._cookie("coldrail-station", self.station)
        return self

    def close(self) -> None:
        with suppress(Exception):
            self.context.close()

    def sign_in(self, person: Person) -> "Tablet":
        client = Client()
        client.force_login(person)
        self._cookie("sessionid", client.cookies["sessionid"].value)
        return self

    def _cookie(self, name: str, value: str) -> None:
        later = 4_000_000_000
        self.context.add_cookies(
            [{"name": name, "value": value, "url": self.url, "expires": later}]
        )

    def look(self, path: str) -> "Tablet":
        """A page of the bench, and what the tablet keeps for a cut way."""
        self.page.goto(path)
        until(self.page, KEPT)
        return self

    def take(self, typed: str) -> None:
        """Type a reading at the check in hand, as a person does."""
        count = self.waiting() + 1
        self.page.locator("#id_typed").fill(typed)
        self.page.keyboard.press("Enter")
        if self.way.is_cut:
            kept = f"Kept on the tablet. Not sent yet: {count}."
            expect(self.page.locator(".kept-away")).to_have_text(kept, timeout=SOON)

    def says(self, words: str) -> None:
        state = self.page.locator("#waiting [data-state]")
        expect(state).to_have_text(words, timeout=SOON)

    def waiting(self) -> int:
        count: int = self.page.evaluate(WAITING)
        return count


Open = Callable[..., Tablet]


def dropped(page: Page, name: str) -> Any:
    """A picture is dropped on the page, as from a microscope's program."""
    return page.evaluate(DROP, name)


DROP = """async (name) => {
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [320, 240];
  canvas.getContext("2d").fillRect(10, 10, 90, 90);
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg"));
  const transfer = new DataTransfer();
  transfer.items.add(new File([blob], name, { type: "image/jpeg" }));
  const drop = new DragEvent("drop", { dataTransfer: transfer, bubbles: true });
  document.body.dispatchEvent(drop);
}"""
