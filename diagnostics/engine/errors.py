"""What can go wrong in the engine: one base, four kinds.

An error carries a code and the values that its sentence needs; the words are
made outside (``diagnostics.words``), so that the engine speaks no language.
"""

from collections.abc import Mapping

Value = str | float | int | None


class EngineError(ValueError):
    """Base of all engine errors: a code and the values of its sentence."""

    def __init__(self, code: str, **values: Value) -> None:
        self.code = code
        self.values: Mapping[str, Value] = values
        details = ", ".join(f"{key}={value!r}" for key, value in values.items())
        super().__init__(f"{code}({details})" if details else code)


class TypedValueError(EngineError):
    """What was typed is not a value of the check's kind."""


class MeterError(EngineError):
    """A meter that cannot have given this reading, or has no accuracy."""


class FamilyError(EngineError):
    """A family file or a board model's patch that makes no sense."""


class EvidenceError(EngineError):
    """A reading, point or part that the board does not have."""
