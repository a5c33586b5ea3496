"""What the bench refuses, each with its reason in words."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from diagnostics.engine.gates import Hold
from shop.records.errors import Refused


class HeldOff(Refused):
    """A check that must not be done yet: why, and which check frees it."""

    def __init__(self, holds: Sequence[Hold], why: str) -> None:
        self.holds = tuple(holds)
        super().__init__(
            _("Held off: %(why)s Take %(check)s first.")
            % {"why": why, "check": self.holds[0].frees}
        )


class OtherContents(Refused):
    """The same reading was sent again with other contents."""

    def __init__(self) -> None:
        super().__init__(
            _("This reading is already kept with other contents. Nothing changed.")
        )


class WrongCondition(Refused):
    """Cold checks need a board without power, powered ones a board with it."""

    def __init__(self, *, is_powered_check: bool) -> None:
        if is_powered_check:
            text = _("This check is taken with power on the board.")
        else:
            text = _(
                "This check is taken with no power on the board: "
                "ohms on a live net lie and hurt the meter."
            )
        super().__init__(text, field="condition")
