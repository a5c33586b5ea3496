"""Invented people, their tickets, and 200 questions with slips, from one seed.

``python -m tests.shop.searching.invented`` writes ``tests/data/questions/`` anew; a
test holds the files to it. Names are put together from syllables, so nobody is meant.

A question is made from one ticket, which is the answer that is looked for. Whatever
tells more than three tickets apart no better than luck is not asked: a surname that
four tickets share is left to chance by any search. Slips are of the four kinds of
Damerau (1964): a sign wrong (the key beside it), missing, too much, two swapped; and
what the eye does to a label: O for 0, l for 1, a hyphen dropped.
"""

import csv
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path

from shop.intake import numbers
from shop.searching import plain

FOLDER = Path(__file__).resolve().parents[2] / "data" / "questions"
SEED, TICKETS, QUESTIONS, SERIAL = 8, 600, 200, 3000
MOST_ALIKE = 3

FIRST = "An Bel Cor Dag El Fen Gis Hal Ir Jor Kel Lun Mar Nor Os Per Quin Ros Sil Tam"
FIRST_END = "a e in is o us ette ric wen ya"
LAST = "Bran Cald Dors Ebb Farr Gold Hask Ing Jarn Kess Lang Mold Nett Oster Prin Quar"
LAST += " Rind Stav Thorn Ulv Vash Wend Yar Zell Brück Łoz Øst Çel"
LAST_MID = "a e i o en er al"
LAST_END = "by cott dahl el feld gren ham ke low mann nik rup ski ton vik worth"
MAKES = "Orrin Heron Plover Tern Sorrel Lapwing Dunlin Avocet"
TOLD_OF = (
    "coffee tea rain juice|over the keyboard,into the hinge,by the fan,on the desk",
    "dropped knocked fell|from a ladder,off a bicycle,down the stairs,in the train",
    "hisses clicks buzzes smells|when charging,under load,after lunch,on battery only",
    "black white flickering striped|picture,screen since Monday,lid when bent,display",
    "dead slow hot silent|after an update,since a storm,overnight,in the garden",
)
AND = (
    "Photos are on it. Needed for school. The grandchildren used it. Warranty is over."
)
AND += " A cousin opened it. The pack is swollen. Thesis inside. Bought second hand."
FOUND_OF = "shorted cracked corroded lifted burnt loose"
PARTS = "capacitor inductor fuse connector mosfet controller crystal resistor socket"
WHERE = "near the charge port,under the shield,beside the memory,at the edge,by a screw"
KEYS = ("qwertyuiop", "asdfghjkl", "zxcvbnm", "1234567890")


@dataclass(frozen=True)
class Invented:
    """A ticket: who brought what, and what was said of it."""

    serial_number: int
    name: str
    phone: str
    device: str
    serial: str
    board: str
    old_number: str
    told: str
    found: str

    @property
    def number(self) -> str:
        return numbers.number_of(self.serial_number)

    @property
    def surname(self) -> str:
        return self.name.split()[-1]


@dataclass(frozen=True)
class Question:
    """What somebody types, of which kind, and the ticket it was made from."""

    kind: str
    typed: str
    number: str


def tickets(seed: int = SEED, count: int = TICKETS) -> list[Invented]:
    draw = random.Random(seed)
    found: list[Invented] = []
    for n in range(count):
        # Every fourth is of somebody who was here before.
        known = draw.choice(found) if found and draw.random() < 0.25 else None
        found.append(_ticket(draw, SERIAL + n, known))
    return found


def _ticket(draw: random.Random, n: int, known: Invented | None) -> Invented:
    name = f"{first(draw)} {last(draw)}"
    phone = f"0{draw.randrange(10**9, 10**10)}"
    size = draw.choice((13, 14, 15, 17))
    what, _bar, how = draw.choice(TOLD_OF).partition("|")
    told = f"{draw.choice(what.split())} {draw.choice(how.split(','))}."
    told += f" {draw.choice(AND.split('. ')).rstrip('.')}."
    part = f"{draw.choice(FOUND_OF.split())} {draw.choice(PARTS.split())}"
    code = "".join(draw.choice("ABCDEFGHJKLMNPRSTUVWXYZ") for _letter in range(3))
    return Invented(
        n,
        known.name if known else name,
        known.phone if known else f"{phone[:4]} {phone[4:7]} {phone[7:]}",
        f"{draw.choice(MAKES.split())} {size}",
        f"{code[0]}{draw.randrange(10)}-{draw.randrange(10**4):04}-{draw.randrange(1000):03}{code[1]}",
        f"{code[1:]}-{draw.randrange(10**3, 10**4)} rev {draw.randrange(1, 5)}",
        f"A{draw.randrange(10**4, 10**5)}" if draw.random() < 0.3 else "",
        told[0].upper() + told[1:],
        f"{part} {draw.choice(WHERE.split(','))}" if draw.random() < 0.7 else "",
    )


def first(draw: random.Random) -> str:
    return draw.choice(FIRST.split()) + draw.choice(FIRST_END.split())


def last(draw: random.Random) -> str:
    middle = draw.choice(LAST_MID.split()) if draw.random() < 0.6 else ""
    return draw.choice(LAST.split()) + middle + draw.choice(LAST_END.split())


def slip(text: str, draw: random.Random) -> str:
    """One of Damerau's four, in a letter or digit, never the same text."""
    places = [n for n, sign in enumerate(text) if sign.isalnum()]
    while True:
        at = draw.choice(places)
        sign, beside = text[at], _beside(text[at], draw)
        slipped = draw.choice(
            (
                text[:at] + beside + text[at + 1 :],
                text[:at] + text[at + 1 :],
                text[:at] + sign + beside + text[at + 1 :],
                text[:at] + text[at + 1 : at + 2] + sign + text[at + 2 :],
            )
        )
        if plain.words(slipped) != plain.words(text):
            return slipped


def _beside(sign: str, draw: random.Random) -> str:
    """The key to the left or right on its row of the keyboard."""
    row = next((row for row in KEYS if sign.lower() in row), KEYS[0])
    at = row.find(sign.lower())
    return row[max(0, min(len(row) - 1, at + draw.choice((-1, 1))))]


def mislabel(serial: str, draw: random.Random) -> str:
    """As the eye reads it off a label."""
    if draw.random() < 0.5:
        serial = serial.replace("-", "")
    return serial.translate(str.maketrans("01", "O" + draw.choice("lI"))).lower()


def wrong_digit(number: str, draw: random.Random) -> str:
    """A wrong digit or two swapped; the first stays, as nobody gets that wrong."""
    at = draw.randrange(1, len(number))
    swapped = number[: at - 1] + number[at] + number[at - 1] + number[at + 1 :]
    wrong = number[:at] + str((int(number[at]) + draw.randrange(1, 10)) % 10)
    wrong += number[at + 1 :]
    return swapped if swapped != number and draw.random() < 0.5 else wrong


def three_words(one: Invented, draw: random.Random) -> str:
    said = [word for word in f"{one.told} {one.found}".split() if len(word) > 4]
    words = draw.sample(said, min(3, len(said)))
    return " ".join([slip(words[0], draw), *words[1:]])


Maker = Callable[[Invented, random.Random], str]
MAKERS: dict[str, tuple[int, Maker]] = {
    "name": (50, lambda one, draw: slip(one.name, draw)),
    "surname": (20, lambda one, draw: slip(one.surname, draw)),
    "name and device": (
        25,
        lambda one, draw: f"{slip(one.surname, draw)} {one.device.split()[0]}",
    ),
    "name and fault": (
        20,
        lambda one, draw: f"{one.told.split()[0]} {slip(one.surname, draw)}",
    ),
    "end of phone": (20, lambda one, draw: one.phone[-7:]),
    "phone": (10, lambda one, draw: slip(one.phone.replace(" ", ""), draw)),
    "serial": (15, lambda one, draw: mislabel(one.serial, draw)),
    "serial with a slip": (10, lambda one, draw: slip(one.serial, draw)),
    "board and name": (10, lambda one, draw: f"{one.board[:7]} {slip(one.name, draw)}"),
    "ticket number": (10, lambda one, draw: wrong_digit(one.number, draw)),
    "told and found": (10, three_words),
}


def questions(all_of: Sequence[Invented], seed: int = SEED) -> Iterator[Question]:
    draw = random.Random(seed + 1)
    for kind, (count, make) in MAKERS.items():
        asked = 0
        while asked < count:
            one = draw.choice(all_of)
            typed = make(one, draw)
            if tells(kind, one, typed, all_of):
                asked += 1
                yield Question(kind, typed, one.number)


def tells(kind: str, one: Invented, typed: str, all_of: Sequence[Invented]) -> bool:
    """Whether what was meant, without its slip, is true of three tickets at most."""
    if kind == "ticket number":
        return not numbers.is_valid(typed)
    if kind == "told and found":
        meant = _meant(typed, one)
        return len(meant) == 3 and _holding(meant, all_of) <= MOST_ALIKE
    if kind in {"surname", "name and device", "name and fault"}:
        return sum(other.surname == one.surname for other in all_of) <= MOST_ALIKE
    if kind == "end of phone":
        return sum(typed in other.phone for other in all_of) <= MOST_ALIKE
    return sum(other.name == one.name for other in all_of) <= MOST_ALIKE


def _meant(typed: str, one: Invented) -> set[str]:
    """The words of the ticket that were typed right, and the one that was not."""
    right = {word for word in plain.words(typed) if word in said(one)}
    return right | {"(slip)"} if len(plain.words(typed)) == 3 else set()


def _holding(meant: set[str], all_of: Sequence[Invented]) -> int:
    right = meant - {"(slip)"}
    return sum(right <= said(one) for one in all_of)


@cache
def said(one: Invented) -> frozenset[str]:
    return frozenset(plain.words(f"{one.told} {one.found}"))


def write(name: str, rows: Sequence[Invented] | Sequence[Question]) -> str:
    """The rows as CSV."""
    columns = [column.name for column in fields(rows[0])]
    path = FOLDER / name
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(columns)
        out.writerows([getattr(row, column) for column in columns] for row in rows)
    return path.read_text(encoding="utf-8")


if __name__ == "__main__":
    made = tickets()
    write("tickets.csv", made)
    write("questions.csv", list(questions(made)))
