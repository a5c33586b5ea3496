"""``manage.py family_doctor``: what it prints, and when it ends with 1."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from diagnostics.engine import family_doctor

HEAD = 'id = "mine"\nname = "Mine"\nversion = 1\nextends = "desktop_atx"\n'


def doctor(*args: str) -> tuple[str, int]:
    """What was printed, and the exit code."""
    out = StringIO()
    try:
        call_command("family_doctor", *args, stdout=out)
    except SystemExit as ended:
        return out.getvalue(), int(str(ended.code))
    return out.getvalue(), 0


def written(folder: Path, more: str) -> str:
    head = folder / "mine.toml"
    head.write_text(HEAD + more, encoding="utf-8")
    return str(head)


@pytest.fixture
def finds_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the doctor says of each of ours is the engine's test."""
    monkeypatch.setattr(family_doctor, "examine", lambda _texts: ())


def test_without_a_name_all_of_ours_are_looked_at(finds_nothing: None) -> None:
    printed, code = doctor()
    assert code == 0
    for family in ("laptop_barrel", "laptop_usbc", "desktop_atx"):
        assert f"{family}: 0 wrong" in printed


def test_the_weak_places_of_ours_are_listed() -> None:
    printed, code = doctor("laptop_barrel")
    assert code == 0
    assert "laptop_barrel: 0 wrong" in printed
    assert "WRONG" not in printed
    assert "No check shows p.pack:worn" in printed
    assert "laptop_barrel/blocks.toml:" in printed


def test_one_of_ours_by_its_id(finds_nothing: None) -> None:
    printed, code = doctor("desktop_atx")
    assert code == 0
    assert printed.startswith("desktop_atx: ")
    assert "laptop_usbc:" not in printed


def test_a_file_that_builds_on_one_of_ours(tmp_path: Path) -> None:
    printed, code = doctor(written(tmp_path, ""))
    assert code == 0
    assert "mine.toml: 0 wrong" in printed


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            '[changes]\n"rails.atx.12.ohms.okfrom" = 3\n',
            "mine.toml:6: “rails.atx.12.ohms.okfrom” is not known here.",
        ),
        (
            '[changes]\n"rails.sb.33.needs" = ["sb.34"]\n',
            "mine.toml:6: “rails.sb.33.needs” names “sb.34”, which doesn’t exist.",
        ),
        (
            '[changes]\n"rails.sb.33.needs" = ["ec.33"]\n',
            "mine.toml:6: needs go round: sb.33 > ec.33 > sb.33.",
        ),
        (
            '[leaves_out]\nparts = []\n[rails."sb.33"]\n',
            "mine.toml:7:",
        ),
        ('files = ["gone.toml"]\n', "mine.toml:5: the file “gone.toml” can’t be read."),
        ("[power\n", "mine.toml:5:"),
        (
            '[changes]\n"blocks.sleep.makes" = []\n',
            "“dual.5” says that block “sleep” makes it",
        ),
    ],
)
def test_a_mistake_is_told_with_its_place_and_ends_with_1(
    tmp_path: Path, more: str, said: str
) -> None:
    printed, code = doctor(written(tmp_path, more))
    assert code == 1
    assert said in printed
    assert "WRONG" in printed


def test_what_is_neither_a_file_nor_ours_is_refused() -> None:
    with pytest.raises(CommandError, match="none of ours: laptop_barrel"):
        doctor("toaster")
