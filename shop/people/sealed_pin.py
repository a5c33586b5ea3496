"""A PIN typed while the network was away: sealed on the tablet, opened here alone.

The tablet can't check a PIN (what it would check against could be guessed there), so it
seals it for this house and keeps it until the network is back. Sealed is: an ephemeral
P-256 key, HKDF-SHA-256, AES-256-GCM (as in RFC 9180's design, with WebCrypto's means).
The house's key pair follows from its secret key, so that every worker has it and it
goes with the rotation of that key.
"""

import base64
import binascii
import json
from typing import Any

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from django.conf import settings

INFO = b"coldrail.switch"
POINT, NONCE = 65, 12
# The order of P-256 (FIPS 186-4, D.1.2.3); a private key is 1 to n - 1.
ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551


def public_key() -> str:
    """The point for which tablets seal, uncompressed, in base64."""
    point = _private(settings.SECRET_KEY).public_key()
    raw = point.public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    return base64.b64encode(raw).decode()


def opened(sealed: str) -> dict[str, Any] | None:
    """What a tablet sealed; ``None`` for anything else."""
    try:
        box = base64.b64decode(sealed, validate=True)
    except (binascii.Error, ValueError):
        return None
    for secret in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS):
        try:
            found = json.loads(_opened(box, _private(secret)))
        except (InvalidTag, ValueError):
            continue
        return found if isinstance(found, dict) else None
    return None


def _opened(box: bytes, private: ec.EllipticCurvePrivateKey) -> bytes:
    point = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), box[:POINT])
    key = _key(private.exchange(ec.ECDH(), point))
    nonce, sealed = box[POINT : POINT + NONCE], box[POINT + NONCE :]
    return AESGCM(key).decrypt(nonce, sealed, None)


def _key(shared: bytes) -> bytes:
    return HKDF(SHA256(), length=32, salt=b"", info=INFO).derive(shared)


def _private(secret: str) -> ec.EllipticCurvePrivateKey:
    derived = HKDF(SHA256(), length=48, salt=None, info=INFO).derive(secret.encode())
    number = int.from_bytes(derived, "big") % (ORDER - 1) + 1
    return ec.derive_private_key(number, ec.SECP256R1())
