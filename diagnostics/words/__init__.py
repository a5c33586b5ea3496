"""The engine's codes, said in plain words through gettext.

The engine returns codes with values; nothing else in the house turns them into
sentences. A new code gets its message in one of the modules here; a test finds
every code of the engine worded.
"""

from django.utils.translation import gettext as _

from diagnostics.engine.errors import EngineError
from diagnostics.engine.reasons import Reason
from diagnostics.words import (
    advice,
    calculators,
    errors,
    family_doctor,
    gates,
    part_tests,
    verdicts,
)
from diagnostics.words.values import shown, span

__all__ = [
    "ERRORS",
    "SENTENCES",
    "error_sentence",
    "part_result_name",
    "part_settle_sentence",
    "sentence",
    "settle_sentence",
    "settle_tap",
    "span",
    "verdict_name",
]

SENTENCES = {
    **verdicts.WORDS,
    **gates.WORDS,
    **calculators.WORDS,
    **part_tests.WORDS,
    **family_doctor.WORDS,
    **advice.WORDS,
}
ERRORS = {**errors.WORDS, **SENTENCES}


def sentence(reason: Reason) -> str:
    """The reason as one sentence; its values shown as a person reads them."""
    return _(SENTENCES[reason.code]).format(**shown(reason.values))


def error_sentence(error: EngineError) -> str:
    """What was refused, and what to do instead."""
    return _(ERRORS[error.code]).format(**shown(error.values))


def settle_sentence(code: str) -> str:
    """What would settle an unclear verdict."""
    return _(verdicts.SETTLES[code])


def part_settle_sentence(code: str) -> str:
    """What would settle a guided part test."""
    return _(part_tests.SETTLES[code])


def part_result_name(word: str, *, is_likely: bool = False) -> str:
    """The word of a guided part test, as a heading."""
    likely = part_tests.LIKELY.get(word) if is_likely else None
    return _(likely or part_tests.NAMES[word])


def settle_tap(code: str) -> str:
    """What the tap is called that leads to it."""
    return _(verdicts.TAPS[code])


def verdict_name(word: str) -> str:
    """The verdict's word, as a heading."""
    return _(verdicts.NAMES[word])
