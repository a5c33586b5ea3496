"""What this room's columns hold (``shop/records/holding.py``).

Papers of account are kept as issued for the years that the law asks; then the columns
named ``paper`` are emptied, which the tables' triggers let through (``PAPERS``).
"""

from shop.records.holding import Table, table

LINE = "position code text quantity_thousandths unit unit_price_ten_thousandths"
LINE += " tax_category tax_basis_points net_minor currency"
TABLES: dict[str, Table] = {
    "TimeEntry": table(
        staff="person",
        business="kind minutes started_at",
        technical="id ticket reverses",
    ),
    "StockItem": table(
        business="code name part_id barcode supplier reorder_at cost_minor currency"
        " on_hand",
        technical="id shop place",
    ),
    "StockMove": table(
        staff="by",
        business="quantity lot cost_minor why at",
        technical="id item ticket reverses expires_at order_line",
    ),
    "PartUse": table(
        staff="by",
        business="name part_id quantity currency cost_minor price_minor is_salvaged at",
        technical="id ticket move reverses",
    ),
    "OrderLine": table(
        business="supplier name reference their_code quantity awaited currency"
        " price_minor due_on ordered_at",
        technical="id shop ticket item",
    ),
    "StockLot": table(
        business="name is_salvaged cost_minor price_minor quantity left",
        technical="id item came_by origin",
    ),
    "LotDraw": table(business="quantity", technical="id move lot"),
    "LineMove": table(technical="id line move"),
    "StockCount": table(
        staff="by",
        business="expected counted reason at",
        technical="id item move",
    ),
    "Claim": table(
        staff="by",
        business="kind supplier name quantity currency worth_minor at",
        technical="id shop item ticket order_line move replacement",
    ),
    "ClaimEnd": table(
        staff="by",
        business="how currency amount_minor reference at",
        technical="id claim",
    ),
    "Quote": table(
        paper="cause risk",
        staff="by",
        business="version option option_title currency net_minor tax_minor"
        " total_minor cap_minor deposit_minor valid_until seller sent_at",
        technical="id ticket",
        of_ticket="ticket",
    ),
    "QuoteLine": table(business=LINE, technical="id quote", of_ticket="quote__ticket"),
    "QuoteDraft": table(
        paper="cause",
        staff="by",
        business="version risks at",
        technical="id ticket",
        of_ticket="ticket",
    ),
    "QuoteDraftLine": table(
        business=LINE, technical="id draft", of_ticket="draft__ticket"
    ),
    "QuoteAnswer": table(
        customer="answered_by",
        staff="recorded_by",
        business="is_yes decline_reason channel total_minor at",
        technical="id quote of_version",
        of_ticket="quote__ticket",
    ),
    "Invoice": table(
        paper="buyer device story",
        staff="by",
        business="kind number is_partial currency seller evidence net_minor tax_minor"
        " total_minor prepaid_minor due_on warranty_until texts issued_at"
        " plain_because",
        technical="id shop serial ticket corrects",
        of_customer="account__customer",
        of_ticket="ticket",
    ),
    "InvoiceLine": table(
        business=LINE,
        technical="id invoice corrects",
        of_customer="invoice__account__customer",
        of_ticket="invoice__ticket",
    ),
    "InvoiceTax": table(
        business="category basis_points currency taxable_minor tax_minor reason",
        technical="id invoice",
        of_customer="invoice__account__customer",
        of_ticket="invoice__ticket",
    ),
    "Payment": table(
        paper="reference back_reason",
        staff="by",
        business="currency amount_minor rounding_minor method at",
        technical="id shop ticket invoice",
        of_customer="invoice__account__customer",
        of_ticket="ticket",
    ),
    "AccountInvoice": table(
        business="month", technical="id invoice customer", of_customer="customer"
    ),
    "BilledTicket": table(technical="id ticket invoice", of_ticket="ticket"),
    "PaidTogether": table(technical="id payment first"),
    "PaymentRules": table(
        staff="by",
        business="valid_from deposit_paper cash_step_minor",
        technical="id shop",
    ),
    "ConfirmedDay": table(
        staff="person day seen entries is_whole until by at",
        technical="id shop round newest_entry",
    ),
    "LoanDevice": table(
        business="name serial kept_since ended_at", technical="id shop"
    ),
    "Loan": table(
        staff="given_by",
        business="given_at due_on given_with currency deposit_minor deposit_method",
        technical="id ticket device",
        of_ticket="ticket",
    ),
    "LoanReturn": table(
        staff="by",
        business="at state currency deposit_back_minor",
        technical="id loan",
        of_ticket="loan__ticket",
    ),
}
