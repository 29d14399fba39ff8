"""What a sound tree holds once it is read."""

from __future__ import annotations

import hashlib

import pytest

from diagnose.knowledge.fault_graph import fault_graph
from diagnose.knowledge.loading import load_tree, read_tree
from diagnose.terms import NOT_LISTED, TOP, Answer, Band, CuredWhen, FlawedKnowledge, Mark, Reading


@pytest.fixture
def read(common, tree_text):
    """Read a tree that stands beside the tests, with texts changed."""

    def tree(name, *changes):
        text = tree_text(name)
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        found, flaws = read_tree(text, "x.yaml", common, id="x")
        assert [str(flaw) for flaw in flaws] == []
        assert found is not None
        return found

    return tree


def test_the_head_of_a_tree(read, tree_text, common):
    tree = read("heater-cold")
    assert (tree.id, tree.file, tree.symptom, tree.system) == (
        "x",
        "x.yaml",
        "The heater stays cold",
        "heating",
    )
    assert (tree.also_said, tree.refer_to, tree.sources) == (
        ("no warm air",),
        "workshop",
        ("shares are judgement",),
    )
    assert tree.applies_to == {"heater-fuel": ("gas",)}
    assert tree.cautions == ("hot-surfaces", "hot-pipe")
    assert tree.cured_when == CuredWhen("Is it warm now?", 5)
    assert (tree.tries, tree.strength, tree.not_listed) == (2, 20, 5)
    assert tree.accept == {"see-unknown": "the other tree comes later"}
    assert tree.digest == hashlib.sha256(tree_text("heater-cold").encode()).hexdigest()
    assert tree.common_digest == common.digest
    assert tree.caution_texts["hot-pipe"].word == "CAUTION"
    assert tree.places["by-the-hob"].access == 0
    own = tree.referrals["own-help"]
    assert (own.to, own.minutes, own.wait, own.price, own.fixed) == ("Our own workshop", 100, 60, 20, False)
    assert set(common.referrals) < set(tree.referrals)
    assert tree.facts == common.facts


def test_what_a_tree_may_leave_out(read):
    tree = read(
        "heater-cold", ("tries: 2\nstrength: 20\nnot_listed: 5\n", ""), (", minutes: 5}\nfaults", "}\nfaults")
    )
    assert (tree.tries, tree.strength, tree.not_listed, tree.cured_when.minutes) == (3, 20, 5, 0)


def test_without_gas_the_tries_have_no_end(read):
    tree = read(
        "heater-cold",
        ("tries: 2\n", ""),
        ("hazard: gas\n", "hazard: hot\n"),
        (
            "ask_first: [smell-of-gas, co-alarm, battery-harmed, flue-seen]",
            "ask_first: [battery-harmed, flue-seen]",
        ),
    )
    assert tree.tries is None


def test_events_stand_in_file_order_with_what_is_above_them(read):
    tree = read("heater-cold")
    assert list(tree.events) == [
        TOP, "no-gas", "cylinder-empty", "regulator-blocked", "no-power", "fuse-blown", "weak-and-worn",
        "battery-weak", "cables-worn", "set-wrong",
    ]  # fmt: skip
    assert [cause.id for cause in tree.causes()] == [
        "cylinder-empty", "regulator-blocked", "fuse-blown", "battery-weak", "cables-worn", "set-wrong",
    ]  # fmt: skip
    weak = tree.events["battery-weak"]
    assert weak.chain == ("weak-and-worn", "no-power")
    assert weak.above == {"weak-and-worn", "no-power"}
    assert tree.events[TOP].inputs == ("no-gas", "no-power", "set-wrong")
    assert tree.events["weak-and-worn"].gate == "all_of"
    assert (tree.events["no-gas"].was, tree.events["fuse-blown"].was) == (
        ("gas-missing",),
        ("fuse-gone", "fuse-dead"),
    )
    assert tree.events["fuse-blown"].mark == Mark("x.yaml", 32, 9)
    assert tree.cut_sets == (
        ("cylinder-empty",),
        ("regulator-blocked",),
        ("fuse-blown",),
        ("battery-weak", "cables-worn"),
        ("set-wrong",),
    )


def test_remedies(read):
    events = read("heater-cold").events
    fuse = events["fuse-blown"].remedy
    assert fuse is not None
    assert (fuse.kind, fuse.text, fuse.how) == ("do", "Fit a fuse of the same rating", "Pull the old one out")
    assert (fuse.by, fuse.hands, fuse.minutes, fuse.part, fuse.needs) == (
        "owner",
        "tools",
        8,
        "heater-fuse",
        ("kneel",),
    )
    assert (fuse.cures, fuse.hazards) == (1, {"high-current"})
    full = events["cylinder-empty"].remedy
    assert full is not None
    assert (full.price, full.at, full.cures, full.hazards) == (35, "gas-locker", 0.9, {"gas"})
    for id, kind, text in (
        ("regulator-blocked", "refer", "gas-engineer"),
        ("battery-weak", "see", "leisure-battery-weak"),
    ):
        remedy = events[id].remedy
        assert remedy is not None
        assert (remedy.kind, remedy.text) == (kind, text)


def test_checks_stand_with_ask_first_before_the_others(read, common):
    tree = read("heater-cold")
    assert tree.ask_first == ("smell-of-gas", "co-alarm", "battery-harmed", "flue-seen")
    assert list(tree.checks) == [*tree.ask_first, "flame", "volts", "stored"]
    assert tree.checks["smell-of-gas"] == common.checks["smell-of-gas"]
    flame = tree.checks["flame"]
    assert flame.answers == (
        Answer("steady", "Steady and blue"),
        Answer("weak", "Weak"),
        Answer("none", "No flame"),
    )
    assert (flame.not_sure, flame.at, flame.starts, flame.mark) == (
        0.1,
        "by-the-hob",
        True,
        Mark("x.yaml", 70, 3),
    )
    assert flame.expect["cylinder-empty"] == {"none": 0.85, "weak": 0.1}
    assert flame.expect["otherwise"] == {"steady": 0.98}
    seen = tree.checks["flue-seen"]
    assert (seen.stop_on, seen.refer, seen.not_sure) == ({"nest"}, "own-help", 0.05)
    stored = tree.checks["stored"]
    assert (stored.fact, stored.expect) == (True, {"cylinder-empty": {"outdoors": 0.5}})
    assert stored.answers == common.facts["stored"].answers


# Renooij & Witteman, "Talking probabilities", International Journal of Approximate Reasoning 22 (1999), from
# memory; the two ends, 1.00 and 0.00 there, are softened here because an owner can always be mistaken.
@pytest.mark.parametrize(
    ("word", "number"),
    [
        ("almost certain", 0.98),
        ("probable", 0.85),
        ("expected", 0.75),
        ("fifty-fifty", 0.50),
        ("uncertain", 0.25),
        ("improbable", 0.15),
        ("almost impossible", 0.02),
        ("'probable'", 0.85),
        ("0.3", 0.3),
        ("0", 0),
        ("1", 1),
    ],
)
def test_a_probability_word_stands_for_its_number(read, word, number):
    tree = read("heater-cold", ("no-power: {low: 0.8}", f"no-power: {{low: {word}}}"))
    assert tree.checks["volts"].expect["no-power"] == {"low": number}


def test_a_reading_has_its_bands_as_answers(read):
    volts = read("heater-cold").checks["volts"]
    assert volts.reading == Reading("V", 0, 16, 0.1)
    assert volts.bands == (Band("low", 0, 11.5), Band("fair", 11.5, 12.4), Band("good", 12.4, 16))
    assert [answer.id for answer in volts.answers] == ["low", "fair", "good"]
    assert [answer.says for answer in volts.answers] == [
        "low: below 11.5 V",
        "fair: from 11.5 to below 12.4 V",
        "good: 12.4 V or more",
    ]


def test_a_check_carries_the_hazards_of_what_it_names_unless_it_only_looks(read):
    tree = read("heater-cold")
    assert tree.checks["flame"].hazards == {"gas"}
    assert tree.checks["volts"].hazards == frozenset()
    named = read("heater-cold", ("    reading: {unit", "    hazard: hot\n    reading: {unit"))
    assert named.checks["volts"].hazards == {"hot"}


def test_a_common_check_keeps_what_it_expects_and_takes_what_a_tree_adds(read):
    entry = '  smell-of-gas: {expect: {no-gas: {"yes": 0.1}}}\n'
    check = read("heater-cold", ("checks:\n", "checks:\n" + entry)).checks["smell-of-gas"]
    assert check.expect == {"otherwise": {"no": 0.98, "yes": 0.02}, "no-gas": {"yes": 0.1}}
    assert check.fixed


def test_hazards_are_the_union_over_every_place(read):
    shared = read(
        "heater-cold",
        (
            "            hands: tools\n            minutes: 8",
            "            hands: controls\n            minutes: 8",
        ),
        ("remedy: {refer: gas-engineer}\n", "remedy: {refer: gas-engineer}\n        fuse-blown: {}\n"),
    )
    fuse = shared.events["fuse-blown"]
    assert fuse.hazards == {"gas", "high-current"}
    assert fuse.own_hazards == frozenset()
    assert fuse.chain == ("no-power",)
    assert fuse.above == {"no-gas", "no-power"}
    assert shared.events["no-gas"].inputs == ("cylinder-empty", "regulator-blocked", "fuse-blown")
    assert shared.events["set-wrong"].hazards == frozenset()


def test_an_event_may_be_named_before_it_is_defined(read):
    early = read("heater-cold", ("    no-gas:\n", "    weak-and-worn: {}\n    no-gas:\n"))
    assert early.events[TOP].inputs == ("weak-and-worn", "no-gas", "no-power", "set-wrong")
    assert early.events["weak-and-worn"].chain == ("no-power",)
    assert early.cut_sets == read("heater-cold").cut_sets


def test_the_shares_of_an_all_of_event_do_for_its_causes(read):
    tree = read("heater-cold")
    assert tree.events["weak-and-worn"].in_100 == 15
    assert tree.events["battery-weak"].in_100 is None
    assert tree.advice == ()


def test_the_fault_graph_has_every_event_and_input(read):
    tree = read("heater-cold")
    graph = fault_graph(tree)
    assert list(graph) == list(tree.events)
    assert list(graph.successors("weak-and-worn")) == ["battery-weak", "cables-worn"]
    assert graph.nodes["fuse-blown"] == {
        "says": "The fuse is blown", "gate": None, "in_100": 25, "hazards": ["high-current"], "cause": True,
    }  # fmt: skip
    assert graph.nodes[TOP]["says"] == tree.symptom


def test_the_example_of_the_format_loads(read):
    tree = read("heater-example")
    assert [cause.id for cause in tree.causes()] == ["cylinder-empty", "regulator-blocked", "no-power"]
    assert tree.checks["hob-flame"].hazards == {"gas"}
    assert tree.checks["volts-at-start"].starts
    assert [advice.name for advice in tree.advice] == ["shares-miss-100"]  # it is shortened
    assert NOT_LISTED not in tree.events


@pytest.mark.parametrize(("name", "causes", "checks"), [("crank-worked", 10, 8), ("heater-worked", 13, 12)])
def test_the_worked_trees_load_without_flaw_or_advice(read, name, causes, checks):
    tree = read(name)
    assert [str(advice) for advice in tree.advice] == []
    assert (len(tree.causes()), len(tree.checks)) == (causes, checks)
    assert sum(cause.in_100 or 0 for cause in tree.causes()) == 95


def test_line_ends_and_a_leading_mark_change_nothing_but_the_digest(read, common, tree_text):
    text = "\ufeff" + tree_text("heater-cold").replace("\n", "\r\n")
    tree, flaws = read_tree(text.encode(), "x.yaml", common, id="x")
    plain = read("heater-cold")
    assert flaws == ()
    assert tree is not None
    assert (tree.events, tree.checks, tree.cut_sets) == (plain.events, plain.checks, plain.cut_sets)
    assert tree.digest != plain.digest


def test_a_file_name_that_is_no_id_is_told(common, tree_text):
    rule = "write lower case letters and figures, joined by single hyphens, a letter first"
    for id, said in {
        "My Tree": f'the file\'s name "My Tree" is no id; {rule} (did you mean "my-tree"?)',
        "con": 'the file\'s name "con" is a reserved word and cannot be an id',
    }.items():
        tree, flaws = read_tree(tree_text("heater-cold"), "x.yaml", common, id=id)
        assert tree is None
        assert [flaw.message for flaw in flaws] == [said]


def test_a_file_is_loaded_or_all_its_flaws_are_raised(common, tree_text, tmp_path):
    path = tmp_path / "heater-cold.yaml"
    path.write_text(tree_text("heater-cold"), encoding="utf-8")
    assert load_tree(path, common).id == "heater-cold"
    path.write_text(
        tree_text("heater-cold").replace("heating", "heatin").replace("tries: 2", "tries: 9"),
        encoding="utf-8",
    )
    with pytest.raises(FlawedKnowledge) as refused:
        load_tree(path, common, file="h.yaml")
    assert str(refused.value) == (
        'h.yaml:2:9: system names "heatin", which is no system here (did you mean "heating"?)\n'
        "h.yaml:8:8: tries is 9; it wants a whole number from 1 to 3"
    )
