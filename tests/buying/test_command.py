"""`python -m planpress.buying FILE.json`, and what a reader is told of bad files and of parts that do not fit."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from planpress.buying.__main__ import main
from planpress.buying.boards.findings import board_findings
from planpress.buying.boards.records import BoardPart, BoardProblem, BoardStock

BOARDS = {
    "kerf": 2,
    "trim": 5,
    "stock": [{"length": 1800, "price": 540, "limit": None}, {"length": 1447, "price": 0, "limit": 2}],
    "parts": [{"length": 990, "qty": 3}, {"length": 400, "qty": 2}],
}
SHEETS = {
    "objective": "min_sheets",
    "guillotine": True,
    "stages": None,
    "kerf": 3,
    "trim": 5,
    "stock": [{"length": 2440, "width": 1220, "price": 1, "limit": None}],
    "parts": [{"length": 1200, "width": 500, "qty": 4, "rotate": False}],
}


def test_the_command_prints_one_object_and_nothing_else(tmp_path: Path) -> None:
    file = tmp_path / "boards.json"
    file.write_text(json.dumps(BOARDS))
    done = subprocess.run(
        [sys.executable, "-m", "planpress.buying", str(file)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0
    assert done.stderr == ""
    answer = json.loads(done.stdout)
    assert (answer["cost"], answer["bound"], answer["proven"]) == (540, 540, True)
    assert sorted(part for board in answer["boards"] for part in board["parts"]) == [0, 0, 0, 1, 1]
    assert set(answer) == {"cost", "bound", "proven", "seconds", "told", "boards"}


def test_sheets_come_with_places_and_cuts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "sheets.json"
    file.write_text(json.dumps(SHEETS))
    assert main([str(file)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["cost"] == answer["bound"] == 1
    sheet = answer["sheets"][0]
    assert sorted((placed["x"], placed["y"]) for placed in sheet["placed"]) == [
        (5, 5),
        (5, 508),
        (1208, 5),
        (1208, 508),
    ]
    assert all(set(cut) == {"piece", "direction", "at"} for cut in sheet["cuts"])


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"stock": []}, "stock: expected a list with at least one entry"),
        ({"parts": None}, "parts: expected a list with at least one entry, found null"),
        ({"kerf": -1}, "kerf: expected a whole number of at least 0, found -1"),
        (
            {"parts": [{"length": "long", "qty": 1}]},
            'parts[0].length: expected a whole number of at least 1, found "long"',
        ),
        ({"parts": [{"length": 10.5, "qty": 1}]}, "parts[0].length: expected a whole number of at least 1, found 10.5"),
        ({"parts": [{"length": 10}]}, "parts[0].qty: expected a whole number of at least 0, found nothing"),
        ({"parts": [{"length": 5000, "qty": 1}]}, "5000 is longer than every board"),
        ({"stock": [{"length": 1000, "price": 1}, {"length": 2000}]}, "give a price for every kind of board"),
        ({"objective": "max_fun"}, "objective: expected min_cost for boards, found 'max_fun'"),
    ],
)
def test_bad_files_are_told_with_place_and_expectation(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: dict[str, object], message: str
) -> None:
    file = tmp_path / "bad.json"
    file.write_text(json.dumps({**BOARDS, **change}))
    assert main([str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert message in err
    assert err.startswith(str(file))


def test_files_that_are_not_json_or_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "bad.json"
    file.write_text('{"kerf": 3,\n "stock" }')
    assert main([str(file)]) == 2
    assert "line 2, column 10: not JSON" in capsys.readouterr().err
    assert main([str(tmp_path / "missing.json")]) == 2
    assert "No such file" in capsys.readouterr().err
    file.write_bytes(b"\xff\xfe\x00")
    assert main([str(file)]) == 2
    assert "UTF-8" in capsys.readouterr().err


def test_two_parts_of_48_in_do_not_come_from_a_board_of_96_in() -> None:
    # in sixty-fourths of an inch, kerf 1/8 in
    problem = BoardProblem((BoardStock(96 * 64), BoardStock(120 * 64)), (BoardPart(48 * 64, 2, "A"),), 8)
    (finding,) = board_findings(problem, lambda length: f"{length / 64:g} in")
    assert finding.code == "kerf-costs-a-part"
    assert (
        finding.message
        == "a board of 96 in gives 1, not 2, of A (48 in): with 1 saw cut of 0.125 in they are 0.125 in too long"
    )
    assert "each part shorter by 0.0625 in" in finding.hint
    assert "a longer board (96.125 in would do)" in finding.hint


def test_a_part_longer_than_every_board_is_told_with_ways_out() -> None:
    problem = BoardProblem((BoardStock(2400), BoardStock(3000)), (BoardPart(2990, 1, "B"), BoardPart(500, 3)), 3, 10)
    (finding,) = board_findings(problem, lambda length: f"{length} mm")
    assert finding.code == "board-too-short"
    assert finding.message == "B is 2990 mm long; the longest board gives 2980 mm, 10 mm trimmed off each end"
    assert "a board of at least 3010 mm" in finding.hint
    assert "trimmed by 10 mm less in all" in finding.hint
