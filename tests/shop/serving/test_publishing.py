"""The name on the network, asked for with another resolver of multicast DNS."""

import ipaddress
import socket
import struct
from collections.abc import Iterator

import pytest

from shop.serving.publishing import NameTaken, Publisher

pytestmark = pytest.mark.one_database

LOOPBACK = ["127.0.0.1"]
ELSEWHERE = ipaddress.ip_address("192.0.2.77")
GROUP = ("224.0.0.251", 5353)


@pytest.fixture(scope="module")
def published() -> Iterator[Publisher]:
    """Another machine, as far as anybody can tell: its address is not ours."""
    publisher = Publisher("hollin-test", [ELSEWHERE], 8443, LOOPBACK)
    publisher.publish()
    yield publisher
    publisher.close()


def test_a_taken_name_is_refused_with_who_has_it(published: Publisher) -> None:
    second = Publisher("hollin-test", [], 8443, LOOPBACK)
    try:
        with pytest.raises(NameTaken, match=r"192\.0\.2\.77"):
            second.publish()
    finally:
        second.close()


def test_a_free_name_belongs_to_nobody(published: Publisher) -> None:
    other = Publisher("hollin-free", [], 8443, LOOPBACK)
    try:
        assert other.owners() == set()
    finally:
        other.close()


def test_the_name_is_answered_as_the_standard_says(published: Publisher) -> None:
    """A question made by hand (RFC 1035, 4.1; RFC 6762, 5.1: from any port)."""
    name = b"\x0bhollin-test\x05local\x00"
    question = struct.pack("!6H", 7, 0, 1, 0, 0, 0) + name + struct.pack("!2H", 1, 1)
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.bind(("127.0.0.1", 0))
        home = socket.inet_aton("127.0.0.1")
        asking.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_IF, home)
        asking.settimeout(5)
        asking.sendto(question, GROUP)
        told, _peer = asking.recvfrom(1500)
    assert ELSEWHERE.packed in told
