"""What the front makes of a request's head (RFC 9112), and what it refuses."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.serving import http1
from shop.serving.http1 import NotServed

pytestmark = pytest.mark.one_database


def head(*lines: str) -> http1.Head:
    return http1.read_head(("\r\n".join(lines) + "\r\n\r\n").encode("latin-1"))


def test_a_request_is_read() -> None:
    read = head("POST /a?b=1 HTTP/1.1", "Host: x.local:8443", "Content-Length: 12")
    assert (read.method, read.target) == ("POST", "/a?b=1")
    assert (read.host, read.length) == ("x.local", 12)
    assert head("GET / HTTP/1.1", "Host: [fd00::2]:8443").host == "[fd00::2]"


@pytest.mark.parametrize(
    "lines",
    [
        ["GET http://other/ HTTP/1.1"],
        ["GET / HTTP/2"],
        ["GET  / HTTP/1.1"],
        ["get / HTTP/1.1"],
        ["GET / HTTP/1.1", "Host : x"],
        ["GET / HTTP/1.1", "nothing"],
        ["GET / HTTP/1.1", "A: 1", " folded"],
        ["GET / HTTP/1.1", "A: 1\nB: 2"],
        ["CONNECT other:443 HTTP/1.1"],
    ],
)
def test_nonsense_is_refused(lines: list[str]) -> None:
    with pytest.raises(NotServed, match="400"):
        head(*lines)


@pytest.mark.parametrize(
    ("fields", "status"),
    [
        (["Content-Length: 1", "Content-Length: 2"], 400),
        (["Content-Length: 1", "Content-Length: 1"], 400),
        (["Content-Length: +1"], 400),
        (["Content-Length: 0x1"], 400),
        (["Content-Length: -1"], 400),
        (["Transfer-Encoding: chunked"], 411),
        (["Transfer-Encoding: chunked", "Content-Length: 3"], 411),
        ([f"Content-Length: {http1.LARGEST_BODY + 1}"], 413),
    ],
)
def test_a_length_has_one_reading_or_none(fields: list[str], status: int) -> None:
    with pytest.raises(NotServed, match=str(status)):
        _ = head("POST / HTTP/1.1", *fields).length


@pytest.mark.parametrize("target", ["/trust/", "/trust/coldrail.crt", "/static/a.css"])
def test_the_trust_page_is_open(target: str) -> None:
    assert http1.is_open(head(f"GET {target} HTTP/1.1"))


@pytest.mark.parametrize(
    "line",
    [
        "POST /trust/ HTTP/1.1",
        "GET /sign-in/ HTTP/1.1",
        "GET /trust/../sign-in/ HTTP/1.1",
        "GET /trustful HTTP/1.1",
        "GET /?next=/trust/ HTTP/1.1",
    ],
)
def test_nothing_else_is(line: str) -> None:
    assert not http1.is_open(head(line))


def test_an_open_question_says_nothing_of_who_asks() -> None:
    asked = head(
        "GET /trust/ HTTP/1.1",
        "Host: x.local",
        "Cookie: session=1",
        "Authorization: Basic YQ==",
        "Content-Length: 5",
        "User-Agent: a tablet",
    )
    bare = http1.bare(asked)
    assert bare.startswith(b"GET /trust/ HTTP/1.1\r\nhost: x.local\r\n")
    for word in (b"cookie", b"authorization", b"content-length"):
        assert word not in bare.lower()
    assert b"user-agent: a tablet" in bare


def test_the_proxy_line_is_the_protocols() -> None:
    """The PROXY protocol, version 1, section 2.1 [memory]."""
    line = http1.proxy_line("192.168.7.31", 50123)
    assert line == b"PROXY TCP4 192.168.7.31 127.0.0.1 50123 0\r\n"
    assert http1.proxy_line("fd00::31", 1) == b"PROXY TCP6 fd00::31 ::1 1 0\r\n"


def refusal_of(raw: bytes) -> int:
    """The status with which a request is refused; 0 when it is read whole."""
    try:
        read = http1.read_head(raw)
        assert 0 <= read.length <= http1.LARGEST_BODY
        assert "\r" not in read.host
        http1.is_open(read)
        http1.bare(read)
    except NotServed as refused:
        return refused.status
    return 0


@given(st.binary(max_size=300))
def test_whatever_comes_is_read_or_refused(noise: bytes) -> None:
    assert refusal_of(noise + http1.END_OF_HEAD) in {0, *http1.REASONS}


FIELD = st.tuples(
    st.sampled_from(["Host", "Content-Length", "Expect", "X"]),
    st.text("0123456789abc.:[]- ", max_size=12),
)


@given(st.lists(FIELD, max_size=5))
def test_whatever_fields_come_are_read_or_refused(
    fields: list[tuple[str, str]],
) -> None:
    lines = "".join(f"{key}: {value}\r\n" for key, value in fields)
    raw = f"GET /trust/ HTTP/1.1\r\n{lines}\r\n".encode()
    assert refusal_of(raw) in {0, 400, 413}
