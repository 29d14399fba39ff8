"""A new cause goes into a tree with its checks, the shares stay near 100, and nothing else changes."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from diagnose.cases.records import Entry
from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.knowledge.loading import read_tree
from diagnose.revising.extending import CannotExtend, NewCause, extended, flaws_of, places
from diagnose.revising.extending_answers import placed_in_answers, read_answers
from diagnose.revising.extending_offers import (
    causes_alike,
    checks_like,
    events_like,
    expected_of,
    proposed_id,
    shown_in_case,
    trouble,
)
from diagnose.revising.extending_shares import (
    Counted,
    ShareTooLarge,
    suggested_share,
    total_share,
    usual_others,
)
from diagnose.terms import TOP, FlawedKnowledge
from tests.terminal.conftest import LAMP

LIBRARY = Library()
COMMON = LIBRARY.common()
SHIPPED = sorted(shipped_folder().glob("*.yaml"))
SOME_OFTEN = [
    file if number % 5 == 0 else pytest.param(file, marks=pytest.mark.long)
    for number, file in enumerate(SHIPPED)
]
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
HEATER = (shipped_folder() / "heater-no-fire.yaml").read_text(encoding="utf-8")


def tree_of(text, id="lamp-dark"):
    tree, flaws = read_tree(text, f"{id}.yaml", COMMON, id=id)
    assert tree is not None, flaws
    return tree


HEATER_TREE = tree_of(HEATER, "heater-no-fire")
WET = NewCause(
    says="Water stands in the exhaust pipe",
    under="fire-side",
    id="exhaust-wet",
    in_100=3,
    others="not-listed",
    remedy={"refer": "gas-engineer"},
    prevent="Fit the cover at the lay-up",
    expect={"first-two-minutes": {"dies": "probable"}, "hob-flame": {"steady": 0.98}},
    check={
        "id": "gurgle-heard", "ask": "Does the heater gurgle as it tries to start?", "hands": "look",
        "by": "owner", "minutes": 2, "answers": {"gurgles": "It gurgles", "quiet": "It is quiet"},
        "expect": {"exhaust-wet": {"gurgles": "probable"}, "otherwise": {"quiet": "almost certain"}},
    },
)  # fmt: skip


def test_the_cause_stands_where_it_belongs_with_its_checks_and_the_rest_is_untouched():
    after = extended(HEATER, HEATER_TREE, WET, COMMON)
    tree, flaws = flaws_of(after, HEATER_TREE, COMMON)
    assert flaws == ()
    event = tree.events["exhaust-wet"]
    assert (event.says, event.in_100, event.chain) == (WET.says, 3, ("fire-side",))
    assert event.hazards == {"gas"}
    assert event.remedy.text == "gas-engineer"
    assert tree.not_listed == 2
    assert tree.checks["first-two-minutes"].expect["exhaust-wet"] == {"dies": 0.85}
    assert list(tree.checks["hob-flame"].expect)[-2:] == ["exhaust-wet", "otherwise"]
    assert tree.checks["gurgle-heard"].answer_ids() == ("gurgles", "quiet")
    kept = [line for line in HEATER.splitlines() if line in after.splitlines()]
    assert kept == HEATER.splitlines()
    assert len(after.splitlines()) == len(HEATER.splitlines()) + 15


@pytest.mark.parametrize("file", SOME_OFTEN, ids=[file.stem for file in SHIPPED])
def test_in_every_shipped_tree_a_cause_has_a_place_and_the_shares_keep_their_sum(file):
    text = file.read_bytes().decode()
    tree = tree_of(text, file.stem)
    chosen = random.Random(file.stem)
    under = chosen.choice(places(tree))
    new = NewCause(
        says="Something quite new", under=under, id="quite-new", in_100=2,
        others=chosen.choice(["not-listed", "scaled"]),
        hazard=() if tree.events[under].hazards else ("none",), remedy={"refer": "workshop"},
    )  # fmt: skip
    after = tree_of(extended(text, tree, new, COMMON), file.stem)
    assert set(after.events) == {*tree.events, "quite-new"}
    assert [id for id in after.events if id != "quite-new"] == list(tree.events)
    assert after.events["quite-new"].chain == ((under, *tree.events[under].chain) if under else ())
    # Causes that make a cut set together have their chances multiplied; their sum moves a little.
    assert total_share(after) == pytest.approx(total_share(tree), abs=0.15)
    assert "shares-miss-100" not in {advice.name for advice in after.advice}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"under": "fire"}, '"fire" is no event of heater-no-fire (did you mean "fire-side"?)'),
        ({"under": "flue-nest"}, '"flue-nest" is a cause of heater-no-fire; '
                                 'name the event that both lead to, such as "fire-side"'),
        ({"id": "flue-nest"}, '"flue-nest" stands for something in heater-no-fire already; take another id'),
        ({"id": "co-alarm"}, '"co-alarm" stands for something in heater-no-fire already; take another id'),
        ({"id": "mains-harmed"}, '"mains-harmed" is a check or fact that all trees share; take another id'),
        ({"id": "otherwise"}, '"otherwise" is a reserved word and cannot be an id'),
        ({"expect": {"hob-flames": {"steady": 1}}}, '"hob-flames" is no check of heater-no-fire '
                                                    '(did you mean "hob-flame"?)'),
        ({"expect": {"co-alarm": {"quiet": 1}}}, '"co-alarm" is a danger question that all trees share; '
                                                 'it tells no causes apart'),
    ],
)  # fmt: skip
def test_what_has_no_place_is_refused(change, message):
    with pytest.raises(CannotExtend) as refused:
        extended(HEATER, HEATER_TREE, replace(WET, **change), COMMON)
    assert str(refused.value) == message


def test_an_event_of_several_causes_at_once_takes_no_further_one():
    text = LAMP.replace("  any_of:\n    switched-off", "  all_of:\n    switched-off")
    tree = tree_of(text)
    with pytest.raises(CannotExtend, match="needs all of its inputs at once"):
        extended(text, tree, NewCause(id="new"), COMMON)
    assert places(tree) == ()


def test_a_file_with_a_mark_and_other_line_ends_keeps_them():
    text = "\ufeff" + HEATER.replace("\n", "\r\n")
    after = extended(text, tree_of(text, "heater-no-fire"), WET, COMMON)
    assert after.removeprefix("\ufeff").replace("\r\n", "\n") == extended(HEATER, HEATER_TREE, WET, COMMON)
    assert after.startswith("\ufeff# ")
    assert after.count("\n") == after.count("\r\n")


def test_more_than_there_is_cannot_be_taken():
    for others, share in (("not-listed", 5), ("scaled", 96)):
        with pytest.raises(ShareTooLarge):
            extended(HEATER, HEATER_TREE, replace(WET, in_100=share, others=others), COMMON)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (
            {"remedy": {"do": "Disconnect the pipe", "by": "owner", "hands": "look", "minutes": 2}},
            "disconnect",
        ),
        ({"remedy": {"do": "Dry it", "by": "technician", "hands": "tools", "minutes": 2}}, "tools on gas"),
        ({"check": {**WET.check, "how": "Undo the clip and look"}}, "undo"),
        ({"hazard": ("gass",)}, "did you mean"),
        ({"expect": {"hob-flame": {"steady": 0.6, "weak": 0.6}}}, "1 is the most"),
    ],
)
def test_what_a_hazard_forbids_is_found_as_soon_as_it_is_told(change, word):
    assert trouble(HEATER, HEATER_TREE, WET, COMMON) == ()
    flaws = trouble(HEATER, HEATER_TREE, replace(WET, **change), COMMON)
    assert any(word in flaw.message for flaw in flaws)


def test_the_share_is_suggested_as_the_mean_of_a_dirichlet_with_the_files_strength():
    # The posterior mean of a category with prior weight 0 among `strength` pseudo-cases: k / (n + strength),
    # checked with SciPy's Beta distribution, its marginal (Gelman et al., Bayesian Data Analysis, 3.4).
    from scipy.stats import beta

    tree = HEATER_TREE
    for confirmed, not_listed in ((61, 2), (400, 17), (90, 9)):
        mean = 100 * beta.mean(not_listed, confirmed + tree.strength - not_listed)
        assert suggested_share(tree, Counted(confirmed, not_listed)) == pytest.approx(mean, abs=0.25)
    assert suggested_share(tree, Counted(1, 1)) == 5
    assert suggested_share(tree, Counted(3, 3)) < 15
    assert (usual_others(tree, 3), usual_others(tree, 4.5)) == ("not-listed", "scaled")


def test_what_is_offered_fits_the_words():
    assert events_like(HEATER_TREE, "no gas comes, the cylinder ran out")[0] == "no-gas"
    assert events_like(HEATER_TREE, "a fuse has blown")[0] == "low-power"
    assert events_like(HEATER_TREE, "xyz")[-1] == TOP
    assert [match.cause for match in causes_alike(HEATER_TREE, "a web sits in the flue")][:1] == ["flue-nest"]
    assert causes_alike(HEATER_TREE, "water stands in the exhaust pipe") == ()
    assert [check.id for check in checks_like(HEATER_TREE, "hob ring")][:1] == ["hob-flame"]


def test_an_id_is_proposed_from_the_telling_words_and_is_free():
    assert proposed_id(HEATER_TREE, "The exhaust pipe is wet", COMMON) == "exhaust-pipe-wet"
    assert proposed_id(HEATER_TREE, "A flue and a nest", COMMON) == "flue-nest-2"
    assert proposed_id(HEATER_TREE, "???", COMMON) == ""


def test_the_cases_findings_are_offered_and_danger_questions_are_not():
    found = {
        "smell-of-gas": "no",
        "flue-outside": "clear",
        "first-two-minutes": "dies",
        "hob-flame": "not-sure",
    }
    lines = [
        Entry(NOON, "finding", check, answer, number=at)
        for at, (check, answer) in enumerate(found.items(), 1)
    ]
    shown = shown_in_case(HEATER_TREE, lines, "fire-side")
    assert [(each.check.id, each.answer, each.expected) for each in shown] == [
        ("flue-outside", "clear", 0.98),
        ("first-two-minutes", "dies", 0.5),
    ]
    assert expected_of(HEATER_TREE.checks["hob-flame"], "weak", HEATER_TREE, TOP) == pytest.approx(0.01)


ANSWERS = """\
says: Water stands in the exhaust pipe
under: fire-side
id: exhaust-wet
remedy: {do: Disconnect it, by: owner, hands: tools, minutes: 5}
expect:
  first-two-minutes: {dyes: probable}
check:
  id: gurgle-heard
  ask: Does it gurgle?
  hands: ears
  by: owner
  minutes: 2
  answers: {gurgles: It gurgles}
  expect: {exhaust-wet: {gurgles: probable}}
"""


def test_flaws_of_the_tree_are_told_where_the_answers_say_what_causes_them():
    told = read_answers(ANSWERS, "new.yaml")
    new = told.cause("exhaust-wet", 3, "as-they-are")
    after = extended(HEATER, HEATER_TREE, new, COMMON)
    flaws = placed_in_answers(flaws_of(after, HEATER_TREE, COMMON)[1], after, new, told)
    assert [f"{flaw.line}:{flaw.column} {flaw.text[:34]}" for flaw in flaws] == [
        '4:10 do of remedy of "exhaust-wet" says',
        '4:40 remedy of "exhaust-wet" lets an ow',
        '6:23 expect names "dyes", which is no a',
        "10:10 hands wants look, controls or tool",
        "13:3 answers wants two or more, not 1",
    ]


def test_the_form_of_the_answers_is_judged_all_at_once():
    text = "say: It is wet\nin_100: none\nhazard: {a: b}\nexpect: [a]\ncheck: {ask: b}\nothers: all\n"
    with pytest.raises(FlawedKnowledge) as refused:
        read_answers(text, "new.yaml")
    assert str(refused.value).splitlines() == [
        'new.yaml:1:1: key "say" is not known here (did you mean "says"?)',
        "new.yaml:1:1: the file lacks remedy",
        "new.yaml:1:1: the file lacks says",
        'new.yaml:2:9: in_100 is "none"; it wants a number above 0 and at most 100',
        "new.yaml:3:9: hazard is a mapping; it wants a hazard or a list of them",
        "new.yaml:4:9: expect is a list; it wants check: {answer: how often}",
        "new.yaml:5:8: check lacks id: what the new check is called",
        'new.yaml:6:9: others is "all"; it wants not-listed or scaled or as-they-are',
    ]
