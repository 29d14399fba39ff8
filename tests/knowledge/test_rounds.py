"""Files of rounds: what is read from them, and every flaw at its place."""

from __future__ import annotations

import pytest

from diagnose.knowledge.collection import Library, UnknownRound
from diagnose.terms.rounds import Task
from tests.knowledge.rounds_of_two import FILES, flaws_of, loaded, written


@pytest.fixture
def said(common, tmp_path):
    """What is said of the sound folder with one text of one file changed."""

    def changed(name, old, new):
        assert old in FILES[name]
        folder = written(tmp_path / "r", FILES | {name: FILES[name].replace(old, new, 1)})
        return [line.removeprefix(f"r/{name}.yaml:") for line in flaws_of(common, folder)]

    return changed


def test_a_sound_folder_is_read_as_it_is_written(common, tmp_path):
    rounds = loaded(common, written(tmp_path / "r"))
    assert list(rounds) == ["wake-up", "journey", "hand-over", "lay-up"]
    wake_up = rounds["wake-up"]
    assert (wake_up.file, wake_up.says, wake_up.shipped) == ("r/wake-up.yaml", "Before use", True)
    assert list(wake_up.tasks) == ["look", "light", "pump"]
    assert wake_up.after == {"look": set(), "light": {"look"}, "pump": {"light"}}
    assert wake_up.wants == {"daylight": "By daylight", "calm": "When it is calm"}
    assert rounds["hand-over"].wants == {"daylight": "By daylight"}
    light = wake_up.tasks["light"]
    assert light == Task(
        "light", "Light a ring", "Open a window. Light it, then turn it off.", "kitchen", "controls", "owner",
        4, 30, 0, frozenset({"gas"}), (),
        {"heater-fuel": frozenset({"gas"}), "months-laid-up": frozenset({"season", "long"})},
        ("hob-goes-out",), "gas-engineer", (), False, "limited", "The hob", None, (), ("matches",),
        ("flame",), light.mark,
    )  # fmt: skip
    assert str(light.mark) == "r/tasks.yaml:14:1"
    assert wake_up.tasks["look"].safety
    assert (wake_up.tasks["pump"].hazards, wake_up.tasks["pump"].if_wrong) == (frozenset(), "not-ready")


def test_the_digest_is_of_what_the_round_holds_and_of_nothing_else(common, tmp_path):
    first = loaded(common, written(tmp_path / "a"))
    remarked = FILES | {"tasks": f"# a remark\n{FILES['tasks']}"}
    assert {id: round.digest for id, round in loaded(common, written(tmp_path / "b", remarked)).items()} == {
        id: round.digest for id, round in first.items()
    }
    slower = FILES | {"tasks": FILES["tasks"].replace("minutes: 4", "minutes: 6")}
    second = loaded(common, written(tmp_path / "c", slower))
    differ = [id for id in first if first[id].digest != second[id].digest]
    assert differ == ["wake-up", "lay-up"]


@pytest.mark.parametrize(
    ("name", "old", "new", "place", "text", "meant"),
    [
        ("tasks", "at: wheels", "at: whels", "5:7", 'at names "whels", which is no place here', "wheels"),
        ("tasks", "  minutes: 5\n", "", "2:1", 'task "look" lacks minutes: minutes of work', ""),
        ("tasks", "minutes: 5", "minutes: 0", "9:12", "minutes is 0; it wants a number above 0", ""),
        ("tasks", "safety: true", "safty: true", "13:3", 'key "safty" is not known in task "look"', "safety"),
        ("tasks", "hazard: road", "hazard: rode", "8:11", 'hazard names "rode", which is not known', "road"),
        (
            "tasks",
            "[tyres-soft-old]",
            "[tyres-soft]",
            "11:11",
            'opens names "tyres-soft", which is no tree here',
            "tyres-soft-old",
        ),
        (
            "tasks",
            "dates: [tyres]",
            "dates: [tyre]",
            "12:11",
            'dates names "tyre", which is no date of a vehicle\'s card',
            "tyres",
        ),
        (
            "tasks",
            "wants: [daylight]",
            "wants: [day-light]",
            "10:11",
            'wants names "day-light", which is no line of wants.yaml',
            "daylight",
        ),
        (
            "tasks",
            "refer: gas-engineer",
            "refer: gas-engineers",
            "25:10",
            'refer names "gas-engineers", which is no referral here',
            "gas-engineer",
        ),
        (
            "tasks",
            "heater-fuel: [gas]",
            "heater-fule: [gas]",
            "23:9",
            'for names "heater-fule", which is no fact here',
            "heater-fuel",
        ),
        (
            "tasks",
            "[season, long]",
            "[seasons]",
            "23:46",
            'for names "seasons", which is no answer of "months-laid-up"',
            "season",
        ),
        (
            "tasks",
            "if_wrong: not-ready",
            "if_wrong: ready",
            "38:13",
            'if_wrong wants limited or not-ready, not "ready"',
            "not-ready",
        ),
        ("tasks", "was: flame", "was: pump", "28:8", 'was names "pump", which is in use here', ""),
        ("tasks", "pump:\n", "nul:\n", "29:1", '"nul" is a reserved word and cannot be an id', ""),
        (
            "tasks",
            "Look at the tyres",
            '"' + "x" * 601 + '"',
            "3:9",
            "this text has 601 characters; 600 is the most",
            "",
        ),
        (
            "tasks",
            "Walk round and look.",
            '"Walk \\u202e round"',
            "4:8",
            "the invisible or direction-changing character U+202E stands in this text; take it out",
            "",
        ),
        (
            "tasks",
            "hazard: road",
            "hazard: &a road",
            "8:11",
            "an anchor (&a) stands here; anchors are not used",
            "",
        ),
        (
            "wants",
            "daylight: By daylight",
            "daylight: 7",
            "1:11",
            "daylight wants a text, not the number 7; quote it if it is meant as a text",
            "",
        ),
        (
            "wake-up",
            "round: wake-up",
            "round: journey",
            "1:8",
            'round is "journey", and the file is called wake-up.yaml; write wake-up',
            "",
        ),
        (
            "wake-up",
            "round: wake-up",
            "round: wakeup",
            "1:8",
            'round wants wake-up, journey, hand-over or lay-up, not "wakeup"',
            "wake-up",
        ),
        ("wake-up", "light: {after", "lihgt: {after", "5:3", '"lihgt" is no task of tasks.yaml', "light"),
        (
            "wake-up",
            "after: [look]",
            "after: [loop]",
            "5:19",
            'after names "loop", which is no task of this round',
            "look",
        ),
        (
            "wake-up",
            "look: {}",
            "look: {by: owner}",
            "4:10",
            'key "by" belongs to a task (tasks.yaml), not to the place of "look" in the round',
            "",
        ),
        ("wake-up", "  pump: {", "  look: {", "6:3", 'key "look" stands twice (first on line 4)', ""),
        ("lay-up", "{light: {}}", "{}", "3:1", "tasks wants one or more, not 0", ""),
    ],
)
def test_each_flaw_is_told_at_its_place_with_the_nearest_right_word(said, name, old, new, place, text, meant):
    tail = f' (did you mean "{meant}"?)' if meant else ""
    assert f"{place}: {text}{tail}" in said(name, old, new)


def test_a_cycle_is_told_as_its_path(said):
    (flaw,) = said("wake-up", "look: {}", "look: {after: [pump]}")
    assert (
        flaw
        == '6:17: after goes round in a circle: "look" after "pump" after "light" after "look"'.replace(
            "6:17", flaw.split(": ")[0]
        )
    )
    assert flaw.split(":")[0] in {"4", "5", "6"}
    (alone,) = said("journey", "pump: {}", "pump: {after: pump}")
    assert alone == '3:23: after goes round in a circle: "pump" after "pump"'


def test_a_task_in_no_round_and_a_file_with_a_slip_in_its_name_are_told(common, tmp_path):
    folder = written(
        tmp_path / "r",
        FILES | {"journey": FILES["journey"].replace("pump: {}, ", "").replace("[pump]", "[]")},
    )
    (folder / "wakeup.yaml").write_text("round: wake-up\n")
    told = flaws_of(common, folder)
    assert any(line.startswith('r/wakeup.yaml:1:1: "wakeup" is no file of rounds') for line in told)
    assert any(line.endswith('(did you mean "wake-up"?)') for line in told)


def test_every_flaw_of_every_file_is_told_at_once(common, tmp_path):
    folder = written(tmp_path / "r", {name: text.replace(": ", ": [", 1) for name, text in FILES.items()})
    told = flaws_of(common, folder)
    assert {line.split(":")[0] for line in told} == {f"r/{name}.yaml" for name in FILES}
    (folder / "tasks.yaml").unlink()
    assert "r/tasks.yaml:1:1: there is no such file" in flaws_of(common, folder)


@pytest.mark.parametrize(
    ("old", "new", "flaw"),
    [
        (
            "how: Open a window. Light",
            "how: Un-screw it. Light",
            '16:3: how of task "light" says "unscrew", which is refused under gas',
        ),
        (
            "what: Light a ring",
            "what: Loosen a ring",
            '15:3: what of task "light" says "loosen", which is refused under gas',
        ),
        (
            "use: The hob",
            "use: What you disconnected",
            '26:3: must_not_use of task "light" says "disconnected", which is refused under gas',
        ),
        (
            "buy: [matches]",
            "buy: [a jumper wire]",
            '27:9: buy of task "light" says "jumper", which is refused under gas',
        ),
        (
            "controls\n  by: owner\n  hazard: gas",
            "tools\n  by: technician\n  hazard: mains",
            '18:3: task "light" lets a technician use tools on mains',
        ),
        (
            "look\n  by: owner\n  hazard: road",
            "tools\n  by: owner\n  hazard: road",
            '6:3: task "look" lets an owner use tools on road',
        ),
        (
            "look\n  by: owner\n  hazard: road",
            "tools\n  by: owner\n  hazard: height",
            '6:3: task "look" lets an owner use tools on height',
        ),
        (
            "  refer: gas-engineer\n",
            "",
            '14:1: task "light" is under gas and lacks refer; write refer: gas-engineer',
        ),
        ("  must_not_use: The hob\n", "", '14:1: task "light" is under gas and lacks must_not_use'),
        (
            "refer: gas-engineer",
            "refer: workshop",
            '25:10: task "light" is under gas and refers to "workshop"; write gas-engineer',
        ),
    ],
)
def test_the_safety_rules_of_trees_hold_for_tasks(said, old, new, flaw):
    assert any(line.startswith(flaw) for line in said("tasks", old, new))


def test_a_technician_may_use_tools_under_road(common, tmp_path):
    text = FILES["tasks"].replace("hands: look\n  by: owner", "hands: tools\n  by: technician")
    assert (
        loaded(common, written(tmp_path / "r", FILES | {"tasks": text}))["wake-up"].tasks["look"].hands
        == "tools"
    )


def test_a_library_names_the_nearest_round():
    with pytest.raises(UnknownRound) as refused:
        Library().round("wakeup")
    assert str(refused.value) == (
        'there is no round "wakeup"; there are wake-up, journey, hand-over, lay-up (did you mean "wake-up"?)'
    )
    assert Library().round("lay-up").id == "lay-up"
