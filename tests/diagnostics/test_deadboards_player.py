"""Some boards of the benchmark played by the engine, beside the fixed walk.

The boards are from a general circuit simulator (tests/data/deadboards/), none of
their readings is known to the family. Few virtual boards make it quick; the whole
benchmark is played by ``manage.py deadboards FILE``.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from diagnostics.deadboards import scoring, serving
from diagnostics.deadboards.family import point_id
from diagnostics.deadboards.learned import Lessons
from diagnostics.deadboards.player import MOST_MINUTES, Play, check_of, model_of
from diagnostics.deadboards.scoring import Facts, Score, play_all, powered_too_early
from diagnostics.deadboards.walk import order, walk
from diagnostics.engine.models import Model
from tests.engine.benchmark import recorded, table

pytestmark = pytest.mark.one_database

VIRTUAL_BOARDS = 24
GATES = {"adapter_jack.ohms.unpowered", "main_rail.ohms.unpowered"}
HEALTHY = ("train-0005", "train-0015", "train-0035", "train-0045")
INTO_SHORT = ("train-0058", "train-0059")  # main shorted, the jack shorted
PLAYED = (
    *HEALTHY,
    *INTO_SHORT,
    "train-0008",  # a leak on main
    "train-0026",  # the fuse open
    "train-0043",  # core shorted
    "train-0052",  # a weak adapter
    "train-0016",  # USB-C from here: memory shorted
    "train-0021",  # no contract
    "train-0031",  # the button worn
    "train-0044",  # a leaky Super I/O
    "train-0057",  # a run switch open
)
# The benchmark's README: what a meter cannot tell apart.
ALIKE = (
    "main_capacitor shorted / standby_controller supply pin shorted inside",
    "sio dead / flash_chip corrupt",
    "chipset rail shorted inside / chipset_capacitor shorted",
    "cpu core shorted / core_capacitor shorted",
    "adapter five volts only / pd_controller does not negotiate",
)
Case = Mapping[str, Any]


def cases() -> Iterator[dict[str, Any]]:
    for family in scoring.FAMILIES:
        for board in recorded(family):
            if board.id in PLAYED:
                yield {
                    "id": board.id,
                    "family": family,
                    "true_fault": {"part": board.part, "mode": board.mode},
                    "readings": {
                        check: {"value": shown if shown == "OL" else float(shown)}
                        for check, shown in board.readings.items()
                    },
                }


CASES = {case["id"]: case for case in cases()}


def facts() -> Facts:
    minutes = {row["check"]: float(row["minutes"]) for row in table("checks")}
    costs = {
        family: {check: minutes[check] for check in next(recorded(family)).readings}
        for family in scoring.FAMILIES
    }
    split = [[part.partition(" ") for part in one.split(" / ")] for one in ALIKE]
    return Facts(costs, [frozenset((p, m) for p, _s, m in one) for one in split])


FACTS = facts()


@pytest.fixture(scope="module")
def models() -> dict[str, Model]:
    return {
        family: model_of(family, FACTS.costs[family], VIRTUAL_BOARDS)
        for family in scoring.FAMILIES
    }


@pytest.fixture(scope="module")
def played(models: dict[str, Model]) -> dict[str, tuple[Play, list[str], float]]:
    """Each board's play, the names and how sure the first is."""
    return {name: play_of(case, models) for name, case in CASES.items()}


def play_of(case: Case, models: dict[str, Model]) -> tuple[Play, list[str], float]:
    play = Play(models[case["family"]], FACTS.costs[case["family"]])
    while (check := play.next_ask()) is not None:
        play.take(check, case["readings"][check]["value"])
    return play, *play.answer()


def reader(case: Case) -> Callable[[str], float | str]:
    def read(check: str) -> float | str:
        shown: float | str = case["readings"][check]["value"]
        return shown

    return read


def right_parts(name: str) -> set[str]:
    fault = CASES[name]["true_fault"]
    return FACTS.right_parts((fault["part"], fault["mode"]))


def is_powered(check: str) -> bool:
    return ".volts." in check or check.startswith("supply_current")


Played = dict[str, tuple[Play, list[str], float]]


# --- the engine ------------------------------------------------------------------


def test_every_board_is_there() -> None:
    assert set(CASES) == set(PLAYED)
    assert {case["family"] for case in CASES.values()} == set(scoring.FAMILIES)


def test_the_right_set_comes_first(played: Played) -> None:
    """Measured: all 15 with 24 virtual boards; one may be missed."""
    right = [
        name
        for name, (_p, named, _s) in played.items()
        if named[0] in right_parts(name)
    ]
    assert len(right) >= len(PLAYED) - 1
    among = [
        name
        for name, (_p, named, _s) in played.items()
        if {*named[:3]} & right_parts(name)
    ]
    assert set(among) == set(PLAYED)


@pytest.mark.parametrize("name", HEALTHY)
def test_a_healthy_board_is_called_so(name: str, played: Played) -> None:
    _play, named, sure = played[name]
    assert named[0] == "none"
    assert 0.9 < sure <= 0.99


def test_no_power_before_both_gates_are_read(played: Played) -> None:
    for name, (play, _named, _sure) in played.items():
        first = next(
            (n for n, check in enumerate(play.asked) if is_powered(check)), None
        )
        if first is not None:
            assert set(play.asked[:first]) >= GATES, name


@pytest.mark.parametrize("name", INTO_SHORT)
def test_no_power_at_all_on_a_shorted_input(name: str, played: Played) -> None:
    play, named, _sure = played[name]
    assert not any(map(is_powered, play.asked))
    assert set(named[:2]) & right_parts(name)


def test_a_check_is_asked_once_and_the_minutes_are_those_of_the_asks(
    played: Played,
) -> None:
    for name, (play, _named, _sure) in played.items():
        costs = FACTS.costs[CASES[name]["family"]]
        assert len(set(play.asked)) == len(play.asked), name
        assert play.minutes == sum(costs[check] for check in play.asked)


def test_it_is_quicker_than_the_fixed_walk(
    played: Played, models: dict[str, Model]
) -> None:
    """And than the README's floor, 20.6 minutes on such boards."""
    asked = {
        name: walk(models[case["family"]].board, reader(case))[1]
        for name, case in CASES.items()
    }
    walked = sum(
        FACTS.costs[CASES[name]["family"]][check]
        for name, checks in asked.items()
        for check in checks
    )
    minutes = sum(play.minutes for play, _named, _sure in played.values())
    assert minutes < 0.5 * walked
    assert minutes / len(played) < 14


def test_it_ends_when_its_minutes_are_up(models: dict[str, Model]) -> None:
    play = Play(models["laptop-barrel"], FACTS.costs["laptop-barrel"])
    assert play.next_ask() is not None
    play.minutes = MOST_MINUTES
    assert play.next_ask() is None


def test_where_no_check_is_left_it_names(models: dict[str, Model]) -> None:
    play = Play(models["laptop-barrel"], {})
    assert play.next_ask() is None
    named, sure = play.answer()
    assert len(named) == 5
    assert 0 < sure < 1


def test_a_board_that_makes_no_sense_is_named_without_confidence(
    models: dict[str, Model],
) -> None:
    """Shorted and healthy by turns: nothing explains it."""
    family = "laptop-barrel"
    play = Play(models[family], FACTS.costs[family])
    for rail in ("standby_5v", "memory_rail", "chipset_rail", "cpu_core"):
        play.take(f"{rail}.ohms.unpowered", 0.06)
        play.take(f"{rail}.diode.unpowered", 0.9)
    _named, sure = play.answer()
    assert sure < 0.5


def test_a_wrong_name_costs_its_part(models: dict[str, Model]) -> None:
    """A nat is worth more where what is suspected takes long to change."""
    family = "laptop-barrel"
    button = Play(models[family], FACTS.costs[family])
    button.take("power_button.volts.pressed", 2.4)
    core = Play(models[family], FACTS.costs[family])
    core.take("cpu_core.ohms.unpowered", 0.2)
    assert core.worth_of_a_nat() > button.worth_of_a_nat() > 0


def test_looking_ahead_spends_less_than_greedy(
    played: Played, models: dict[str, Model]
) -> None:
    """Measured on all 220 recorded boards: as often right for a minute less."""
    short = play_all(CASES.values(), FACTS, models, is_greedy=True)
    assert short.first_by_set >= len(PLAYED) - 2
    minutes = sum(play.minutes for play, _named, _sure in played.values())
    assert minutes < short.minutes
    assert short.unsafe == 0


def test_a_careful_player_spends_more(models: dict[str, Model]) -> None:
    some = [CASES[name] for name in PLAYED[4:10]]
    hasty, careful = (
        play_all(some, FACTS, models, weight=weight).minutes for weight in (0.3, 3.0)
    )
    assert hasty < careful


def test_points_are_named_after_their_checks() -> None:
    assert check_of("main_rail.ohms.unpowered/main_rail") == "main_rail.ohms.unpowered"


# --- the fixed walk -----------------------------------------------------------------


def test_the_walk_begins_at_the_gates_and_lifts_nothing(
    models: dict[str, Model],
) -> None:
    for family, model in models.items():
        checks = order(model.board)
        assert set(checks[:2]) == GATES
        assert not any("lifted" in check for check in checks)
        assert set(checks) <= set(FACTS.costs[family])
        assert len(set(checks)) == len(checks)


def test_the_walk_ends_at_the_first_abnormal_reading(models: dict[str, Model]) -> None:
    case = CASES["train-0026"]
    named, asked = walk(models[case["family"]].board, reader(case))
    assert asked[-1] == "input_fuse.ohms.unpowered"
    assert named == ["adapter"]  # the commonest of its block, not the one at fault


@pytest.mark.parametrize("name", HEALTHY)
def test_the_walk_finds_nothing_on_a_healthy_board(
    name: str, models: dict[str, Model]
) -> None:
    case = CASES[name]
    board = models[case["family"]].board
    named, asked = walk(board, reader(case))
    assert named == ["none"]
    assert asked == order(board)


# --- scoring and serving -----------------------------------------------------------


def test_the_score_counts_what_was_played(models: dict[str, Model]) -> None:
    chosen = [CASES[name] for name in ("train-0005", "train-0058", "train-0043")]
    score = play_all(chosen, FACTS, models)
    assert (score.boards, score.healthy, score.healthy_right) == (3, 1, 1)
    assert score.first_by_set == score.among_three_by_set == 3
    assert score.unsafe == score.sure_wrong == 0
    assert score.wrong == []
    assert "boards 3" in score.line("engine")
    assert "by set 1.000 1.000" in score.line("engine")


def test_a_wrong_name_is_counted_and_told() -> None:
    score = Score()
    case = CASES["train-0043"]
    score.count(case, FACTS, ["cpu", "sio", "core_capacitor"], [], 0.95)
    score.count(case, FACTS, ["sio", "chipset"], ["cpu_core.volts.button"], 0.95)
    assert (score.first, score.first_by_set, score.among_three_by_set) == (0, 1, 1)
    assert (score.sure, score.sure_wrong, score.unsafe) == (2, 1, 1)
    assert score.squares == pytest.approx(0.05**2 + 0.95**2)
    assert score.minutes == FACTS.costs["laptop-barrel"]["cpu_core.volts.button"]
    (told,) = score.wrong
    assert told.startswith("train-0043: core_capacitor shorted")


def test_power_is_too_early_before_either_gate() -> None:
    jack, main = sorted(GATES)
    live = "main_rail.volts.adapter_in"
    assert powered_too_early([jack, live, main])
    assert powered_too_early([main, "supply_current.button", jack])
    assert not powered_too_early([main, jack, live])
    assert not powered_too_early([jack])


def test_the_scorer_is_served_line_by_line(
    models: dict[str, Model], played: Played, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "model_of", lambda family, _costs: models[family])
    name = "train-0021"
    case = CASES[name]
    messages: list[dict[str, Any]] = [
        {"family": case["family"], "costs": FACTS.costs[case["family"]], "readings": {}}
    ]
    answers: list[dict[str, Any]] = []

    def lines() -> Iterator[str]:
        while messages:
            yield json.dumps(messages.pop())

    for line in serving.serve(lines()):
        answers.append(json.loads(line))
        check = answers[-1].get("ask")
        if check is not None:
            reading = case["readings"][check]
            messages.append({"checkpoint": check, "reading": reading})
    play, named, sure = played[name]
    assert [answer["ask"] for answer in answers[:-1]] == play.asked
    assert answers[-1] == {"name": named, "confidence": round(sure, 4)}


def test_when_the_time_is_over_it_names_at_once(
    models: dict[str, Model], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "model_of", lambda family, _costs: models[family])
    main = {"value": 0.3, "unit": "ohm"}
    new = {
        "family": "laptop-barrel",
        "costs": FACTS.costs["laptop-barrel"],
        "readings": {"main_rail.ohms.unpowered": main},
    }
    closed = {"closed": {"part": "main_capacitor", "mode": "shorted"}}
    error = {"checkpoint": "rtc.volts.button", "error": "no such checkpoint"}
    sent = [{"over": True}, new, error, closed, {"over": True}]
    answers = [json.loads(line) for line in serving.serve(map(json.dumps, sent))]
    assert [sorted(answer) for answer in answers] == [
        ["ask"],
        ["ask"],
        ["confidence", "name"],
    ]
    assert answers[0] == answers[1]


def test_the_command_plays_a_file_beside_the_walk(
    models: dict[str, Model], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scoring, "models_for", lambda _facts: models)
    checks = {
        check: {"families": [f for f in FACTS.costs if check in FACTS.costs[f]]}
        for costs in FACTS.costs.values()
        for check in costs
    }
    board = {
        "checkpoints": checks,
        "same_by_meter": [list(map(list, one)) for one in FACTS.alike],
    }
    costs = {**FACTS.costs["laptop-barrel"], **FACTS.costs["laptop-usbc"]}
    (tmp_path / "board.json").write_text(json.dumps(board), encoding="utf-8")
    (tmp_path / "costs.json").write_text(json.dumps(costs), encoding="utf-8")
    assert scoring.facts_in(tmp_path) == FACTS
    lines = [json.dumps(CASES[name]) for name in ("train-0005", "train-0043")]
    (tmp_path / "boards.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    out = StringIO()
    file = tmp_path / "boards.jsonl"
    call_command("deadboards", file, frontier=True, stdout=out)
    walked, engine, *frontier = out.getvalue().splitlines()
    assert walked.startswith("fixed walk   boards 2")
    assert "by set 1.000 1.000" in engine
    assert [line.split()[:2] for line in frontier] == [
        [way, weight]
        for way in ("ahead", "greedy")
        for weight in ("0.5", "0.7", "1", "1.4", "2", "3")
    ]
    with pytest.raises(CommandError, match="name their model"):
        call_command("deadboards", file, learn=True, stdout=StringIO())
    lines = [json.dumps(case) for case in learnt()[:2]]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    out = StringIO()
    call_command("deadboards", file, learn=True, stdout=out)
    assert "boards 1-10  boards 2" in out.getvalue()


# --- learning -----------------------------------------------------------------------


def test_closed_boards_teach_what_is_common_and_what_is_usual(
    models: dict[str, Model],
) -> None:
    family, name = "laptop-barrel", "train-0026"  # the fuse open
    lessons = Lessons(models[family])
    assert lessons.before == pytest.approx(models[family].before)
    play = lessons.play(FACTS.costs[family])
    readings = CASES[name]["readings"]
    for check in ("cpu_core.ohms.unpowered", "input_fuse.ohms.unpowered"):
        play.take(check, readings[check]["value"])
    lessons.close(play, **CASES[name]["true_fault"])
    row = models[family].kernels.predictions.faults.index(("p.input_fuse", "open"))
    assert lessons.before[row] > 1.2 * models[family].before[row]
    assert lessons.goods == {
        point_id("cpu_core.ohms.unpowered"): [
            readings["cpu_core.ohms.unpowered"]["value"]
        ]
    }
    assert len(lessons.play({}).weighing.usual) == 1
    lessons.close(play, "fan", "worn")
    assert len(lessons.findings) == 1


def learnt() -> list[dict[str, Any]]:
    """A healthy board twelve times, as of one model."""
    healthy = CASES["train-0005"]
    return [{**healthy, "id": f"l-{n}", "board_model": "m"} for n in range(12)]


def test_figures_by_tens_of_a_model(models: dict[str, Model]) -> None:
    scores = scoring.learn_all(learnt(), FACTS, models)
    assert [score.boards for score in scores.values()] == [10, 2, 0]
    first, then, _later = scores.values()
    assert first.healthy_right + then.healthy_right == 12
    assert then.minutes / 2 < first.minutes / 10


def test_the_scorer_may_say_what_a_board_turned_out_to_be(
    models: dict[str, Model], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "model_of", lambda family, _costs: models[family])
    family = "laptop-barrel"
    main = {"main_rail.ohms.unpowered": {"value": 1e5, "unit": "ohm"}}
    new = {"family": family, "costs": FACTS.costs[family], "readings": main}
    board = [{**new, "board_model": "m"}, {"closed": {"part": "none", "mode": "-"}}]
    sent = [
        *board * 3,
        {**new, "board_model": "m"},
        {"over": True},
        new,
        {"over": True},
    ]
    answers = [json.loads(line) for line in serving.serve(map(json.dumps, sent))]
    named = [answer for answer in answers if "name" in answer]
    assert [answer["name"][0] for answer in named] == ["none", "none"]
    assert named[0]["confidence"] > named[1]["confidence"]


def test_the_command_needs_a_file() -> None:
    with pytest.raises(CommandError, match="file of boards"):
        call_command("deadboards")
