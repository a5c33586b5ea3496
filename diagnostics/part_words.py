"""A step of a part test and its result as a person reads them."""

from django.utils.translation import gettext as _

from diagnostics import words
from diagnostics.engine.guided import Answer, Ask, Mode, Result, Said
from diagnostics.engine.packages import Channel, Outline, Pins, Setup
from diagnostics.figures import show
from diagnostics.words import part_steps

# The mark that goes with a word; what a chip is has none.
MARKS = {
    "good": "good",
    "bad": "bad",
    "unclear": "unclear",
    "no_evidence": "unclear",
    "redo": "unclear",
}


def title(ask: Ask, setup: Setup | None) -> str:
    if setup is None and ask.step in part_steps.CHIP:
        return _(part_steps.CHIP[ask.step])
    return _(part_steps.STEPS[ask.step][0])


def what_to_do(ask: Ask, setup: Setup | None) -> str:
    text = _(part_steps.STEPS[ask.step][1])
    if setup is not None and not setup.is_lifted and is_of_gate(ask):
        text = _(part_steps.IN_OHMS)
    pins = setup.pins if setup else None
    return text.format(red=on(ask.red, pins), black=on(ask.black, pins))


def expected(ask: Ask, setup: Setup | None) -> str:
    if setup is not None and not setup.is_lifted:
        slot = "gate" if is_of_gate(ask) else ask.step
        if slot in part_steps.IN_CIRCUIT:
            return _(part_steps.IN_CIRCUIT[slot])
    if ask.step == "forward" and setup and setup.channel is Channel.UNKNOWN:
        return _(part_steps.EITHER_CHANNEL)
    is_asked_openly = setup is None and ask.mode is not Mode.ACT
    text = "" if is_asked_openly else part_steps.STEPS[ask.step][2]
    return _(text) if text else ""


def is_of_gate(ask: Ask) -> bool:
    return ask.step.startswith("gate_")


def on(pins: tuple[int, ...], known: Pins | None) -> str:
    """ "source (pin 1, 2 or 3)"; bare pins where they are asked one by one."""
    numbers = [str(pin) for pin in pins]
    listed = _(" or ").join(filter(None, [", ".join(numbers[:-1]), *numbers[-1:]]))
    role = role_of(pins, known)
    if not role:
        return _("pin %(pins)s") % {"pins": listed}
    name = _(part_steps.ROLES[role])
    return _("%(role)s (pin %(pins)s)") % {"role": name, "pins": listed}


def role_of(pins: tuple[int, ...], known: Pins | None) -> str:
    if known is None:
        return ""
    roles = {"gate": known.gate, "source": known.source, "drain": known.drain}
    return next((role for role, own in roles.items() if own == pins), "")


def answered(answer: Answer) -> str:
    """The answer as the list of steps shows it."""
    if answer.said is Said.VALUE and answer.value is not None:
        return show(answer.value, answer.unit)
    return _(part_steps.ANSWERS[answer.choice or answer.said.value])


def choice(value: str) -> str:
    return _(part_steps.ANSWERS[value])


def result(found: Result) -> dict[str, object]:
    """The word with its mark, why, and what would settle it."""
    return {
        "word": words.part_result_name(found.word, is_likely=found.is_likely),
        "mark": MARKS.get(found.word, ""),
        "row": found.row,
        "reasons": [words.sentence(one) for one in found.reasons],
        "settle": [words.part_settle_sentence(one) for one in found.settle],
    }


def described(setup: Setup) -> list[str]:
    """The part as it was described, in short phrases."""
    told = [
        _(part_steps.OUTLINES[setup.outline]),
        _(part_steps.CHANNELS[setup.channel]),
    ]
    if setup.outline is Outline.DUAL:
        told.append(_("die %(die)s") % {"die": setup.die})
    seat = "lifted" if setup.is_lifted else setup.seat.value
    return [*told, _(part_steps.SEATS[seat])]


def link(name: str) -> str:
    return _(part_steps.LINKS[name])


def unfinished() -> str:
    return _("Not settled yet")
