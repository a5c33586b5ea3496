"""The engine as the benchmark's process: one JSON object a line, in and out."""

import json
from collections.abc import Iterable, Iterator
from typing import Any

from diagnostics.deadboards.learned import Lessons
from diagnostics.deadboards.player import Play, model_of
from diagnostics.engine.models import Model


def serve(lines: Iterable[str]) -> Iterator[str]:
    """Answers to the scorer's messages; a model is made once for each family."""
    models: dict[str, Model] = {}
    lessons: dict[str, Lessons] = {}
    mine: Lessons | None = None
    play: Play | None = None
    for line in lines:
        message: dict[str, Any] = json.loads(line)
        if "closed" in message:
            if play is not None and mine is not None:
                mine.close(play, **message["closed"])
            continue
        if "family" in message:
            family, costs = message["family"], message["costs"]
            if family not in models:
                models[family] = model_of(family, costs)
            name = message.get("board_model")
            mine = lessons.setdefault(name, Lessons(models[family])) if name else None
            play = mine.play(costs) if mine else Play(models[family], costs)
            for check, reading in message["readings"].items():
                play.take(check, reading["value"])
        elif play is not None and "reading" in message:
            play.take(message["checkpoint"], message["reading"]["value"])
        if play is not None:
            yield json.dumps(_answer(play, is_over="over" in message))


def _answer(play: Play, *, is_over: bool) -> dict[str, Any]:
    check = None if is_over else play.next_ask()
    if check is not None:
        return {"ask": check}
    named, sure = play.answer()
    return {"name": named, "confidence": round(sure, 4)}
