"""What the common files must hold: danger questions, referrals, cautions and refused words."""

from __future__ import annotations

from collections import Counter

import pytest

from diagnose.knowledge.collection import shipped_folder
from diagnose.knowledge.wording import first_word
from tests.trees.shipped import COMMON, in_order

FIXED_CHECKS = {
    "smell-of-gas": (("no", "yes"), "gas-escape"),
    "co-alarm": (("quiet", "none-fitted", "sounds-or-ill"), "co-suspected"),
    "mains-harmed": (("no", "yes"), "mains-danger"),
    "battery-harmed": (("no", "yes"), "auto-electrician"),
}
FIXED_REFERRALS = {
    "gas-engineer": 240,
    "electrician": 240,
    "auto-electrician": 240,
    "workshop": 240,
    "recovery": 240,
    "gas-escape": 120,
    "co-suspected": 120,
    "mains-danger": 120,
}
HAZARDS = [
    "gas",
    "mains",
    "fuel",
    "refrigerant",
    "high-current",
    "road",
    "height",
    "infection",
    "hot",
    "chemical",
    "none",
]


@pytest.mark.parametrize("id", FIXED_CHECKS)
def test_the_danger_questions_are_fixed(id):
    answers, referral = FIXED_CHECKS[id]
    check = COMMON.checks[id]
    assert check.fixed
    assert check.answer_ids() == answers
    assert (check.minutes, check.hands, check.by, check.not_sure) == (1, "look", "owner", 0)
    assert check.stop_on == {answers[-1]}
    assert check.refer == referral
    chances = {"co-alarm": [0.90, 0.08, 0.02]}.get(id, [0.98, 0.02])
    assert [check.expect["otherwise"][answer] for answer in answers] == pytest.approx(chances)


def test_the_referrals_are_fixed():
    referrals = COMMON.referrals
    assert {id: referral.minutes for id, referral in referrals.items()} == FIXED_REFERRALS
    assert all(referral.fixed and referral.to and referral.say for referral in referrals.values())


@pytest.mark.parametrize("id", FIXED_REFERRALS)
def test_until_help_comes_everybody_is_kept_warm_without_a_flame(id):
    text = COMMON.referrals[id].until_help
    assert in_order(
        text, "freezing" if "freezing" in text else "frost", "blankets", "112", "Never warm yourselves"
    )
    for source in ("hob", "oven", "barbecue", "engine"):
        assert source in text[text.index("Never warm yourselves") :]


def test_every_hazard_has_its_caution_and_its_referral():
    common = COMMON
    assert list(common.hazards) == HAZARDS
    for id, hazard in common.hazards.items():
        if id == "none":
            assert (hazard.caution, hazard.referral) == (None, None)
        else:
            assert hazard.caution == ("hot-surfaces" if id == "hot" else id)
            assert hazard.referral in FIXED_REFERRALS


def test_cautions_have_the_signal_words_of_the_standard():
    # Source: ANSI Z535.6 and ISO 3864-2: DANGER will kill or maim, WARNING could, CAUTION hurts.
    words = {id: caution.word for id, caution in COMMON.cautions.items()}
    assert Counter(words.values()) == {"DANGER": 4, "WARNING": 10, "CAUTION": 1, "NOTICE": 1}
    assert {id for id, word in words.items() if word == "DANGER"} == {
        "gas",
        "carbon-monoxide",
        "mains",
        "exhaust",
    }


def test_112_can_be_called_in_every_country():
    # Source: 112 is the emergency number of the European Union, by Directive (EU) 2018/1972, article 109.
    countries = COMMON.countries
    assert all("112" in country.numbers for country in countries.values())
    assert set(countries) == set(COMMON.facts["country"].answer_ids())


@pytest.mark.parametrize(
    "text",
    [
        "Unscrew the jet",
        "unbolted it",
        "un-screw it",
        "undo the nut",
        "once it is undone",
        "loosening the union",
        "slackens",
        "dismantled",
        "take the tap apart",
        "took it apart",
        "disconnect the hose",
        "detaching it",
        "drilled out",
        "pierce the web",
        "poke a wire in",
        "probing the jet",
        "bridged with foil",
        "a jumper wire",
        "short out the switch",
        "wedge the valve open",
        "defeats the guard",
        "override it",
        "with the cover off",
    ],
)
@pytest.mark.parametrize("hazard", ["gas", "mains"])
def test_words_of_opening_and_bridging_are_refused_in_every_form(text, hazard):
    assert first_word(text, COMMON.hazards[hazard].refused)


MEASURING = ["measure it", "with a meter", "a multimeter", "a test lamp", "rewired", "splicing"]
ALLOWED = ["open the valve", "press the button", "unplug it", "change the cylinder", "take it off"]


@pytest.mark.parametrize("text", MEASURING)
def test_measuring_and_wiring_are_refused_under_mains(text):
    assert first_word(text, COMMON.hazards["mains"].refused)


@pytest.mark.parametrize("text", ALLOWED)
@pytest.mark.parametrize("hazard", ["gas", "mains"])
def test_what_an_owner_may_do_is_not_refused(text, hazard):
    assert first_word(text, COMMON.hazards[hazard].refused) == ""


def test_the_common_files_stand_beside_the_trees():
    names = {path.stem for path in (shipped_folder() / "common").glob("*.yaml")}
    assert names == {
        "cautions",
        "checks",
        "countries",
        "facts",
        "hazards",
        "places",
        "referrals",
        "systems",
    }
