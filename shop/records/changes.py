"""What a setting was and what it is, as an event keeps it: PURE."""

from collections.abc import Iterator, Mapping

BEFORE = "_before"
Value = str | int | bool | None


def before_after(
    before: Mapping[str, Value], after: Mapping[str, Value]
) -> dict[str, Value]:
    """Of what changed the new value under its name, the old one beside it.

    >>> before_after({"owed_days": 14, "size": "A4"}, {"owed_days": 21, "size": "A4"})
    {'owed_days': 21, 'owed_days_before': 14}
    """
    return {
        key: value
        for name, new in after.items()
        if (old := before.get(name)) != new
        for key, value in ((name, new), (f"{name}{BEFORE}", old))
    }


def changes_in(told: Mapping[str, Value]) -> Iterator[tuple[str, Value, Value]]:
    """Each change of an event: its name, before, after.

    >>> list(changes_in({"owed_days": 21, "owed_days_before": 14, "what": "office"}))
    [('owed_days', 14, 21)]
    """
    for name, after in told.items():
        if f"{name}{BEFORE}" in told:
            yield name, told[f"{name}{BEFORE}"], after
