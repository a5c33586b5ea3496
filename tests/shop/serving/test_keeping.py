"""The kept certificates: renewed by themselves, lost ones said."""

import datetime as dt
import ipaddress
from pathlib import Path

import pytest

from shop.serving import keeping
from shop.serving.certificates import Due, Hosts
from shop.serving.keeping import AuthorityLost, Kept, Place

pytestmark = pytest.mark.one_database

NOW = dt.datetime(2026, 11, 26, 9, 0, tzinfo=dt.UTC)
HOSTS = Hosts(("coldrail.local",), (ipaddress.ip_address("192.168.7.20"),))


def keep(
    folder: Path,
    *,
    hosts: Hosts = HOSTS,
    days: int = 0,
    new_authority: bool = False,
) -> Kept:
    now = NOW + dt.timedelta(days=days)
    shop = "Hollin Lane"
    return keeping.keep(folder, hosts, now, shop=shop, new_authority=new_authority)


def test_the_first_time_makes_both_and_the_second_nothing(tmp_path: Path) -> None:
    first = keep(tmp_path / "tls")
    assert first.is_new_authority
    second = keep(tmp_path / "tls", days=300)
    assert (second.is_new_authority, second.renewed) == (False, None)
    assert (second.authority, second.leaf) == (first.authority, first.leaf)


def test_keys_are_readable_by_their_owner_alone(tmp_path: Path) -> None:
    keep(tmp_path / "tls")
    assert (tmp_path / "tls").stat().st_mode & 0o777 == 0o700
    for file in (tmp_path / "tls").iterdir():
        assert file.stat().st_mode & 0o777 == 0o600, file
    shown = Place(tmp_path / "tls").shown.read_bytes()
    assert b"PRIVATE" not in shown


def test_it_is_renewed_a_month_before_its_end(tmp_path: Path) -> None:
    first = keep(tmp_path)
    later = keep(tmp_path, days=370)
    assert later.renewed is Due.ENDS_SOON
    assert later.authority == first.authority
    assert later.leaf.not_valid_after_utc > first.leaf.not_valid_after_utc


def test_a_new_address_is_in_the_next_certificate(tmp_path: Path) -> None:
    keep(tmp_path)
    moved = Hosts(HOSTS.names, (ipaddress.ip_address("192.168.7.99"),))
    assert keep(tmp_path, hosts=moved).renewed is Due.OTHER_HOSTS


def test_a_lost_server_key_is_only_renewed(tmp_path: Path) -> None:
    first = keep(tmp_path)
    Place(tmp_path).leaf.unlink()
    again = keep(tmp_path)
    assert again.renewed is Due.LOST
    assert again.authority == first.authority


@pytest.mark.parametrize("content", [None, b"", b"-----BEGIN nonsense"])
def test_a_lost_authority_is_replaced_only_when_asked(
    tmp_path: Path, content: bytes | None
) -> None:
    first = keep(tmp_path)
    if content is None:
        Place(tmp_path).authority.unlink()
    else:
        Place(tmp_path).authority.write_bytes(content)
    with pytest.raises(AuthorityLost):
        keep(tmp_path)
    assert keeping.authority_in(tmp_path) == first.authority
    asked = keep(tmp_path, new_authority=True)
    assert asked.is_new_authority
    assert asked.renewed is Due.OTHER_AUTHORITY
    assert keeping.authority_in(tmp_path) == asked.authority != first.authority


def test_what_may_not_be_vouched_for_is_said(tmp_path: Path) -> None:
    keep(tmp_path)
    wider = Hosts(("coldrail.local", "shop.example"), ())
    assert keep(tmp_path, hosts=wider).left_out == ("shop.example",)


def test_a_crash_between_files_leaves_no_half_key(tmp_path: Path) -> None:
    keep(tmp_path)
    (tmp_path / "server.pem.new").write_bytes(b"half")
    Place(tmp_path).leaf.unlink()
    assert keep(tmp_path).renewed is Due.LOST
