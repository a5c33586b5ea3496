"""A run's minute: changed addresses, a certificate near its end, plain words."""

import datetime as dt
import ipaddress
import signal
import socket
import ssl
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError
from django.utils import timezone

from shop.serving import keeping, network, serving
from shop.serving.certificates import Hosts
from shop.serving.keeping import Place
from shop.serving.management.commands.serve import wish_from
from shop.serving.network import CannotListen
from shop.serving.publishing import NameTaken
from shop.serving.serving import NotServed, Server, Wish
from shop.serving.supervising import Kept, Part, Supervisor
from tests.serving import ROOT, free_port, surroundings, wait_until

HOME = ipaddress.ip_address("127.0.0.1")
FIRST = Hosts(("coldrail.local",), (ipaddress.ip_address("192.168.7.20"), HOME))
SECOND = Hosts(("coldrail.local",), (ipaddress.ip_address("192.168.7.99"), HOME))


class Silent(Kept):
    """A part that never runs, and notes its signals."""

    def __init__(self, part: Part, told: list[str]) -> None:
        super().__init__(part)
        self.told = told

    def tell(self, number: signal.Signals) -> None:
        self.told.append(f"{self.part.name} {number.name}")


class Watched(Supervisor):
    """Starts nothing; remembers what it was told."""

    def __init__(self, parts: list[Part]) -> None:
        super().__init__(parts)
        self.told: list[str] = []
        self.kept = [Silent(kept.part, self.told) for kept in self.kept]

    def replace(self, part: Part) -> None:
        self.told.append(f"{part.name} anew")


def wish(**other: Any) -> Wish:
    usual: dict[str, Any] = {
        "served": "lan",
        "port": free_port(),
        "trust_port": free_port(),
        "name": "coldrail",
        "is_published": False,
        "workers": 2,
        "has_jobs": True,
        "new_authority": False,
    }
    return Wish(**usual | other)


@pytest.fixture
def running(
    settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Server]:
    settings.TLS_DIR = tmp_path / "tls"
    monkeypatch.setattr(network, "hosts_for", lambda *_given: FIRST)
    server = Server(wish(), tmp_path / "web", lambda _words: None)
    server._keep_certificates()
    server.supervisor = Watched(server.plan.parts())
    yield server
    server.close()


def told(server: Server) -> list[str]:
    assert isinstance(server.supervisor, Watched)
    return server.supervisor.told


def test_as_long_as_all_is_right_nothing_is_done(running: Server) -> None:
    running.look()
    assert told(running) == []


def test_a_certificate_near_its_end_is_renewed_in_passing(
    running: Server, settings: Any
) -> None:
    Place(settings.TLS_DIR).leaf.unlink()
    long_ago = timezone.now() - dt.timedelta(days=380)
    keeping.keep(settings.TLS_DIR, FIRST, long_ago, shop="Hollin")
    running.look()
    assert told(running) == ["front SIGHUP"]


def test_a_machine_that_has_moved_answers_by_its_new_address(
    running: Server, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(network, "hosts_for", lambda *_given: SECOND)
    running.look()
    assert told(running) == ["web anew", "front anew"]
    leaf = keeping.leaf_in(settings.TLS_DIR)
    assert leaf is not None
    assert "192.168.7.99" in running.plan.surroundings()["ALLOWED_HOSTS"]


def test_an_authority_lost_meanwhile_stops_nothing(
    running: Server, settings: Any, caplog: pytest.LogCaptureFixture
) -> None:
    Place(settings.TLS_DIR).authority.unlink()
    running.look()
    assert told(running) == []
    assert "--new-authority" in caplog.text


def test_a_taken_name_is_said_with_what_to_type(
    settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Taken:
        def __init__(self, *_facts: object) -> None: ...

        def publish(self) -> None:
            raise NameTaken(["192.168.7.9"])

        def close(self) -> None: ...

    settings.TLS_DIR = tmp_path / "tls"
    monkeypatch.setattr(serving, "Publisher", Taken)
    server = Server(wish(is_published=True), tmp_path / "web", lambda _words: None)
    with pytest.raises(NotServed, match=r"taken on this network, by 192\.168\.7\.9"):
        server._publish()
    server.close()


def test_low_and_busy_ports_are_explained() -> None:
    with network.listen(free_port(), everywhere=False) as one:
        port = one.getsockname()[1]
        with pytest.raises(CannotListen, match=f"Port {port} is in use"):
            network.listen(port, everywhere=False)
    assert "below 1024" in network.why(PermissionError(13, "no"), 443)


@pytest.mark.parametrize(
    ("host", "names"),
    [
        ("counter", ["counter", "counter.local"]),
        ("counter.shop.example", ["counter.shop.example"]),
        ("localhost", []),
        ("not_a_name", []),
        ("", []),
    ],
)
def test_names_of_this_machine(host: str, names: list[str]) -> None:
    assert network.own_names(host) == names


def test_names_that_other_dns_gives_are_taken_in() -> None:
    given = ["Bench.Shop.Example", "192.168.7.20", ".example", "[::1]", "*"]
    names = network.hosts_for("coldrail", given).names
    assert names[:2] == ("coldrail.local", "bench.shop.example")
    assert not {"192.168.7.20", ".example", "[::1]", "*"} & set(names)


OPTIONS = {
    "lan": False,
    "behind_proxy": False,
    "name": "Coldrail.local",
    "without_name": False,
    "port": None,
    "trust_port": 8080,
    "workers": 2,
    "without_jobs": False,
    "new_authority": False,
}


def test_wishes_that_make_no_sense_are_refused(settings: Any) -> None:
    assert wish_from(OPTIONS).port == 8000
    lan = wish_from(OPTIONS | {"lan": True})
    assert (lan.port, lan.name, lan.is_published) == (8443, "coldrail", True)
    settings.ALLOWED_HOSTS = []
    for wrong in (
        {"lan": True, "behind_proxy": True},
        {"behind_proxy": True},
        {"lan": True, "name": "my shop"},
        {"lan": True, "name": "-a"},
        {"lan": True, "name": "a" * 64},
    ):
        with pytest.raises(CommandError):
            wish_from(OPTIONS | wrong)


def test_the_front_takes_a_renewed_certificate_without_ending(tmp_path: Path) -> None:
    now = timezone.now()
    first = keeping.keep(tmp_path, FIRST, now - dt.timedelta(days=1), shop="a")
    port, handed = free_port(), 0
    with socket.create_server(("127.0.0.1", port)) as sock:
        handed = sock.fileno()
        command = [sys.executable, "-m", "shop.serving.front_process", "--web", "/no"]
        files = ["--certificate", str(Place(tmp_path).leaf), "--shop", str(handed)]
        front = subprocess.Popen(
            [*command, *files], pass_fds=[handed], cwd=ROOT, env=surroundings(tmp_path)
        )
        assert serial_at(port, tmp_path) == first.leaf.serial_number
        Place(tmp_path).leaf.unlink()
        second = keeping.keep(tmp_path, FIRST, now, shop="a")
        front.send_signal(signal.SIGHUP)
        wait_until(lambda: serial_at(port, tmp_path) == second.leaf.serial_number, 10)
        assert front.poll() is None
        front.terminate()
        assert front.wait(timeout=20) == 0


def serial_at(port: int, folder: Path) -> int:
    context = ssl.create_default_context(cafile=str(Place(folder).shown))
    plain = socket.create_connection(("127.0.0.1", port), timeout=20)
    with context.wrap_socket(plain, server_hostname="coldrail.local") as tls:
        told = tls.getpeercert()
        assert told is not None
        return int(str(told["serialNumber"]), 16)
