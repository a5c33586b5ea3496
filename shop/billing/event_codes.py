"""The money's own codes of an event, by the names that people read."""

from collections.abc import Mapping

from django.utils.functional import Promise

from shop.billing.models import LabourKind, Payment, QuoteAnswer
from shop.billing.shelf_models import Claim, ClaimEnd, StockCount
from shop.records.kinds import Kind
from shop.records.models import Event

Names = Mapping[str, str | Promise]
NAMES: Mapping[tuple[str, str], Names] = {
    (Kind.TIME_RECORDED, "kind"): dict(LabourKind.choices),
    (Kind.PAYMENT_TAKEN, "method"): dict(Payment.Method.choices),
    (Kind.QUOTE_DECLINED, "decline_reason"): dict(QuoteAnswer.DeclineReason.choices),
    (Kind.STOCK_COUNTED, "reason"): dict(StockCount.Reason.choices),
    (Kind.CLAIM_OPENED, "how"): dict(Claim.Kind.choices),
    (Kind.CLAIM_ENDED, "how"): dict(ClaimEnd.How.choices),
}


def name_of(event: Event, what: str, code: str) -> str | None:
    named = NAMES.get((event.kind, what), {}).get(code)
    return None if named is None else str(named)
