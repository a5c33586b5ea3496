"""What the author of a family should know of it before a bench relies on it. PURE.

The strict reading comes first: what it refuses is the one finding. A family that
reads is then looked at as a whole: what is wrong (a gate that needs power, an option
that doesn't read, a rail that its block doesn't make) and what is worth knowing (a
failure that no check shows, failures that nothing tells apart, a check that tells
nothing, a change in the circuit without effect). What a failure shows is asked in
one place, ``family_shown``.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from diagnostics.engine.boards import Board, Patch, board_of
from diagnostics.engine.circuit.parts import Fault, split
from diagnostics.engine.errors import FamilyError
from diagnostics.engine.family import Family
from diagnostics.engine.family_file import Path, Source
from diagnostics.engine.family_layers import read_documents
from diagnostics.engine.family_load import load_family_texts, options_of
from diagnostics.engine.family_shown import OnBoard, Shown, shown_on, without_effect
from diagnostics.engine.reasons import Reason, reason


@dataclass(frozen=True)
class Finding:
    """What was found, at which file and line; ``line`` is ``None`` where none is.

    ``is_wrong`` tells a mistake from what is only worth knowing.
    """

    reason: Reason
    file: str
    line: int | None
    is_wrong: bool


def examine(texts: Mapping[str, str]) -> tuple[Finding, ...]:
    """Everything found in a family's texts: mistakes first, each in file order."""
    try:
        patient = Patient(load_family_texts(texts))
    except FamilyError as error:
        return (refusal(error),)
    looked = [finding for look in LOOKS for finding in look(patient)]
    return tuple(sorted(looked, key=lambda one: not one.is_wrong))


def refusal(error: FamilyError) -> Finding:
    """What the strict reading refused, as a finding."""
    line = error.values.get("line")
    where = str(error.values.get("file") or "")
    said = Reason(error.code, dict(error.values))
    return Finding(said, where, line if isinstance(line, int) else None, True)


@dataclass(frozen=True)
class Patient:
    """A family that reads, with its sources and the boards that it may be."""

    family: Family

    @cached_property
    def source(self) -> Source:
        return read_documents(self.family.texts)[1]

    @cached_property
    def choices(self) -> tuple[Patch, ...]:
        """Every option of every variant, as a board model chooses it."""
        return tuple(
            Patch(f"variants.{name}", option)
            for name, options in options_of(self.family).items()
            for option in options
        )

    @cached_property
    def boards(self) -> tuple[Board, ...]:
        """The plain board, and one for each option that leaves other things out."""
        plain = board_of(self.family)
        found = {plain.not_fitted: plain}
        for choice in self.choices:
            try:
                board = board_of(self.family, [choice])
            except FamilyError:
                continue
            found.setdefault(board.not_fitted, board)
        return tuple(found.values())

    @cached_property
    def on_boards(self) -> tuple[OnBoard, ...]:
        return tuple(shown_on(self.boards))

    @cached_property
    def sound(self) -> tuple[Shown, ...]:
        """What a good board shows, by board."""
        return tuple(one.sound for one in self.on_boards)

    @cached_property
    def shown(self) -> Mapping[Fault, tuple[tuple[Shown, ...], ...]]:
        """By way of failing: what each of its faults shows, board by board."""
        every = dict.fromkeys(key for one in self.on_boards for key in one.faulty)
        return {
            key: tuple(one.faulty.get(key, ()) for one in self.on_boards)
            for key in every
        }

    def wrong(self, said: Reason, path: Path) -> Finding:
        return Finding(said, *self.source.place(path), is_wrong=True)

    def note(self, said: Reason, path: Path) -> Finding:
        return Finding(said, *self.source.place(path), is_wrong=False)

    def path_of(self, key: Fault) -> Path:
        """Where a way of failing is written; one of an option is at its part."""
        part_id, mode_id, _place = split(key)
        ids = [mode.id for mode in self.family.parts[part_id].modes]
        at = [place for place, one in enumerate(ids) if one == mode_id]
        return ("parts", part_id, "modes", *at)


# --- what is wrong ----------------------------------------------------------------


def _options(patient: Patient) -> Iterator[Finding]:
    """An option that the reading refuses would be found by a board model alone."""
    for choice in patient.choices:
        try:
            board_of(patient.family, [choice])
        except FamilyError as error:
            _variants, name = choice.key.split(".", 1)
            said = reason(
                "option_refused", option=str(choice.value), variant=name, why=error.code
            )
            path = ("variants", name, "options", str(choice.value), "set")
            yield patient.wrong(said, path)


def _shared_ids(patient: Patient) -> Iterator[Finding]:
    for part_id in patient.family.parts:
        if part_id in patient.family.blocks:
            yield patient.wrong(reason("shared_id", id=part_id), ("parts", part_id))


def _makers(patient: Patient) -> Iterator[Finding]:
    """Each rail is made by the block that it names; each signal by one block."""
    family = patient.family
    made: dict[str, list[str]] = {}
    for block in family.blocks.values():
        for node in block.makes:
            made.setdefault(node, []).append(block.id)
    for rail in family.rails.values():
        if made.get(rail.id) != [rail.source_block]:
            said = reason("not_made_there", id=rail.id, block=rail.source_block)
            yield patient.wrong(said, ("rails", rail.id, "block"))
    for signal in family.signals:
        if len(made.get(signal, ())) != 1:
            said = reason("not_made_once", id=signal)
            yield patient.wrong(said, ("signals", signal))


def _gates(patient: Patient) -> Iterator[Finding]:
    """Power needs gates, and no gate may need power to be read."""
    family = patient.family
    powered = [check.id for check in family.checks.values() if check.is_powered]
    if powered and not family.power_gates:
        yield patient.wrong(reason("no_power_gates"), ("power", "gates"))
    for gate in Board(family).guards_of_power:
        before = [gate]
        while before:
            check = family.checks[before.pop()]
            before += [*check.needs, *check.gates]
            if check.is_powered:
                said = reason("gate_needs_power", gate=gate, check=check.id)
                yield patient.wrong(said, ("checks", gate))


def _walked_early(patient: Patient) -> Iterator[Finding]:
    """In a walk, what a check needs comes before it."""
    family = patient.family
    for walk in family.walks.values():
        for place, check_id in enumerate(walk):
            check = family.checks[check_id]
            for later in walk[place + 1 :]:
                if later in (*check.needs, *check.gates):
                    said = reason("walked_too_early", check=check_id, needed=later)
                    yield patient.wrong(said, ("walks", check.stage))


# --- what is worth knowing ----------------------------------------------------------


def _unseen(patient: Patient) -> Iterator[Finding]:
    """A way of failing that shows nowhere, on any board."""
    for key in patient.shown:
        if not _is_seen(patient, key):
            said = reason("unseen", part=key[0], mode=key[1])
            yield patient.note(said, patient.path_of(key))


def _is_seen(patient: Patient, key: Fault) -> bool:
    return any(
        fault != sound
        for faults, sound in zip(patient.shown[key], patient.sound, strict=True)
        for fault in faults
    )


def _not_told_apart(patient: Patient) -> Iterator[Finding]:
    """Ways of failing of different parts that show the same at every point."""
    alike: dict[tuple[frozenset[tuple[tuple[str, str], ...]], ...], list[Fault]] = {}
    for key, by_board in patient.shown.items():
        if _is_seen(patient, key):
            mark = tuple(
                frozenset(tuple(fault.items()) for fault in faults)
                for faults in by_board
            )
            alike.setdefault(mark, []).append(key)
    for keys in alike.values():
        if len({part for part, _mode in keys}) > 1:
            named = ", ".join(f"{part}:{mode}" for part, mode in keys)
            yield patient.note(
                reason("not_told_apart", modes=named), patient.path_of(keys[0])
            )


def _tells_nothing(patient: Patient) -> Iterator[Finding]:
    """A check at which no way of failing shows."""
    telling = {
        point_id
        for by_board in patient.shown.values()
        for faults, sound in zip(by_board, patient.sound, strict=True)
        for fault in faults
        for point_id, state in fault.items()
        if state != sound[point_id]
    }
    for check in patient.family.checks.values():
        if telling.isdisjoint(point.id for point in check.points):
            said = reason("tells_nothing", check=check.id)
            yield patient.note(said, ("checks", check.id))


def _without_effect(patient: Patient) -> Iterator[Finding]:
    """A change in the circuit that changes no reading beside the others."""
    for (part, way), place in without_effect(patient.boards[0], patient.on_boards[0]):
        said = reason("change_without_effect", part=part, mode=way, number=place + 1)
        yield patient.note(said, ("circuit", "faults", part, way, place))


def _unread_rails(patient: Patient) -> Iterator[Finding]:
    """A rail that no check reads."""
    read = {point.rail for point in patient.family.points.values()}
    for rail_id in patient.family.rails:
        if rail_id not in read:
            yield patient.note(reason("rail_unread", id=rail_id), ("rails", rail_id))


def _empty_blocks(patient: Patient) -> Iterator[Finding]:
    """A block without parts can never hold the fault."""
    held = {part.block for part in patient.family.parts.values()}
    for block_id in patient.family.blocks:
        if block_id not in held:
            yield patient.note(reason("no_parts", id=block_id), ("blocks", block_id))


LOOKS = (
    _options,
    _shared_ids,
    _makers,
    _gates,
    _walked_early,
    _unseen,
    _not_told_apart,
    _tells_nothing,
    _without_effect,
    _unread_rails,
    _empty_blocks,
)
