"""Every fault that a family knows has its plain words for the machine's owner."""

import re

import pytest

from diagnostics import bridge
from diagnostics.words import plain

pytestmark = pytest.mark.one_database
# Nets, abbreviations and trade words that a customer need not know.
JARGON = re.compile(r"[A-Z]{2}|\d|rail|mosfet|buck|chipset|gate|phase|p\.")


def test_every_way_of_failing_is_said_without_a_trade_word() -> None:
    for family in bridge.families():
        for part in family.parts.values():
            for mode in part.modes:
                for is_past in (False, True):
                    said = plain.fault(part.id, mode.id, is_past)
                    assert said, f"{part.id} {mode.id} has no plain words"
                    assert not JARGON.search(said), said


def test_no_plain_name_stands_for_a_part_of_no_family() -> None:
    known = {part_id for family in bridge.families() for part_id in family.parts}
    assert set(plain.THINGS) == known
    assert plain.fault("p.nothing", "open", False) == ""
