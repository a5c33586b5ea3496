"""MOSFET tests played with whatever may be read: strategies for laws."""

from hypothesis import strategies as st

from diagnostics.engine import mosfet
from diagnostics.engine.guided import Answer, Ask, Mode, Position, Said, Taken
from diagnostics.engine.packages import Channel, Outline, Seat, Setup

DONE = Answer(Said.DONE)
EDGES = [0.0, 0.02, 0.04, 0.05, 0.2, 0.3, 0.45, 0.7, 0.75, 0.9, 1.5, 2.5]

VOLTS = st.one_of(st.sampled_from(EDGES), st.floats(0, 3)).map(
    lambda volts: Answer(Said.VALUE, volts, "V")
)
OHMS = st.one_of(
    st.sampled_from([0.1, 0.4, 4.0, 9.0, 400.0, 1e3, 5e3, 20e3, 1e6, 1e7]),
    st.floats(0, 1e8),
).map(lambda ohms: Answer(Said.VALUE, ohms, "ohm"))
OPEN = st.just(Answer(Said.OPEN))
LEAD_OHMS = st.sampled_from([0.0, 0.2])

SETUPS = st.builds(
    Setup,
    outline=st.sampled_from([Outline.EIGHT, Outline.DUAL, Outline.THREE]),
    channel=st.sampled_from(list(Channel)),
    is_lifted=st.booleans(),
    seat=st.sampled_from(list(Seat)),
    diode_volts=st.sampled_from([1.5, 3.0]),
    lead_ohms=LEAD_OHMS,
)
KINDS = {
    Mode.DIODE: st.one_of(OPEN, VOLTS),
    Mode.OHMS: st.one_of(OPEN, OHMS),
    Mode.DIODE_OR_OHMS: st.one_of(OPEN, VOLTS, OHMS),
    Mode.OHMS_OR_DIODE: st.one_of(OPEN, VOLTS, OHMS),
}


def answer_to(ask: Ask, data: st.DataObject) -> Answer:
    if ask.mode is Mode.ACT:
        return DONE
    is_usual = bool(data.draw(st.integers(0, 3)))
    if ask.step.endswith("_joined") and is_usual:
        return Answer(Said.VALUE, 0.3, "ohm")
    if ask.may_be_absent and not is_usual:
        return Answer(Said.NOT_FITTED)
    if ask.choices and not is_usual:
        return Answer(Said.CHOICE, choice=ask.choices[0])
    return data.draw(KINDS[ask.mode])


def played(setup: Setup, data: st.DataObject) -> tuple[list[Taken], Position]:
    """A test played to its end, whatever is read; never more than its bound."""
    taken: list[Taken] = []
    for _turn in range(mosfet.STEPS_AT_MOST + 1):
        position = mosfet.position(setup, taken)
        if position.next is None:
            return taken, position
        taken.append(Taken(position.next.step, answer_to(position.next, data)))
    raise AssertionError("it asks for ever")
