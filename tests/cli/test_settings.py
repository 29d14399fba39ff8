from __future__ import annotations

import pytest

from diagnose.cli.settings import NoSuchCountry, country_of, read_settings
from diagnose.terms import Country, FlawedKnowledge, Settings

COUNTRIES = {
    "uk": Country("uk", "United Kingdom", ("112", "999"), ""),
    "ie": Country("ie", "Ireland", ("112",), ""),
}


def test_without_a_file_the_figures_are_the_built_in_ones(tmp_path):
    assert read_settings({}, tmp_path / "none.yaml") == Settings()


def test_the_file_sets_country_and_rates(tmp_path):
    file = tmp_path / "settings.yaml"
    file.write_text("country: uk\nwait_rate: 0\nmoney_per_minute: 0.25\nhalf_life: 5\n")
    assert read_settings({}, file) == Settings(
        country="uk", wait_rate=0.0, money_per_minute=0.25, half_life=5.0
    )


def test_the_environment_wins_over_the_file(tmp_path):
    file = tmp_path / "settings.yaml"
    file.write_text("country: uk\n")
    assert read_settings({"DIAGNOSE_COUNTRY": " IE "}, file).country == "ie"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("contry: uk\n", '1:1: "contry" is no setting (did you mean "country"?)'),
        ("wait_rate: slow\n", '1:12: wait_rate has to be a number of zero or more, not "slow"'),
        (
            "money_per_minute: 0\n",
            "1:19: money_per_minute has to be a number above zero, not the number 0",
        ),
        ("half_life: [1]\n", "1:12: half_life has to be a number above zero, not a list"),
        ("country: 44\n", "1:10: country has to be a country's id, not the number 44"),
        ("country: uk\ncountry: ie\n", '2:1: key "country" stands twice (first on line 1)'),
        ("expect_strength: 1\n", '1:1: "expect_strength" is no setting'),
    ],
)
def test_a_flawed_file_is_refused_with_its_place(tmp_path, text, message):
    file = tmp_path / "settings.yaml"
    file.write_text(text)
    with pytest.raises(FlawedKnowledge) as refused:
        read_settings({}, file)
    assert str(refused.value) == f"{file}:{message}"


def test_no_setting_reaches_a_safety_rule():
    # What can be set are these four figures; a new one has to be thought about here.
    from diagnose.cli.settings import KEYS

    assert KEYS == ("country", "wait_rate", "money_per_minute", "half_life")


def test_a_country_that_is_not_known_is_refused_with_those_that_are():
    with pytest.raises(NoSuchCountry) as refused:
        country_of(Settings(country="uj"), COUNTRIES)
    assert str(refused.value) == (
        '"uj" is no country here; write one of ie, uk (DIAGNOSE_COUNTRY, or country in the settings file)'
    )
    assert country_of(Settings(), COUNTRIES) is None
    assert country_of(Settings(country="ie"), COUNTRIES) is COUNTRIES["ie"]
