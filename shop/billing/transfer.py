"""The code on an invoice from which a bank's app fills in the transfer."""

from django.utils.safestring import SafeString

from shop import qr
from shop.billing.einvoice.cii import plain
from shop.billing.models import Invoice

# EPC069-12: euros alone, at most 999 999 999.99, a name of at most 70 signs; all of it
# fits in 331 bytes, of which the name may have what the rest leaves.
MOST_MINOR = 99_999_999_999
LONGEST_NAME = 70
NAME_BYTES = 200


def payment_code(invoice: Invoice) -> SafeString | str:
    """The code for what is due; nothing where there is no IBAN or nothing to pay."""
    due = invoice.due_when_issued
    iban = invoice.seller.get("iban", "")
    is_possible = invoice.currency == "EUR" and iban and 0 < due.minor <= MOST_MINOR
    if invoice.kind != Invoice.Kind.INVOICE or not is_possible:
        return ""
    return qr.transfer(
        name=_short(invoice.seller["name"]),
        iban=iban,
        amount=due.amount,
        reference=invoice.number,
    )


def _short(name: str) -> str:
    whole = " ".join(plain(name).split())[:LONGEST_NAME]
    return whole.encode()[:NAME_BYTES].decode(errors="ignore")
