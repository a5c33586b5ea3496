"""A configuration profile that brings the authority to Apple's devices. PURE.

Keys as in Apple's "Configuration Profile Reference", certificate payloads [memory].
"""

import plistlib
import uuid

from cryptography import x509

from shop.serving import certificates

SPACE = uuid.UUID("6b8d1d5e-2f0c-5d0a-9f66-6f1f8a2c0a41")


def profile_of(authority: x509.Certificate, shop: str) -> bytes:
    """The same bytes for the same authority, so that it replaces itself."""
    print_ = certificates.fingerprint(authority).replace(" ", "").lower()
    name = f"Coldrail, {shop}"
    certificate = {
        "PayloadType": "com.apple.security.root",
        "PayloadVersion": 1,
        "PayloadIdentifier": f"local.coldrail.{print_[:12]}.authority",
        "PayloadUUID": str(uuid.uuid5(SPACE, print_)).upper(),
        "PayloadDisplayName": name,
        "PayloadCertificateFileName": "coldrail.cer",
        "PayloadContent": certificates.der_of(authority),
    }
    profile = {
        "PayloadType": "Configuration",
        "PayloadVersion": 1,
        "PayloadIdentifier": f"local.coldrail.{print_[:12]}",
        "PayloadUUID": str(uuid.uuid5(SPACE, f"profile {print_}")).upper(),
        "PayloadDisplayName": name,
        "PayloadDescription": "Lets this device trust the shop's own server.",
        "PayloadOrganization": shop,
        "PayloadRemovalDisallowed": False,
        "PayloadContent": [certificate],
    }
    return plistlib.dumps(profile)
