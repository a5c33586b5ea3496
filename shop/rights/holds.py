"""What this room's columns hold, and those of the packages that we build on.

None of them knows a customer: sessions and factors are of who works here.
"""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "Period": table(staff="by", business="what days at", technical="id shop"),
}
OF_PACKAGES: dict[str, dict[str, Table]] = {
    "account": {
        "EmailAddress": table(staff="user email verified primary", technical="id"),
        "EmailConfirmation": table(
            staff="email_address", keys="key", technical="id created sent"
        ),
    },
    "mfa": {
        "Authenticator": table(
            staff="user type created_at last_used_at", keys="data", technical="id"
        ),
    },
    "auth": {
        "Permission": table(technical="id name content_type codename"),
        "Group": table(technical="id name"),
        "Group_permissions": table(technical="id group permission"),
    },
    "contenttypes": {"ContentType": table(technical="id app_label model")},
    "sessions": {
        "Session": table(keys="session_key session_data", technical="expire_date")
    },
}
