"""The common files: complete as shipped, and read as strictly as a tree."""

from __future__ import annotations

import shutil

import pytest

from diagnose.knowledge.collection import shipped_folder
from diagnose.knowledge.common import FILES, load_common
from diagnose.terms import FlawedKnowledge


@pytest.fixture
def folder(tmp_path):
    """A copy of the shipped common files, to be damaged."""
    copy = tmp_path / "common"
    shutil.copytree(shipped_folder() / "common", copy)
    return copy


def refusal(folder, name, old, new):
    """What is said once one text of one file is another; the place is left out."""
    path = folder / f"{name}.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(FlawedKnowledge) as refused:
        load_common(folder, "common")
    assert {flaw.file for flaw in refused.value.flaws} == {f"common/{name}.yaml"}
    return [flaw.message for flaw in refused.value.flaws]


def test_the_fixed_ids_are_all_there(common):
    assert list(common.hazards) == [
        "gas", "mains", "fuel", "refrigerant", "high-current", "road", "height", "infection", "hot",
        "chemical", "none",
    ]  # fmt: skip
    for hazard in common.hazards.values():
        if hazard.id == "none":
            assert (hazard.caution, hazard.referral) == (None, None)
        else:
            assert hazard.caution in common.cautions
            assert common.referrals[hazard.referral].fixed
    minutes = {id: referral.minutes for id, referral in common.referrals.items() if referral.fixed}
    assert minutes == {
        "gas-engineer": 240, "electrician": 240, "auto-electrician": 240, "workshop": 240, "recovery": 240,
        "gas-escape": 120, "co-suspected": 120, "mains-danger": 120,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("id", "expected", "refer"),
    [
        ("smell-of-gas", {"no": 0.98, "yes": 0.02}, "gas-escape"),
        ("co-alarm", {"quiet": 0.90, "none-fitted": 0.08, "sounds-or-ill": 0.02}, "co-suspected"),
        ("mains-harmed", {"no": 0.98, "yes": 0.02}, "mains-danger"),
        ("battery-harmed", {"no": 0.98, "yes": 0.02}, "auto-electrician"),
    ],
)
def test_the_danger_questions_are_fixed(common, id, expected, refer):
    check = common.checks[id]
    assert (check.fixed, check.minutes, check.hands, check.by, check.not_sure) == (
        True,
        1,
        "look",
        "owner",
        0,
    )
    assert check.expect == {"otherwise": expected}
    assert check.answer_ids() == tuple(expected)
    assert check.stop_on == {list(expected)[-1]}
    assert check.refer == refer
    assert check.hazards == frozenset()


def test_facts_cost_nothing_and_are_no_checks(common):
    assert not set(common.facts) & set(common.checks)
    for fact in common.facts.values():
        assert (fact.fact, fact.minutes, fact.hands, fact.stop_on) == (True, 0, "look", frozenset())
        assert len(fact.answers) >= 2
    months = common.facts["months-laid-up"]
    assert months.reading is not None
    assert (months.reading.low, months.reading.high, months.reading.uncertainty) == (0, 60, 0.5)
    assert [(band.id, band.low, band.high) for band in months.bands] == [
        ("short", 0, 3), ("season", 3, 9), ("long", 9, 60),
    ]  # fmt: skip


def test_systems_cautions_places_and_countries(common):
    assert len(common.systems) == 15
    assert common.systems["heating"].hazards == ("gas", "hot")
    assert {caution.word for caution in common.cautions.values()} == {
        "DANGER",
        "WARNING",
        "CAUTION",
        "NOTICE",
    }
    assert {id: place.access for id, place in common.places.items()} == {
        "cab": 1, "kitchen": 1, "washroom": 1, "outside": 2, "fuse-panel": 2, "hook-up": 2, "cassette": 2,
        "gas-locker": 3, "engine-bay": 3, "water-bay": 3, "leisure-battery": 3, "starter-battery": 4,
        "wheels": 4, "roof-edge": 6,
    }  # fmt: skip
    assert common.countries["uk"].numbers == ("112", "999")
    assert set(common.countries) == set(common.facts["country"].answer_ids())


def test_hazards_are_put_in_the_order_of_the_file(common):
    assert common.carried({"hot", "none", "gas"}) == ("gas", "hot")


def test_the_digest_follows_the_content(folder, common):
    assert load_common(folder).digest == common.digest
    path = folder / "places.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    assert load_common(folder).digest != common.digest


@pytest.mark.parametrize(
    ("name", "old", "new", "said"),
    [
        ("hazards", "caution: gas\n", "caution: gass\n", [
            'caution names "gass", which is not known (did you mean "gas"?)',
        ]),
        ("hazards", "  referral: gas-engineer\n", "", ['hazard "gas" lacks referral']),
        ("hazards", "says: Gas", "say: Gas", [
            'hazard "gas" lacks says: what can hurt',
            'key "say" is not known in hazard "gas" (did you mean "says"?)',
        ]),
        ("systems", "title: ", "titel: ", [
            'system "engine-electrics" lacks title: its name',
            'key "titel" is not known in system "engine-electrics" (did you mean "title"?)',
        ]),
        ("facts", "answers: {private: Private, hired: Hired out}", "answers: {private: Private}", [
            "answers wants two or more, not 1",
        ]),
        ("facts", "season: {from: 3, below: 9}", "season: {from: 4, below: 9}", [
            'bands of fact "months-laid-up" leave a gap from 3 to 4',
        ]),
        ("checks", "refer: gas-escape", "refer: gas-escap", [
            'refer names "gas-escap", which is not known (did you mean "gas-escape"?)',
        ]),
        ("checks", 'expect: {otherwise: {"no": 0.98, "yes": 0.02}}', 'expect: {somebody: {"no": 0.98}}', [
            'expect names "somebody", which is no cause or event here',
        ]),
        ("checks", "co-alarm:\n", "use:\n", ['"use" is a fact as well']),
        ("cautions", "word: DANGER", "word: DANGR", [
            'word wants DANGER, WARNING, CAUTION or NOTICE, not "DANGR" (did you mean "DANGER"?)',
        ]),
        ("referrals", "minutes: 240", "minutes: 0", ["minutes is 0; it wants a number above 0"]),
        ("places", "cab:", "Cab:", [
            '"Cab" is no id; write lower case letters and figures, joined by single hyphens, a letter first',
        ]),
    ],
)  # fmt: skip
def test_a_flaw_in_a_common_file_is_told_with_its_place(folder, name, old, new, said):
    assert refusal(folder, name, old, new) == said


def test_the_flaws_of_all_common_files_are_told_at_once(folder):
    (folder / "places.yaml").unlink()
    (folder / "systems.yaml").write_bytes(b"\xff")
    (folder / "countries.yaml").write_text("a: [\n", encoding="utf-8")
    with pytest.raises(FlawedKnowledge) as refused:
        load_common(folder, "c")
    assert [str(flaw) for flaw in refused.value.flaws] == [
        "c/countries.yaml:2:1: the file ends inside brackets that are not closed",
        "c/places.yaml:1:1: there is no such file",
        "c/systems.yaml:1:1: the file is not UTF-8 here; save it as UTF-8",
    ]
    assert len(FILES) == 8
