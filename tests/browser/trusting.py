"""Lets a Chromium of its own trust one authority, as a person would: in NSS's store.

Chromium on Linux reads the user's store, ``.pki/nssdb`` under the home folder. It is
written here by NSS itself (``libnss3``, which Chromium needs anyway), in a process of
its own: ``python trusting.py HOME CERTIFICATE``. Nothing about a certificate is
skipped then: name, dates, chain and limits are all checked.
"""

import ctypes
import sys
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

TRUSTED_FOR_SERVERS = b"C,,"


class Trust(ctypes.Structure):
    """CERTCertTrust: for servers, for mail, for programs."""

    _fields_ = [(name, ctypes.c_uint) for name in ("server", "mail", "program")]


def store_of(home: Path) -> Path:
    return home / ".pki" / "nssdb"


def trust(home: Path, certificate: Path) -> None:
    store = store_of(home)
    store.mkdir(parents=True, exist_ok=True)
    nss, reading = ctypes.CDLL("libnss3.so"), ctypes.CDLL("libsmime3.so")
    pointer = ctypes.c_void_p
    for function in (
        nss.PK11_GetInternalKeySlot,
        nss.CERT_GetDefaultCertDB,
        reading.CERT_DecodeCertFromPackage,
    ):
        function.restype = pointer
    _done(nss.NSS_InitReadWrite(f"sql:{store}".encode()), "NSS_InitReadWrite")
    slot = pointer(nss.PK11_GetInternalKeySlot())
    if nss.PK11_NeedUserInit(slot):
        _done(nss.PK11_InitPin(slot, None, b""), "PK11_InitPin")
    der = x509.load_pem_x509_certificate(certificate.read_bytes())
    raw = der.public_bytes(Encoding.DER)
    held = pointer(reading.CERT_DecodeCertFromPackage(raw, len(raw)))
    imported = nss.PK11_ImportCert(slot, held, ctypes.c_ulong(0), b"shop", 0)
    _done(imported, "PK11_ImportCert")
    wanted = Trust()
    decoded = nss.CERT_DecodeTrustString(ctypes.byref(wanted), TRUSTED_FOR_SERVERS)
    _done(decoded, "CERT_DecodeTrustString")
    store_handle = pointer(nss.CERT_GetDefaultCertDB())
    changed = nss.CERT_ChangeCertTrust(store_handle, held, ctypes.byref(wanted))
    _done(changed, "CERT_ChangeCertTrust")


def _done(status: int, what: str) -> None:
    if status:
        sys.exit(f"{what} failed.")


if __name__ == "__main__":
    trust(Path(sys.argv[1]), Path(sys.argv[2]))
