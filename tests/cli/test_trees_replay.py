"""`diagnose trees replay`: two versions of a tree over a store's past, as a page and as JSON."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import open_store
from diagnose.cli.trees.replay import told_by
from diagnose.terminal.wrapping import display_width
from tests.reviewing.made_up_past import MadeUp, fill
from tests.terminal.conftest import LAMP

CHANGED = LAMP.replace("in_100: 40", "in_100: 10").replace("in_100: 20", "in_100: 50")


def lamp_case(number, cause, lines, state="cured"):
    opened = datetime(2026, 2, 1, tzinfo=UTC) + timedelta(days=number)
    journal = tuple(Entry(opened, *line, number=at) for at, line in enumerate(lines, start=1))
    record = CaseRecord(
        number, "lamp-dark", "", "owner", state, opened, opened, confirmed=True, cause=cause, entries=journal
    )
    return MadeUp(record, opened + timedelta(hours=1))


def lamp_past():
    """Fourteen cases, more of them a switch than the changed tree thinks."""
    kinds = ["switched-off"] * 7 + ["bulb-gone"] * 4 + ["line-dead"] * 2 + ["mouse-bit"]
    return [
        lamp_case(
            number,
            cause,
            [
                ("finding", "switch-click", "off" if cause == "switched-off" else "on"),
                ("finding", "tested-by-ear", "loud"),
            ],
        )
        for number, cause in enumerate(kinds, start=1)
    ]


@pytest.fixture
def two(tmp_path: Path) -> Path:
    """An old and a new lamp, and a store."""
    for name, text in (("old", LAMP), ("new", CHANGED)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "lamp-dark.yaml").write_text(text)
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, lamp_past())
    return tmp_path


FILES = ("old/lamp-dark.yaml", "new/lamp-dark.yaml")


def test_the_page_tells_what_got_better_and_worse(run, two):
    ran = run("trees", "replay", *FILES, COLUMNS="80")
    assert (ran.code, ran.err) == (0, "")
    text = " ".join(ran.out.split())
    assert text.startswith("Past cases: 13, 3 of them different. Each case is judged by both trees")
    found = re.findall(r"better on (\d+), worse on (\d+), no clear difference on (\d+)", text)
    assert len(found) == 3
    assert {sum(map(int, each)) for each in found} == {13}
    assert "CASES THAT GOT WORSE" in text
    assert "1 case left out: neither tree has the cause (mouse-bit 1)." in text
    assert "The old tree does not ask what was answered in 13 cases (tested-by-ear 13)" in text
    assert "log loss " in ran.out
    assert "90 % INTERVAL" in ran.out


@pytest.mark.parametrize("columns", [40, 80])
def test_no_line_is_wider_than_the_screen(run, two, columns):
    ran = run("trees", "replay", *FILES, COLUMNS=str(columns))
    assert max(map(display_width, ran.out.splitlines())) <= columns


def test_json_holds_every_figure_and_every_case_that_got_worse(run, two):
    ran = run("trees", "replay", *FILES, "--json")
    told = json.loads(ran.out)
    assert list(told) == [
        "old", "new", "cases", "different", "level", "log_loss", "rank", "minutes", "worse", "left_out",
        "not_listed", "new_causes", "merged",
    ]  # fmt: skip
    assert (told["cases"], told["different"], told["level"]) == (13, 3, 0.9)
    assert told["old"]["file"] == "old/lamp-dark.yaml"
    assert told["left_out"] == [{"cause": "mouse-bit", "cases": 1}]
    assert told["new"]["not_asked"] == [{"check": "tested-by-ear", "cases": 13}]
    loss = told["log_loss"]
    assert loss["gain"]["value"] == pytest.approx(loss["old"]["value"] - loss["new"]["value"])
    assert loss["better"] + loss["worse"] + loss["alike"] == 13
    assert {each["cause"] for each in told["worse"]} <= {"switched-off", "bulb-gone", "line-dead"}
    assert all(set(each) >= {"case", "old_minutes", "new_minutes"} for each in told["worse"])


def test_every_key_of_the_document_is_told_of(run, two):
    told = json.loads(run("trees", "replay", *FILES, "--json").out)
    keys = {*told, *told["old"], *told["minutes"], *told["minutes"]["gain"], "case", "cause", "old_", "new_"}
    page = (Path(__file__).parents[2] / "docs" / "replay.md").read_text(encoding="utf-8")
    assert {key for key in keys if f"`{key}`" not in page} == set()


def test_the_store_and_the_trees_are_as_they_were(run, two):
    before = {path: path.read_bytes() for path in two.rglob("*") if path.suffix in (".yaml", ".sqlite")}
    run("trees", "replay", *FILES)
    assert {path: path.read_bytes() for path in before} == before


def test_an_id_that_ones_own_file_hides_is_the_version_below(run, two):
    own = ("--trees", "old", "--trees", "new")
    ran = run("trees", "replay", "lamp-dark", "new/lamp-dark.yaml", *own, "--json")
    assert json.loads(ran.out)["old"]["file"] == "old/lamp-dark.yaml"


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        ((FILES[0], FILES[0]), 2, "OLD and NEW are the same file (old/lamp-dark.yaml)"),
        ((FILES[0], "water-pump"), 1, '"lamp-dark" and "water-pump" have no cause in common'),
        ((FILES[0], "none/x.yaml"), 1, "none/x.yaml:1:1: there is no such file"),
        ((FILES[0], "water-pum"), 1, 'there is no symptom "water-pum"; the nearest are water-pump'),
        ((FILES[0],), 2, "Missing argument 'NEW'"),
    ],
)
def test_what_cannot_be_is_said_plainly(run, two, words, code, message):
    ran = run("trees", "replay", *words)
    assert (ran.code, ran.out) == (code, "")
    assert message in ran.err
    assert "Traceback" not in ran.err


def test_without_a_store_there_is_nothing_to_compare_and_none_is_made(run, two):
    (two / "cases.sqlite").unlink()
    ran = run("trees", "replay", *FILES)
    assert (ran.code, ran.out) == (0, "No confirmed case is at hand, so there is nothing to compare.\n")
    assert not (two / "cases.sqlite").exists()
    told = json.loads(run("trees", "replay", *FILES, "--json").out)
    assert (told["cases"], told["minutes"]) == (0, None)


def test_the_bar_hears_of_every_hundredth_case_and_the_last():
    heard = []
    told = told_by(lambda what, part: heard.append((what, part)))
    for done in range(1, 251):
        told(done, 250)
    assert heard == [("Replaying past cases", part) for part in (0.4, 0.8, 1.0)]
