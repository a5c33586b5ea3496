"""What all tests share: the cast, and append-only tables that can be emptied."""

import os
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import caches
from django.db import connection
from django.db.models.signals import post_migrate
from hypothesis import settings

from shop.people.models import Shop
from tests import made_database
from tests import told_year as year
from tests.runner import ENGINE

# No test is timed: a busy machine is no fault. Each run tries the same examples.
settings.register_profile("coldrail", deadline=None, derandomize=True)
settings.load_profile("coldrail")

pytest_plugins = ["tests.cast", "tests.samples"]

ROOT = Path(__file__).resolve().parent.parent
ASK_A_DATABASE = {"db", "transactional_db", "django_db_setup", "live_server"}
TRIGGERS = (
    "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' "
    "AND (name LIKE '%_no_update' OR name LIKE '%_no_delete')"
)
NEEDS_A_FLUSH = {"transactional_db", "live_server", "django_db_reset_sequences"}


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """What asks no database runs once; the engine's tests have a step of their own."""
    for item in items:
        if any(item.path.is_relative_to(ROOT / folder) for folder in ENGINE):
            item.add_marker("engine")
    if connection.vendor == "sqlite":
        return
    idle = [item for item in items if not asks_a_database(item)]
    if idle:
        config.hook.pytest_deselected(items=idle)
        items[:] = [item for item in items if asks_a_database(item)]


def asks_a_database(item: pytest.Item) -> bool:
    fixtures = set(getattr(item, "fixturenames", ()))
    is_marked = item.get_closest_marker("django_db") is not None
    return is_marked or bool(ASK_A_DATABASE & fixtures)


@pytest.fixture(scope="session")
def django_db_keepdb() -> bool:
    """The copy is there before Django looks, and goes with the session."""
    return True


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    request: pytest.FixtureRequest,
    made_folder: Path,
    django_db_modify_db_settings_parallel_suffix: None,
) -> Iterator[None]:
    """Each worker's own copy of the migrated database.

    On SQLite a file where browsers look, since they ask several things at once and
    all threads of a server share the one connection of a database in memory.
    """
    wanted, name = connection.settings_dict["TEST"], connection.settings_dict["NAME"]
    with ExitStack() as stack:
        if connection.vendor != "sqlite":
            wanted["NAME"] = wanted["NAME"] or f"test_{name}"
            url = os.environ["DATABASE_URL"]
            stack.enter_context(
                made_database.on_postgres(made_folder, url, wanted["NAME"])
            )
        elif any("browser" in item.path.parts for item in request.session.items):
            wanted["NAME"] = stack.enter_context(made_database.in_a_file(made_folder))
        else:
            wanted["NAME"] = made_database.IN_MEMORY
            stack.enter_context(made_database.in_memory(made_folder))
        yield
        connection.close()


@pytest.fixture(scope="session")
def base_of_the_run(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """One folder for all workers: what one has made serves the others."""
    base = tmp_path_factory.getbasetemp()
    return base if worker_id == "master" else base.parent


@pytest.fixture(scope="session")
def made_folder(base_of_the_run: Path) -> Path:
    """Where the migrated database lies that tests copy."""
    return made_database.place(base_of_the_run)


def is_flushed(request: pytest.FixtureRequest) -> bool:
    """Whether the tables are emptied row by row after this test."""
    marker = request.node.get_closest_marker("django_db")
    is_marked = marker is not None and marker.kwargs.get("transaction", False)
    return is_marked or bool(NEEDS_A_FLUSH & set(request.fixturenames))


@pytest.fixture(autouse=True)
def nothing_is_kept_from_another_test() -> None:
    """A rolled back test gives its row ids, and so its cache keys, to the next."""
    for alias in ("default", "process"):
        caches[alias].clear()


@pytest.fixture(autouse=True)
def append_only_tables_let_go(request: pytest.FixtureRequest) -> Iterator[None]:
    """SQLite is emptied by DELETE, which the append-only triggers refuse.

    They go before a test's rows are swept out, and come back as soon as that is
    done (Django announces it as it announces a migration).
    """
    if not is_flushed(request):
        yield
        return
    request.getfixturevalue("transactional_db")
    yield
    if connection.vendor == "sqlite":
        _drop_until_swept()


@pytest.fixture(scope="session")
def clouds_folder(made_folder: Path) -> Path:
    """Named by all that they are made of, so every step of a run may have them."""
    folder = made_folder / "clouds"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture
def told_year(
    django_db_setup: None, django_db_blocker: Any, made_folder: Path
) -> Iterator[Shop]:
    """The demo's shop after its year; no other shop is there."""
    with django_db_blocker.unblock(), year.at_a_copy(made_folder):
        yield Shop.objects.get()


@pytest.fixture
def suspecting(settings: Any, clouds_folder: Path) -> None:
    """The suspects are worked out: on few virtual boards, once for all tests."""
    settings.CLOUDS, settings.CLOUD_BOARDS = "here", 48
    settings.CLOUDS_DIR = clouds_folder


def _drop_until_swept() -> None:
    with connection.cursor() as cursor:
        triggers: list[tuple[str, str]] = cursor.execute(TRIGGERS).fetchall()
        for name, _sql in triggers:
            cursor.execute(f'DROP TRIGGER "{name}"')

    def restore(**_signal: Any) -> None:
        post_migrate.disconnect(restore)
        with connection.cursor() as cursor:
            for _name, sql in triggers:
                cursor.execute(sql)

    post_migrate.connect(restore, weak=False)
