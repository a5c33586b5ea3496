"""A reason is a code with values: what the engine says instead of sentences."""

from dataclasses import dataclass, field

from diagnostics.engine.errors import Value


@dataclass(frozen=True)
class Reason:
    """Why something is so.

    ``code`` is a message id of ``diagnostics.words``; ``values`` are the
    quantities of its sentence, SI floats unless the key says otherwise.
    """

    code: str
    values: dict[str, Value] = field(default_factory=dict)


def reason(code: str, **values: Value) -> Reason:
    """Shorthand: ``reason("limit_outside", volts=0.41)``."""
    return Reason(code, values)
