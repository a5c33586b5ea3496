"""Refusals of services: a message for the person, nothing was changed."""

from collections.abc import Mapping

from django.utils.functional import Promise

Text = str | Promise


class Refused(Exception):
    """An act that the shop's rules don't allow now; says why.

    ``field`` names the form's field beside which the message belongs.
    """

    def __init__(self, message: Text, *, field: str | None = None) -> None:
        self.message = message
        self.field = field
        super().__init__(message)

    def __str__(self) -> str:
        return str(self.message)


class StaleEdit(Exception):
    """Somebody else saved the row first: what is mine, what is theirs."""

    def __init__(self, mine: Mapping[str, object], theirs: Mapping[str, object]):
        self.mine = mine
        self.theirs = theirs
        super().__init__("The row was saved by somebody else meanwhile.")
