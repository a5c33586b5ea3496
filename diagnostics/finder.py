"""What the circuit finder knows of a board model: marks, groups, words on them.

Rows become the engine's values here, and its findings go back to the rows.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from diagnostics.engine.boards import Board
from diagnostics.engine.calculators.markings import microhenries
from diagnostics.engine.landmarks import (
    Found,
    Inductor,
    Mark,
    Outline,
    find,
    groups_of,
)
from diagnostics.engine.landmarks_apart import circuits_of, rails_of
from diagnostics.engine.landmarks_figures import Circuit, Landmark, Side
from diagnostics.models import BoardMark, BoardModel, BoardPicture, CircuitWord

COLUMNS, ROWS = "ABCDEFGH", "123456"  # cells of a picture, for words: C4
WHOLE = (0.0, 0.0, 1.0, 1.0)
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Face:
    """One side: its picture, what stands on it, and where the board lies in it."""

    picture: BoardPicture
    marks: tuple[BoardMark, ...]

    @property
    def side(self) -> Side:
        return Side(self.picture.side)

    @property
    def box(self) -> Box:
        """Left, top, right, bottom in parts of the picture: between two corners."""
        corners = [one for one in self.marks if one.kind == BoardMark.Kind.CORNER]
        if len(corners) < 2:
            return WHOLE
        across = sorted(one.x for one in corners)
        down = sorted(one.y for one in corners)
        box = across[0], down[0], across[-1], down[-1]
        return box if box[0] < box[2] and box[1] < box[3] else WHOLE

    @property
    def outline(self) -> Outline:
        left, top, right, bottom = self.box
        width, height = self.picture.width, self.picture.height
        return Outline((right - left) * width, (bottom - top) * height)

    def on_board(self, mark: BoardMark) -> tuple[float, float]:
        """Its place in parts of the board."""
        left, top, right, bottom = self.box
        return (mark.x - left) / (right - left), (mark.y - top) / (bottom - top)

    def in_picture(self, x: float, y: float) -> tuple[float, float]:
        """The other way."""
        left, top, right, bottom = self.box
        return left + x * (right - left), top + y * (bottom - top)

    def in_frame(self, mark: BoardMark) -> tuple[float, float]:
        """In diagonals of the board, both sides in one frame."""
        return self.outline.place(*self.on_board(mark), self.side)


@dataclass(frozen=True)
class GroupSeen:
    """A group with its letter, its rows, and the words that stand on it."""

    letter: str
    found: Found
    face: Face
    marks: tuple[BoardMark, ...]
    words: tuple[CircuitWord, ...]

    @property
    def is_disputed(self) -> bool:
        return are_at_odds(self.words)

    @property
    def rail_id(self) -> str:
        """The rail that was named with the circuit, if one was."""
        named = {one.rail_id for one in self.words} - {""}
        return named.pop() if len(named) == 1 else ""

    @property
    def key(self) -> int:
        """By which a page asks for it: letters may move when marks go."""
        return self.marks[0].pk

    @property
    def newest_word(self) -> int:
        return max((one.pk for one in self.words), default=0)


@dataclass(frozen=True)
class Finding:
    """All that is known of a board model's circuits."""

    board_model: BoardModel
    board: Board
    faces: Mapping[Side, Face]
    groups: tuple[GroupSeen, ...]

    @property
    def landmarks(self) -> tuple[Mark, ...]:
        return tuple(landmarks_of(self.faces.values()))

    def group(self, key: str) -> GroupSeen | None:
        return next((one for one in self.groups if str(one.key) == key), None)


def finding_of(board_model: BoardModel, board: Board) -> Finding:
    """``board`` is the engine's: what it lacks is offered to no group."""
    faces = faces_of(board_model)
    words = tuple(
        CircuitWord.objects.filter(board_model=board_model)
        .select_related("by")
        .order_by("id")
    )
    return Finding(board_model, board, faces, groups_seen(faces, words, board))


def faces_of(board_model: BoardModel) -> dict[Side, Face]:
    """The newest picture of each side with its standing marks."""
    pictures = BoardPicture.objects.filter(board_model=board_model).order_by("id")
    newest = {Side(one.side): one for one in pictures}
    standing = BoardMark.objects.filter(
        picture__in=newest.values(), gone_at=None
    ).order_by("id")
    marks = list(standing)
    return {
        side: Face(picture, tuple(m for m in marks if m.picture_id == picture.pk))
        for side, picture in newest.items()
    }


def cell_of(x: float, y: float) -> str:
    """The cell of a picture in which a place lies, A1 to H6."""
    across, down = int(x * len(COLUMNS)), int(y * len(ROWS))
    return COLUMNS[min(across, len(COLUMNS) - 1)] + ROWS[min(down, len(ROWS) - 1)]


# --- groups -------------------------------------------------------------------


def groups_seen(
    faces: Mapping[Side, Face], words: Sequence[CircuitWord], board: Board
) -> tuple[GroupSeen, ...]:
    rows = {
        mark.pk: (face, mark)
        for face in faces.values()
        for mark in face.marks
        if mark.kind == BoardMark.Kind.INDUCTOR
    }
    groups = groups_of(_inductor(face, mark) for face, mark in rows.values())
    ids = [{one.id for one in group.members} for group in groups]
    spoken = [standing(words, place, ids) for place in range(len(groups))]
    found = find(
        groups,
        tuple(landmarks_of(faces.values())),
        confirmed={
            place: Circuit(own[-1].circuit)
            for place, own in enumerate(spoken)
            if own and not are_at_odds(own)
        },
        circuits=circuits_of(board),
    )
    return tuple(
        GroupSeen(
            letter=letter_of(place),
            found=one,
            face=rows[one.group.members[0].id][0],
            marks=tuple(rows[member.id][1] for member in one.group.members),
            words=spoken[place],
        )
        for place, one in enumerate(found)
    )


def _inductor(face: Face, mark: BoardMark) -> Inductor:
    assert mark.size is not None, "the database holds every inductor to a size"
    x, y = face.in_frame(mark)
    uh = microhenries(mark.marking)
    return Inductor(mark.pk, x, y, face.side, mark.size, mark.look, uh)


def landmarks_of(faces: Iterable[Face]) -> Iterable[Mark]:
    known = set(Landmark)
    for face in faces:
        for mark in face.marks:
            if mark.kind in known:
                x, y = face.in_frame(mark)
                yield Mark(Landmark(mark.kind), x, y, face.side)


def letter_of(place: int) -> str:
    """A to Z, then A2 and so on."""
    turn, letter = divmod(place, len(ascii_uppercase))
    return ascii_uppercase[letter] + (str(turn + 1) if turn else "")


# --- words --------------------------------------------------------------------


def standing(
    words: Sequence[CircuitWord], place: int, groups: Sequence[set[int]]
) -> tuple[CircuitWord, ...]:
    """Each person's newest word on a group that nobody decided over since."""
    own = [word for word in words if _of_group(word, groups) == place]
    newest = {word.by_id: word for word in own}
    settled = max((word.settles for word in own), default=0)
    return tuple(
        word
        for word in sorted(newest.values(), key=lambda one: one.pk)
        if word.pk > settled and word.circuit != Circuit.UNKNOWN
    )


def _of_group(word: CircuitWord, groups: Sequence[set[int]]) -> int | None:
    """The group that holds most of the inductors it was said of."""
    shared = [len(group & set(word.marks)) for group in groups]
    most = max(shared, default=0)
    return shared.index(most) if most else None


def are_at_odds(words: Iterable[CircuitWord]) -> bool:
    circuits = {one.circuit for one in words}
    rails = {one.rail_id for one in words} - {""}
    return len(circuits) > 1 or len(rails) > 1


# --- rails --------------------------------------------------------------------


def rails_served(finding: Finding) -> dict[str, list[GroupSeen]]:
    """Rails by id, with the confirmed groups that serve them."""
    served: dict[str, list[GroupSeen]] = {}
    for circuit in Circuit:
        confirmed = [
            one
            for one in finding.groups
            if one.found.is_confirmed and one.found.circuit is circuit
        ]
        plain = sorted(
            (one for one in confirmed if not one.rail_id),
            key=lambda one: -len(one.marks),
        )
        for one in confirmed:
            for rail in rails_of_group(finding.board, one, plain):
                served.setdefault(rail, []).append(one)
    return served


def rails_of_group(
    board: Board, one: GroupSeen, alike: Sequence[GroupSeen]
) -> tuple[str, ...]:
    """Its own rail; else by its circuit, the group of most inductors the core.

    ``alike`` are the groups of the same circuit without a rail of their own.
    """
    if one.rail_id:
        return (one.rail_id,)
    rails = rails_of(board, one.found.circuit)
    match one.found.circuit:
        case Circuit.CPU | Circuit.GRAPHICS:
            return rails[:1] if one is alike[0] else rails[1:]
        case Circuit.STANDBY:
            return tuple(rail for rail in rails if rail in {"sb.33", "sb.5"})
        case Circuit.CHARGE:
            return rails
        case _:
            return rails[:1]
