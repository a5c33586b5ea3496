"""Why tickets are parked, each reason with the party and a usual time.

The times are judgement (jd), a start for a shop's own.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True)
class Preset:
    """One tap: ``reason`` and ``party`` are codes, ``length`` from now on."""

    reason: str
    party: str
    length: timedelta


PRESETS: Mapping[str, Preset] = {
    preset.reason: preset
    for preset in (
        Preset("drying", "resting", timedelta(hours=24)),
        Preset("soaking", "resting", timedelta(hours=2)),
        Preset("charging", "resting", timedelta(hours=2)),
        Preset("running", "resting", timedelta(hours=4)),
        Preset("cold_start", "resting", timedelta(hours=20)),
        Preset("consent", "customer", timedelta(days=3)),
        Preset("deposit", "customer", timedelta(days=5)),
        Preset("decision", "owner", timedelta(days=1)),
        Preset("data_work", "specialist", timedelta(days=10)),
    )
}
QUARTER = timedelta(minutes=15)


def ends(preset: Preset, now: datetime) -> datetime:
    """When it is over, on the next quarter of an hour."""
    end = now + preset.length
    over = timedelta(
        minutes=end.minute % 15, seconds=end.second, microseconds=end.microsecond
    )
    return end + QUARTER - over if over else end


def offered(now: datetime) -> Iterator[tuple[Preset, datetime]]:
    return ((preset, ends(preset, now)) for preset in PRESETS.values())
