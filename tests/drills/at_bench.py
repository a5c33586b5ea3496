"""A person at a bench tablet, in a real browser: types readings, whatever happens."""

import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Error, Page, Playwright

from tests import machine

QUIET = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-quic"]
TABLET = {"width": 1180, "height": 820}

READY = """() => window.outbox && document.querySelector("form.entry") !== null
  && document.querySelector("#waiting:not([hidden])") !== null"""
KEPT = """async () => {
  const page = await (await caches.open("bench")).match("/bench/away/");
  return Boolean(page && (await outbox.recall("boards"))?.length);
}"""
# A form of its own for each, since the page's becomes the verdict or the next card.
TAKE = """async (typed) => {
  window.entry = window.entry || document.querySelector("form.entry").cloneNode(true);
  const form = window.entry.cloneNode(true);
  document.querySelector("main").append(form);
  form.elements.typed.value = typed;
  const kept = new Promise((done) => { window.isKept = done; });
  form.requestSubmit(form.querySelector("button.main"));
  await kept;
  form.remove();
}"""
LISTEN = """() => {
  const keep = outbox.keep;
  outbox.keep = (...what) => {
    const kept = keep(...what);
    kept.then(() => window.isKept?.());
    return kept;
  };
}"""
HAS = """async (typed) => (await outbox.all())
  .some((one) => one.shown?.what.endsWith(typed))"""
WAITING = "() => outbox.waiting()"
REFUSED = """async () => (await outbox.all()).filter((one) => one.state === "refused")
  .map((one) => `${one.shown.what}: ${one.said}`)"""


def until(page: Page, promised: str, seconds: float = 60) -> None:
    """Until a function of the page keeps its promise; Chromium won't wait for one."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        with suppress(Error):  # the page may go on to another meanwhile
            if page.evaluate(promised):
                return
        time.sleep(0.05)
    raise TimeoutError(promised)


@dataclass
class Tablet:
    """One browser with a home of its own, closed and opened again at will."""

    playwright: Playwright
    home: Path
    base: str
    page_path: str
    cookies: list[dict[str, Any]]
    context: BrowserContext | None = None

    @property
    def page(self) -> Page:
        assert self.context is not None
        return self.context.pages[0]

    def open(self) -> None:
        self.context = self.playwright.chromium.launch_persistent_context(
            self.home,
            executable_path=machine.chromium(),
            args=QUIET,
            base_url=self.base,
            viewport={"width": TABLET["width"], "height": TABLET["height"]},
        )
        self.context.add_cookies(self.cookies)  # type: ignore[arg-type]
        self.look()

    def close(self) -> None:
        if self.context is not None:
            self.context.close()

    def look(self) -> None:
        """Open the bench page, again and again if the way there is rough."""
        for _try in range(20):
            try:
                self.page.goto(self.page_path, wait_until="load", timeout=15_000)
                self.page.wait_for_function(READY, timeout=5_000)
                self.page.evaluate(LISTEN)
            except Error:
                continue
            return
        raise RuntimeError("the bench page never came")

    def wait_until_kept(self) -> None:
        """Until the tablet has what it needs while the network is away."""
        until(self.page, KEPT)

    def take(self, typed: str) -> None:
        self.page.evaluate(TAKE, typed)

    def has(self, typed: str) -> bool:
        """Whether it waits on the tablet."""
        return bool(self.page.evaluate(HAS, typed))

    def waiting(self) -> int:
        for _try in range(20):
            with suppress(Error):  # the page is just being loaded anew
                count: int = self.page.evaluate(WAITING)
                return count
            time.sleep(0.5)
        raise RuntimeError("the page never came to rest")

    def refused(self) -> list[str]:
        found: list[str] = self.page.evaluate(REFUSED)
        return found
