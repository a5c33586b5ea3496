"""What this room's columns hold (``shop/records/holding.py``): no customer is here."""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "Person": table(
        staff="username name email language hides_suspects is_active joined_at"
        " last_login",
        keys="password",
        technical="id must_change_password session_epoch",
    ),
    "Shop": table(
        business="name street town country phone email tax_id account currency"
        " time_zone paper_size languages rolls",
        technical="id backup_place version",
    ),
    "Membership": table(staff="person role since ends_on", technical="id shop"),
    "Station": table(
        staff="enrolled_by",
        keys="token_hash",
        business="name is_bench",
        technical="id shop enrolled_at ended_at seen_at wrong_tries",
    ),
    "Terms": table(
        business="valid_from hourly_rate_minor cost_rate_minor increment_minutes"
        " diagnosis_fee_minor diagnosis_minutes fee_rule consumables_minor"
        " minimum_minor express_percent no_fix_rule"
        " tax_basis_points tax_name prices_with_tax first_word_days"
        " quote_reminder_days unclaimed_first_days unclaimed_second_days"
        " unclaimed_last_days cap_percent quote_valid_days payment_days"
        " warranty_days liquid_warranty_days untaxed_as untaxed_reason",
        technical="id shop",
    ),
    "MarkupTier": table(
        business="terms cost_below_minor percent minimum_minor", technical="id"
    ),
    "LabourRate": table(
        staff="person", business="terms kind rate_minor", technical="id"
    ),
    "FixedJob": table(business="terms name price_minor minutes", technical="id"),
    "Pin": table(staff="person set_at", keys="keyed_hash", technical="id wrong_tries"),
    "Badge": table(
        staff="person made_by made_at",
        keys="token_hash",
        technical="id shop ended_at",
    ),
    "LateSwitch": table(
        staff="person switched_at is_confirmed",
        keys="key",
        technical="station received_at",
    ),
    "OfficeLimits": table(
        staff="by",
        business="valid_from untouched_days unanswered_days owed_days set_at",
        technical="id shop",
    ),
    "OpeningHours": table(business="weekday opens closes", technical="id shop"),
    "ClosedDay": table(business="first last name", technical="id shop"),
    "ShopText": table(
        staff="by", business="kind language text is_ours made_at", technical="id shop"
    ),
    "TextsRead": table(staff="by at", technical="id shop"),
    "Logo": table(staff="by", business="png kept_at", technical="id shop"),
    "ZoneChange": table(staff="by", business="at before after", technical="id shop"),
}
