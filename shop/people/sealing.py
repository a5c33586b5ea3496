"""Second factors' secrets are kept sealed with a key that is not in the database."""

import base64
import logging

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings

log = logging.getLogger(__name__)


def _of(secret: str) -> Fernet:
    derived = HKDF(SHA256(), length=32, salt=None, info=b"coldrail.second-factors")
    return Fernet(base64.urlsafe_b64encode(derived.derive(secret.encode())))


def _keys() -> MultiFernet:
    secrets = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    return MultiFernet([_of(secret) for secret in secrets])


def seal(text: str) -> str:
    return _keys().encrypt(text.encode()).decode()


def unseal(sealed: str) -> str | None:
    """What was sealed; ``None`` if the key of that time is gone."""
    try:
        return _keys().decrypt(sealed.encode()).decode()
    except InvalidToken:
        log.error("a second factor can't be unsealed: its key is gone")
        return None
