"""A real Chromium at the demo shop, told anew for each test."""

import os
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page
from pytest_django.live_server_helper import LiveServer

from diagnostics import services
from diagnostics.models import Board
from shop.people.models import Person, Shop
from tests import machine
from tests.browser import kept_story, lan
from tests.serving import NAME

os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
TABLET = {"width": 1180, "height": 820}
UPRIGHT = {"width": 820, "height": 1180}
DESKTOP = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
# A folder to keep them in: they take a quarter of the time.
WANTED = os.environ.get("COLDRAIL_PICTURES")
PICTURES = Path(WANTED) if WANTED else None

Visit = Callable[..., Page]


@pytest.fixture(scope="session")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the browser is at home; ``lan.papers`` lets it trust the shop."""
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="session")
def leaf(home: Path) -> Path:
    return lan.papers(home)


@pytest.fixture(scope="session")
def browser_type_launch_args(home: Path, leaf: Path) -> dict[str, object]:
    return {
        "executable_path": machine.chromium(),
        "args": [*QUIET, lan.MAP],
        "env": {**os.environ, "HOME": str(home)},
    }


class OnTheNetwork:
    """pytest-django's server, as it is reached by https and by its name."""

    def __init__(self, server: LiveServer, port: int) -> None:
        self.server, self.url = server, f"https://{NAME}:{port}"

    def __getattr__(self, name: str) -> object:
        return getattr(self.server, name)


@pytest.fixture(scope="session")
def live_server(live_server: LiveServer, leaf: Path) -> Iterator[OnTheNetwork]:
    with lan.in_front_of(live_server.thread.port, leaf) as port:
        yield OnTheNetwork(live_server, port)


@pytest.fixture(autouse=True)
def what_comes_came_by_tls(live_server: OnTheNetwork, settings: Any) -> None:
    """There is no other way to the server; every request has this header."""
    settings.SECURE_PROXY_SSL_HEADER = ("SERVER_PROTOCOL", "HTTP/1.1")


@pytest.fixture
def told_shop(transactional_db: None, suspecting: None, photos_folder: Path) -> Shop:
    """The demo shop, as the demo tells it, with the suspects worked out."""
    return kept_story.told_shop()


@pytest.fixture
def board(told_shop: Shop) -> Board:
    """The board on the bench, said to be cold; its leads are measured today."""
    board = Board.objects.get(ticket_boards__ticket__device__serial="P15-4402-118C")
    services.condition_set(
        board=board,
        ticket=board.ticket_boards.get().ticket,
        by=Person.objects.get(username="ines"),
        check_id="k03",
    )
    return board


@pytest.fixture
def visit(
    browser: Browser, live_server: OnTheNetwork, told_shop: Shop
) -> Iterator[Visit]:
    """``visit("ines", size=TABLET)``: a page where that person has signed in.

    ``visit("")``: a page where nobody has.
    """
    contexts: list[BrowserContext] = []

    def signed_in(
        username: str, *, size: dict[str, int] = DESKTOP, dark: bool = False
    ) -> Page:
        context = browser.new_context(
            base_url=live_server.url,
            viewport={"width": size["width"], "height": size["height"]},
            color_scheme="dark" if dark else "light",
        )
        contexts.append(context)
        page = context.new_page()
        if not username:
            return page
        page.goto("/sign-in/")
        page.get_by_label("Sign-in name").fill(username)
        page.get_by_label("Password").fill(f"{username}-bench")
        page.get_by_role("button", name="Sign in").click()
        page.get_by_role("button", name="Sign out").wait_for()
        return page

    yield signed_in
    for context in contexts:
        context.close()


@pytest.fixture
def picture() -> Callable[[Page, str], None]:
    """Keep what a page looks like, where ``COLDRAIL_PICTURES`` names a folder for it.

    The README shows some of these.
    """

    def keep(page: Page, name: str) -> None:
        if PICTURES is not None:
            PICTURES.mkdir(parents=True, exist_ok=True)
            page.screenshot(path=PICTURES / f"{name}.png")

    return keep


# What passes is counted too where nobody says so, and that takes most of the time.
ONLY_FAULTS = {"resultTypes": ["violations"]}
LET_GO = """(position) => {
  for (const foot of document.querySelectorAll(".intake-foot"))
    foot.style.position = position;
}"""


# What another theme or size may change; all else is the same page.
OF_A_LOOK = ("color-contrast", "scrollable-region-focusable", "target-size")


def faults_of(page: Page, rules: Sequence[str] = ()) -> list[str]:
    """What axe finds on a page: WCAG 2.0 to 2.2, A and AA, or by these rules alone.

    A foot that stays in sight is let go meanwhile: what it covers half at one place of
    scrolling is no small target.
    """
    page.wait_for_load_state()  # an act may have led here, and its styles are to come
    page.evaluate(LET_GO, "static")
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    kind, values = ("rule", list(rules)) if rules else ("tag", tags)
    asked = {"runOnly": {"type": kind, "values": values}} | ONLY_FAULTS
    found = Axe().run(page, options=asked)
    page.evaluate(LET_GO, "")
    return [
        f"{rule['id']}: {node['html'][:120]}"
        for rule in found.response["violations"]
        for node in rule["nodes"]
    ]


def layout_faults_of(page: Page) -> list[str]:
    """Sideways scroll, ids said twice, targets too small or too close."""
    page.wait_for_load_state()
    found: list[str] = page.evaluate(LAYOUT)
    return found


# The sizes and the gap are the look's own measures: 48 px at the bench, 44 elsewhere,
# 8 apart. Links in running text are exempt, as in WCAG 2.2, 2.5.8; so are joined boxes,
# tabs, and the rows of lists and ladder, which touch because each is a target whole.
LAYOUT = """() => {
  const faults = [], root = document.documentElement;
  const name = (e) => e.outerHTML.replace(/\\s+/g, " ").slice(0, 110);
  const over = root.scrollWidth - root.clientWidth;
  if (over > 0) faults.push(`${over} px wider than its window`);
  const ids = [...document.querySelectorAll("[id]")].map((e) => e.id);
  for (const id of new Set(ids.filter((id, at) => ids.indexOf(id) !== at)))
    faults.push(`id ${id} twice`);
  const isInText = (e) => e.matches("a:not(.button)")
    && getComputedStyle(e).display === "inline"
    && e.parentElement.textContent.trim() !== e.textContent.trim();
  const area = (e) => {
    const label = e.matches("[type=checkbox], [type=radio]") && e.closest("label");
    const after = getComputedStyle(e, "::after");
    const row = after.position === "absolute" && after.content !== "none"
      && e.closest("tr");
    return (label || row || e).getBoundingClientRect();
  };
  const targets = [...document.querySelectorAll(
    "a[href], button, input:not([type=hidden]), select, textarea, summary"
  )].filter((e) => e.checkVisibility({visibilityProperty: true})
    && !e.matches(".skip") && !isInText(e));
  for (const e of targets) {
    const least = e.closest(".bench, .bench-masthead") ? 48 : 44, box = area(e);
    if (box.width < least - 0.5 || box.height < least - 0.5)
      faults.push(`${Math.round(box.width)}x${Math.round(box.height)} ${name(e)}`);
  }
  // What sticks to the screen's edge or hangs over the page: what lies under it is no
  // neighbour.
  const hanging = ".entry-foot, .intake-foot, .bench-masthead, .scan-bar, .find-hits";
  const foot = (e) => e.closest(hanging);
  const touching = ".choices, .kinds, .tabs, .ladder, tr";
  const apart = targets.filter((e) => !e.closest(touching)).map((e) => [e, area(e)]);
  apart.forEach(([one, a], at) => {
    for (const [two, b] of apart.slice(at + 1)) {
      if (foot(one) !== foot(two)) continue;
      const across = Math.max(a.left - b.right, b.left - a.right);
      const down = Math.max(a.top - b.bottom, b.top - a.bottom);
      const gap = Math.round(Math.max(across, down));
      if (gap < 8) faults.push(`${gap} px apart ${name(one)} ${name(two)}`);
    }
  });
  return faults;
}"""
