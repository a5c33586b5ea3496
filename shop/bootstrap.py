"""The door: makes ``.venv`` when it is missing, then is plain Django.

Only the standard library until Django takes over. The system's Python is
asked to make an environment and is never written to. A stamp, written last,
says which lock the environment holds: with it a start costs nothing, without
it (stopped half-way, moved, another Python) the environment is made again.
"""

from __future__ import annotations  # an old Python gets as far as its refusal

import ctypes
import fcntl
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

OLDEST = (3, 11)
ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
STAMP = VENV / "coldrail-stamp"
LOCK = "requirements.txt"
TEST_LOCK = "requirements-test.txt"
TEST_COMMANDS = {"test", "measure", "drill"}
LIBRARIES = ("libpango-1.0.so.0", "libpangoft2-1.0.so.0")
LIBRARY_PACKAGES = ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0")


class Stop(Exception):
    """What a person has to do before the door opens, in words."""


class Machine(NamedTuple):
    """What this machine has, as far as the door is concerned."""

    has_ensurepip: bool
    has_uv: bool
    has_libraries: bool
    may_install: bool


def look_around() -> Machine:
    is_debian = Path("/etc/debian_version").exists() and bool(shutil.which("apt-get"))
    return Machine(
        has_ensurepip=importlib.util.find_spec("ensurepip") is not None,
        has_uv=shutil.which("uv") is not None,
        has_libraries=all(can_load(name) for name in LIBRARIES),
        may_install=is_debian and os.geteuid() == 0,
    )


def can_load(library: str) -> bool:
    if sys.platform != "linux":
        return True  # elsewhere WeasyPrint looks by names of its own
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def packages_needed(machine: Machine, *, makes_environment: bool) -> list[str]:
    """Debian's packages without which the door can't open, in one line's order."""
    can_make = machine.has_ensurepip or machine.has_uv
    packages = ["python3-venv"] if makes_environment and not can_make else []
    return packages if machine.has_libraries else [*packages, *LIBRARY_PACKAGES]


def apt_line(packages: list[str]) -> str:
    install = "apt-get install -y --no-install-recommends"
    return f"apt-get update && {install} {' '.join(packages)}"


def advice(packages: list[str]) -> str:
    return (
        f"This machine lacks what Coldrail needs: {', '.join(packages)}.\n"
        "On Debian or a system made from it, type this as root, then start again:\n\n"
        f"    {apt_line(packages)}\n"
    )


def install_packages(packages: list[str]) -> None:
    say(f"Installing {', '.join(packages)} ...")
    os.environ.setdefault("DEBIAN_FRONTEND", "noninteractive")
    hint = (
        "Debian's packages could not be fetched. Check the network and start again,\n"
        f"or type this as root:\n\n    {apt_line(packages)}\n"
    )
    for command in apt_line(packages).split(" && "):
        run(command.split(), hint)
    importlib.invalidate_caches()


def profile_for(command: str) -> str:
    if command in TEST_COMMANDS:
        return "test"
    return "demo" if command == "demo" else "production"


def stamp_for(lock: str) -> str:
    """One line: the lock, its hash, the Python beneath, the folder it was made in."""
    digest = hashlib.sha256((ROOT / lock).read_bytes()).hexdigest()
    return f"{lock} {digest} {PYTHON.resolve()} {VENV}"


def lock_to_install(command: str, stamped: str) -> str | None:
    """The lock that ``command`` still needs; the test lock serves every command."""
    if stamped == stamp_for(TEST_LOCK):
        return None
    if command in TEST_COMMANDS or stamped.startswith(f"{TEST_LOCK} "):
        return TEST_LOCK
    return None if stamped == stamp_for(LOCK) else LOCK


def read_stamp() -> str:
    is_whole = PYTHON.exists() and STAMP.exists()
    return STAMP.read_text() if is_whole else ""


def make_environment(lock: str, has_ensurepip: bool) -> None:
    say(f"Making .venv from {lock} (once, about half a minute) ...")
    STAMP.unlink(missing_ok=True)
    shutil.rmtree(VENV, ignore_errors=True)
    base = getattr(sys, "_base_executable", sys.executable)
    # The lock is whole. Without --no-deps pip looks for what a package asks for by an
    # extra, finds a release newer than the lock's and refuses it for want of a hash.
    hashed = ["--quiet", "--no-deps", "--require-hashes", "-r", str(ROOT / lock)]
    hint = (
        "The packages could not be installed. The first start needs a package "
        "registry:\ncheck the network and the settings of pip or uv, then start again."
    )
    if has_ensurepip:
        run([base, "-m", "venv", str(VENV)], f"{VENV} could not be made.")
        pip = [str(PYTHON), "-m", "pip", "--disable-pip-version-check", "--no-input"]
        run([*pip, "install", *hashed], hint)
    else:
        run(["uv", "venv", "--quiet", "--python", base, str(VENV)], hint)
        run(["uv", "pip", "install", "--python", str(PYTHON), *hashed], hint)
    STAMP.write_text(stamp_for(lock))


def run(command: list[str], hint: str) -> None:
    done = subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        close_fds=False,  # it keeps the lock of alone() if we are killed
        check=False,
    )
    if done.returncode:
        said = "\n".join(done.stdout.splitlines()[-8:])
        raise Stop(f"{said}\n\n{Path(command[0]).name} failed.\n{hint}")


def say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def is_in_another_environment() -> bool:
    """A person's own virtual environment with Django in it is theirs: left alone."""
    is_virtual = sys.prefix != sys.base_prefix and Path(sys.prefix).resolve() != VENV
    return is_virtual and importlib.util.find_spec("django") is not None


@contextmanager
def alone() -> Iterator[None]:
    """One at a time: two first starts must not make the same environment."""
    folder = os.open(ROOT, os.O_RDONLY)
    os.set_inheritable(folder, True)
    try:
        fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


def prepare(command: str) -> bool:
    """Bring machine and environment up to what ``command`` needs.

    True when something was made, so that this process is no longer in it.
    """
    machine = look_around()
    is_standing = lock_to_install(command, read_stamp()) is None
    if packages := packages_needed(machine, makes_environment=not is_standing):
        if not machine.may_install:
            raise Stop(advice(packages))
        install_packages(packages)
    if is_standing:
        return False
    with alone():
        lock = lock_to_install(command, read_stamp())
        if lock is not None:
            make_environment(lock, look_around().has_ensurepip)
    return True


def open_door(arguments: list[str]) -> None:
    """Return only in an environment that holds what the command needs."""
    if sys.version_info < OLDEST:
        found = ".".join(str(part) for part in sys.version_info[:2])
        sys.exit(f"Coldrail needs Python 3.11 or newer; this is {found}.")
    command = arguments[1] if len(arguments) > 1 else ""
    os.environ.setdefault("COLDRAIL_PROFILE", profile_for(command))
    if is_in_another_environment():
        return
    try:
        was_made = prepare(command)
    except (Stop, OSError) as reason:
        sys.exit(f"\n{reason}")
    if was_made or Path(sys.prefix).resolve() != VENV:
        os.execv(PYTHON, [str(PYTHON), str(ROOT / "manage.py"), *arguments[1:]])
