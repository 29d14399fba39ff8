from __future__ import annotations

import json

import pytest

KEYS = [
    "id",
    "causes",
    "checks",
    "route_nodes",
    "expected_minutes",
    "expected_hands_on",
    "expected_wait",
    "expected_price",
    "least_minutes",
    "proved",
    "errors",
    "advice",
]

GOOD = """
symptom: The lamp over the table stays dark
system: habitation-electrics
refer_to: workshop
cured_when: {ask: Has the lamp burned for a minute?, minutes: 2}
faults:
  hazard: none
  any_of:
    switched-off:
      says: The switch at the lamp is off
      in_100: 45
      remedy: {do: Press the switch, by: owner, hands: controls, minutes: 1}
      prevent: Leave the switches on
    line-dead:
      says: No current comes to the lamp
      in_100: 50
      remedy: {refer: workshop}
      prevent: Have it looked at
checks:
  switch-click:
    ask: Which way does the switch stand?
    hands: look
    by: owner
    minutes: 1
    answers: {on: At on, off: At off}
    expect: {switched-off: {off: almost certain}, otherwise: {on: almost certain}}
sources: [shares are judgement]
"""
BROKEN = GOOD.replace("in_100: 45", "in_hundred: 45").replace("hands: look", "hands: feet")


@pytest.fixture
def folder(tmp_path):
    own = tmp_path / "own"
    own.mkdir()
    (own / "lamp-dark.yaml").write_text(GOOD)
    (own / "lamp-dim.yaml").write_text(BROKEN)
    return own


def test_a_sound_tree_has_figures_and_every_rule_proved(run, folder):
    ran = run("trees", "check", "own/lamp-dark.yaml", "--json")
    assert (ran.code, ran.err) == (0, "")
    (tree,) = json.loads(ran.out)["trees"]
    assert list(tree) == KEYS
    assert (tree["id"], tree["causes"], tree["checks"]) == ("lamp-dark", 2, 1)
    assert tree["proved"] == [1, 2, 3, 4, 5, 6, 7]
    assert tree["errors"] == []
    assert 0 < tree["least_minutes"] <= tree["expected_minutes"] + 1e-9
    assert tree["expected_hands_on"] == pytest.approx(tree["expected_minutes"])
    assert (tree["expected_wait"], tree["expected_price"]) == (0, 0)
    assert tree["route_nodes"] == 3  # press the switch, then cured or the workshop: nothing else pays


def test_a_broken_tree_has_null_figures_proves_nothing_and_tells_every_flaw(run, folder):
    ran = run("trees", "check", "own/lamp-dim.yaml", "--json")
    assert (ran.code, ran.err) == (1, "")
    (tree,) = json.loads(ran.out)["trees"]
    assert list(tree) == KEYS
    assert all(tree[key] is None for key in KEYS[1:9])
    assert tree["proved"] == []
    assert all(set(error) == {"file", "line", "column", "message"} for error in tree["errors"])
    told = {(error["file"], error["line"]) for error in tree["errors"]}
    assert {("own/lamp-dim.yaml", 11), ("own/lamp-dim.yaml", 22)} <= told


def test_a_folder_means_its_files_and_one_flaw_fails_the_whole_run(run, folder):
    ran = run("trees", "check", "own", "--json")
    assert ran.code == 1
    trees = json.loads(ran.out)["trees"]
    assert [(tree["id"], bool(tree["errors"])) for tree in trees] == [
        ("lamp-dark", False),
        ("lamp-dim", True),
    ]


def test_flaws_go_to_standard_error_one_a_line_with_their_places(run, folder):
    ran = run("trees", "check", "own")
    assert ran.code == 1
    lines = ran.err.splitlines()
    assert "own/lamp-dim.yaml:11:7: " in ran.err
    assert all(line.startswith("own/lamp-dim.yaml:") for line in lines)
    assert f"lamp-dim: {len(lines)} flaws" in ran.out
    assert "lamp-dark: no flaws (causes: 2, checks: 1, steps of the route: 3)" in ran.out
    assert "safety rules proved: 1, 2, 3, 4, 5, 6, 7 (owner and technician)" in ran.out


def test_nothing_is_written_beside_the_trees(run, folder):
    before = {file: file.read_bytes() for file in folder.iterdir()}
    run("trees", "check", "own")
    assert {file: file.read_bytes() for file in folder.iterdir()} == before


def test_an_unknown_id_names_the_nearest(run):
    ran = run("trees", "check", "water-pumps")
    assert ran.code == 1
    assert "water-pump" in ran.err


def test_a_folder_without_trees_is_wrong_usage(run, tmp_path):
    (tmp_path / "empty").mkdir()
    ran = run("trees", "check", "empty")
    assert (ran.code, ran.out, ran.err) == (2, "", "empty holds no tree file (*.yaml)\n")


def test_advice_is_told_with_its_name_and_place_until_the_file_accepts_it(run, folder):
    """The switch is pressed sooner than its check is asked: by hand in the first test here."""
    ran = run("trees", "check", "own/lamp-dark.yaml", "--json")
    (tree,) = json.loads(ran.out)["trees"]
    assert (ran.code, tree["errors"]) == (0, [])
    (advice,) = tree["advice"]
    assert set(advice) == {"file", "line", "column", "message", "name"}
    assert (advice["file"], advice["line"], advice["column"]) == ("own/lamp-dark.yaml", 20, 3)
    assert advice["name"] == "check-never-asked"
    plain = run("trees", "check", "own/lamp-dark.yaml")
    assert "  advice check-never-asked: own/lamp-dark.yaml:20:3: no route" in plain.out
    (folder / "lamp-dark.yaml").write_text(GOOD + "accept: {check-never-asked: learners practise on it}\n")
    assert json.loads(run("trees", "check", "own/lamp-dark.yaml", "--json").out)["trees"][0]["advice"] == []


def test_cases_against_the_file_are_advice_and_change_none_that_is_about_routes(run, folder, tmp_path):
    from datetime import UTC, datetime

    from diagnose.cases.store import open_store

    place, now = str(tmp_path / "cases.sqlite"), datetime.now(UTC)
    with open_store(place) as store:
        for _ in range(12):
            store.confirm(store.open_case("lamp-dark", "", "owner", "", now), "line-dead", now)
    (tree,) = json.loads(run("trees", "check", "own/lamp-dark.yaml", "--json", "--cases", place).out)["trees"]
    # (1 - 0.45)^12 = 0.0008, below one in a hundred; 12 of 12 where 50 of 100 are expected.
    assert [(advice["line"], advice["name"]) for advice in tree["advice"]] == [
        (9, "cause-never-confirmed"),
        (14, "share-contradicted"),
        (20, "check-never-asked"),
    ]


@pytest.mark.long
def test_every_shipped_tree_is_sound_and_none_has_advice(run):
    ran = run("trees", "check", "--json")
    assert ran.code == 0
    trees = json.loads(ran.out)["trees"]
    assert len(trees) >= 6
    for tree in trees:
        assert tree["errors"] == []
        assert tree["advice"] == []
        assert tree["proved"] == [1, 2, 3, 4, 5, 6, 7]
        assert tree["least_minutes"] <= tree["expected_minutes"] + 1e-9


def test_cases_count_only_where_they_are_named_on_the_command_line(run, folder, tmp_path):
    from datetime import UTC, datetime

    from diagnose.cases.store import open_store

    with open_store(str(tmp_path / "cases.sqlite")) as store:
        for _ in range(30):
            case = store.open_case("lamp-dark", "", "owner", "", datetime.now(UTC))
            store.confirm(case, "line-dead", datetime.now(UTC))
    plain = json.loads(run("trees", "check", "own/lamp-dark.yaml", "--json").out)["trees"][0]
    counted = json.loads(
        run("trees", "check", "own/lamp-dark.yaml", "--json", "--cases", str(tmp_path / "cases.sqlite")).out
    )["trees"][0]
    assert counted["expected_minutes"] > plain["expected_minutes"]


def test_a_confirmed_cause_that_the_tree_has_no_more_is_named(run, folder, tmp_path):
    from datetime import UTC, datetime

    from diagnose.cases.store import open_store

    with open_store(str(tmp_path / "cases.sqlite")) as store:
        case = store.open_case("lamp-dark", "", "owner", "", datetime.now(UTC))
        store.confirm(case, "wick-burnt", datetime.now(UTC))
    ran = run("trees", "check", "own/lamp-dark.yaml", "--json", "--cases", str(tmp_path / "cases.sqlite"))
    (tree,) = json.loads(ran.out)["trees"]
    assert tree["errors"] == []
    assert [advice["message"] for advice in tree["advice"] if advice["name"] == "cause-gone"] == [
        'confirmed cases name "wick-burnt", which is no cause here now; they count for nothing (cause-gone)'
    ]
    plain = json.loads(run("trees", "check", "own/lamp-dark.yaml", "--json").out)["trees"][0]
    assert tree["expected_minutes"] == plain["expected_minutes"]


def test_with_cases_it_says_what_came_back_and_without_them_nothing(run, folder, tmp_path):
    from datetime import UTC, datetime

    from diagnose.cases.store import open_store

    place, now = str(tmp_path / "cases.sqlite"), datetime.now(UTC)
    with open_store(place) as store:
        for number in range(9):
            case = store.open_case("lamp-dark", "", "owner", "", now)
            store.end_case(case, "cured" if number < 4 else "referred", now)
            if number < 6:
                store.confirm(case, "switched-off" if number < 4 else "line-dead", now)
    counted = run("trees", "check", "own/lamp-dark.yaml", "--json", "--cases", place).out
    # By hand: (5 + 1) / (2 + 1) = 2 for each that was handed on, 1 for a cure: so a half, and one.
    assert json.loads(counted)["trees"][0]["cases"] == {
        "confirmed": 6,
        "endings": [
            {"ending": "cured", "ended": 4, "confirmed": 4, "weight": 0.5},
            {"ending": "referred", "ended": 5, "confirmed": 2, "weight": 1},
        ],
    }
    assert (
        "  Ranked from 6 confirmed cases. Of 5 that were handed on, 2 have told what it was, so each of "
        "those counts 2 times as much as one that was cured.\n"
    ) in run("trees", "check", "own/lamp-dark.yaml", "--cases", place).out
    assert "cases" not in json.loads(run("trees", "check", "own/lamp-dark.yaml", "--json").out)["trees"][0]
    assert "Ranked from" not in run("trees", "check", "own/lamp-dark.yaml").out


def test_a_flaw_of_a_catalogue_beside_the_tree_is_told_and_the_tree_keeps_its_figures(run, folder):
    german = folder / "languages" / "de"
    german.mkdir(parents=True)
    header = '"Language: de\\n"\n"Content-Type: text/plain; charset=UTF-8\\n"\n"Reviewed-by: \\n"\n'
    (german / "lamp-dark.po").write_text(
        f'msgid ""\nmsgstr ""\n{header}\nmsgid "At on"\nmsgstr "Auf {{x}}"\n'
    )
    ran = run("trees", "check", "own/lamp-dark.yaml", "--json")
    (tree,) = json.loads(ran.out)["trees"]
    assert (ran.code, tree["proved"]) == (1, [1, 2, 3, 4, 5, 6, 7])
    assert tree["errors"] == [
        {
            "file": "own/languages/de/lamp-dark.po",
            "line": 7,
            "column": 1,
            "message": '"Auf {x}" holds {x} where the original holds no placeholder',
        }
    ]
