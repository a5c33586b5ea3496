"""What a board model may choose: every choice that is offered the family takes."""

import pytest

from diagnostics.engine.boards import FAMILY_IDS, Patch, board_of, load_family
from diagnostics.engine.family_choices import choices_of

pytestmark = pytest.mark.long


@pytest.mark.parametrize("family_id", FAMILY_IDS)
def test_the_family_takes_each_choice(family_id: str) -> None:
    family = load_family(family_id)
    choices = choices_of(family)
    assert {one.key.split(".")[0] for one in choices} == {"variants", "counts"}
    for choice in choices:
        ends = (choice.least, choice.most) if not choice.options else choice.options
        for value in ends:
            board_of(family, [Patch(choice.key, value)])


def test_a_count_says_its_ends_and_a_variant_its_options() -> None:
    choices = {one.key: one for one in choices_of(load_family("laptop_barrel"))}
    phases, memory = choices["counts.cpu_phases"], choices["variants.memory"]
    assert (phases.least, phases.most, phases.options) == (1, 12, ())
    assert memory.default == "ddr4"
    assert {"ddr3", "ddr4", "ddr5"} <= set(memory.options)
