"""The sealed stream: written out by hand from the paper, and broken in every way."""

import io

import pytest
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from hypothesis import given
from hypothesis import strategies as st

from shop.keeping import sealed
from shop.keeping.sealed import Damaged, Foreign, Opener, Sealer

SECRET, SALT = b"s" * 20, b"n" * 32
SMALL = 16
STEP = SMALL + sealed.TAG_BYTES


@pytest.fixture(autouse=True, scope="module")
def small_chunks() -> object:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sealed, "CHUNK", SMALL)
        yield


def seal(data: bytes, secret: bytes = SECRET) -> bytes:
    target = io.BytesIO()
    sealer = Sealer(target, secret, SALT)
    for start in range(0, len(data), 7):
        sealer.write(data[start : start + 7])
    sealer.finish()
    return target.getvalue()


def opened(data: bytes, secret: bytes = SECRET) -> bytes:
    return Opener(io.BytesIO(data), secret).read()


def test_hkdf_is_the_one_of_rfc_5869() -> None:
    """RFC 5869, A.1: the first of its test cases, with SHA-256."""
    made = sealed.derived(
        bytes.fromhex("0b" * 22),
        bytes.fromhex("000102030405060708090a0b0c"),
        bytes.fromhex("f0f1f2f3f4f5f6f7f8f9"),
        42,
    )
    assert made.hex() == (
        "3cb25f25faacd57a90434f64d0362f2a2d2d0a90cf1a5a4c5db02d56ecc4c5bf"
        "34007208d5b887185865"
    )


def test_the_stream_is_the_papers_written_out_by_hand() -> None:
    """STREAM: nonce = prefix, the chunk's number in 32 bits, 1 for the last alone."""
    made = HKDF(SHA256(), 39, SALT, b"coldrail backup 1").derive(SECRET)
    cipher, prefix = AESGCM(made[:32]), made[32:]
    whole = seal(bytes(range(40)))
    head, body = whole[: sealed.HEAD_BYTES], whole[sealed.HEAD_BYTES :]
    assert head == b"COLDRAIL BACKUP 1\n" + sealed.key_id(SECRET) + SALT
    nonces = [
        prefix + b"\0\0\0\0" + b"\0",
        prefix + b"\0\0\0\1" + b"\0",
        prefix + b"\0\0\0\2" + b"\1",
    ]
    chunks = [body[:STEP], body[STEP : 2 * STEP], body[2 * STEP :]]
    plain = [
        cipher.decrypt(nonce, chunk, head)
        for nonce, chunk in zip(nonces, chunks, strict=True)
    ]
    assert b"".join(plain) == bytes(range(40))


@given(st.binary(max_size=100))
def test_what_was_sealed_opens_again(data: bytes) -> None:
    assert opened(seal(data)) == data


@given(st.binary(max_size=60), st.data())
def test_any_other_bytes_are_refused(data: bytes, draw: st.DataObject) -> None:
    whole = bytearray(seal(data))
    at = draw.draw(st.integers(0, len(whole) - 1))
    whole[at] ^= draw.draw(st.integers(1, 255))
    with pytest.raises((Damaged, Foreign)):
        opened(bytes(whole))


@given(st.binary(max_size=60), st.data())
def test_any_shorter_or_longer_one_is_refused(data: bytes, draw: st.DataObject) -> None:
    whole = seal(data)
    end = draw.draw(st.integers(0, len(whole) - 1))
    for other in (whole[:end], whole + b"\0" * (end + 1)):
        with pytest.raises((Damaged, Foreign)):
            opened(other)


@pytest.mark.parametrize(
    "order", [(1, 0, 2, 3), (0, 2, 3), (0, 1, 1, 2, 3), (0, 1, 2), (3,), ()]
)
def test_chunks_out_of_place_are_refused(order: tuple[int, ...]) -> None:
    whole = seal(bytes(3 * SMALL + 5))
    head, body = whole[: sealed.HEAD_BYTES], whole[sealed.HEAD_BYTES :]
    chunks = [body[n * STEP : (n + 1) * STEP] for n in range(4)]
    assert opened(head + b"".join(chunks)) == bytes(3 * SMALL + 5)
    with pytest.raises(Damaged):
        opened(head + b"".join(chunks[n] for n in order))


def test_a_chunk_of_another_file_is_refused() -> None:
    """The same key and place, another salt."""
    other = io.BytesIO()
    sealer = Sealer(other, SECRET, b"m" * 32)
    sealer.write(bytes(10))
    sealer.finish()
    mixed = seal(bytes(10))[: sealed.HEAD_BYTES] + other.getvalue()[sealed.HEAD_BYTES :]
    with pytest.raises(Damaged):
        opened(mixed)


def test_another_key_is_said_to_be_another_key() -> None:
    with pytest.raises(Foreign, match="another recovery key"):
        opened(seal(b"data"), b"t" * 20)
