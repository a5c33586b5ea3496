"""What this room's columns hold (``shop/records/holding.py``)."""

from shop.intake.counter_models import Signed
from shop.intake.models import STAYS_HERE
from shop.records.holding import Table, table

# Who left a machine to the shop has signed for it: its proof of ownership.
LEFT_TO_US = sorted(STAYS_HERE)
TABLES: dict[str, Table] = {
    "Customer": table(
        customer="name phone_typed phone_e164 email address channel tax_id country"
        " taxed",
        business="language is_account since",
        technical="id shop joined_to version erased_at",
        of_customer="pk",
        stamp="erased_at",
    ),
    "AccountTerms": table(
        customer="billing_contact billing_email",
        staff="by",
        business="valid_from is_open payment_days currency standing_cap_minor"
        " credit_limit_minor order_number needs_order language",
        technical="id shop customer",
        of_customer="customer",
    ),
    "AccountPrices": table(
        staff="by",
        business="valid_from currency hourly_rate_minor diagnosis_fee_minor"
        " markup_percent discount_basis_points",
        technical="id shop customer",
        of_customer="customer",
    ),
    # The kind of machine and its board are the bench's; which one it is, the owner's.
    "Device": table(
        customer="model serial contact",
        business="kind board_number_seen year_made",
        technical="id shop customer version",
        of_customer="customer",
    ),
    "Ticket": table(
        customer="their_reference tracking",
        business="number order_number old_number intake_kind goal opened_at liquid"
        " dropped hot_or_swollen opened_before triage fee_agreed currency"
        " diagnosis_fee_minor diagnosis_minutes fee_rule pre_approved_minor"
        " reassembly reassembly_minor express_percent",
        technical="id shop serial customer device returns_to came_with version"
        " erased_at",
        of_ticket="pk",
        stamp="erased_at",
    ),
    "Thing": table(
        customer="label",
        business="tag kind",
        technical="id ticket",
        of_ticket="ticket",
    ),
    "Place": table(business="name kind", technical="id shop made_at ended_at"),
    "Consent": table(
        business="purpose answer at", technical="id ticket", of_ticket="ticket"
    ),
    "Outcome": table(
        business="kind no_fix_reason at", technical="id ticket", of_ticket="ticket"
    ),
    "Handover": table(
        customer="given_to owing_reason tracking missing",
        business="at is_undone way drive price_minor",
        technical="id ticket",
        of_ticket="ticket",
        paper_if={"way__in": LEFT_TO_US},
    ),
    # Sealed and of nobody's row yet: looked through whenever somebody is erased.
    "IntakeDraft": table(
        customer="sealed",
        staff="person",
        technical="id shop key station saved_at ended_at",
    ),
    "Signature": table(
        customer="sealed",
        business="about at",
        technical="id ticket",
        of_ticket="ticket",
        paper_if={
            "about": Signed.HANDOVER,
            "ticket__handover__way__in": LEFT_TO_US,
        },
    ),
    "Passcode": table(
        customer="sealed",
        staff="kept_by",
        business="kind kept_at",
        technical="id ticket erased_at version",
        of_ticket="ticket",
        stamp="erased_at",
    ),
    "SlipLink": table(
        keys="random id_hash",
        technical="id shop ticket made_at expires_at revoked_at",
        of_ticket="ticket",
        stamp="revoked_at",
    ),
    "OutagePack": table(staff="printed_by", business="printed_at", technical="id shop"),
    "PaperSlip": table(
        staff="typed_by taken_by voided_by",
        business="number typed_at",
        technical="id pack shop serial ticket void_reason voided_at",
        of_ticket="ticket",
    ),
}
