"""Words are found in every form, and nothing else is."""

from __future__ import annotations

import pytest

from diagnose.knowledge.wording import first_word

PATTERNS = ("unscrew*", "undo", "probe", "test lamp", "cover off", "take* ... apart")


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("Unscrew it", "unscrew"),
        ("It was UNSCREWED.", "unscrewed"),
        ("un-screw it", "unscrew"),
        ("un\u2010screw, un\u2011screw", "unscrew"),
        ("un\u00adscrew it", "unscrew"),
        ("un- screw it", "unscrew"),
        ("un_screw", "unscrew"),
        ("valve/unscrewing", "unscrewing"),
        ("off.Un-screw", "unscrew"),
        ("ｕｎｄｏ it", "undo"),
        ("úndo it", "undo"),
        ("u\u0301ndo it", "undo"),
        ("undо it", "undo"),  # a Cyrillic letter
        ("use a test-lamp", "test lamp"),
        ("use a testlamp", "testlamp"),
        ("a test\nlamp", "test lamp"),
        ("with the cover  off", "cover off"),
        ("take apart", "take apart"),
        ("takes the old burner apart", "takes the old burner apart"),
    ],
)
def test_a_word_is_found_in_every_form(text, word):
    assert first_word(text, PATTERNS) == word


@pytest.mark.parametrize(
    "text",
    [
        "",
        "screw",
        "undoubtedly",
        "probes and probably",
        "discover offers",
        "cover it, then off",
        "a lamp to test",
        "take it and one, two, three, four words apart",
        "unsc rew",
    ],
)
def test_other_words_are_let_be(text):
    assert first_word(text, PATTERNS) == ""


def test_no_pattern_finds_nothing():
    assert first_word("undo", ()) == ""
    assert first_word("undo", ("", "*", "-")) == ""


@pytest.mark.parametrize("hazard", ["gas", "mains"])
@pytest.mark.parametrize(
    "forms",
    [
        "unscrew unscrews unscrewed unscrewing",
        "unbolt unbolts unbolted unbolting",
        "undo undoes undid undone undoing",
        "loosen loosens loosened loosening",
        "slacken slackens slackened slackening",
        "dismantle dismantles dismantled dismantling",
        "take-apart takes-apart took-apart taken-apart taking-apart",
        "disconnect disconnects disconnected disconnecting",
        "detach detaches detached detaching",
        "drill drills drilled drilling",
        "pierce pierces pierced piercing",
        "poke pokes poked poking",
        "probe probes probed probing",
        "bridge bridges bridged bridging",
        "jumper jumpers jumpered jumpering",
        "short-out shorts-out shorted-out shorting-out",
        "wedge wedges wedged wedging",
        "defeat defeats defeated defeating",
        "override overrides overrode overridden overriding",
        "cover-off covers-off",
    ],
)
def test_the_common_files_refuse_every_form(common, hazard, forms):
    for form in forms.split():
        assert first_word(form.replace("-", " "), common.hazards[hazard].refused), form


@pytest.mark.parametrize(
    "forms",
    [
        "measure measures measured measuring",
        "meter meters metered metering",
        "test-lamp test-lamps",
        "rewire rewires rewired rewiring",
        "splice splices spliced splicing",
    ],
)
def test_the_common_files_refuse_measuring_and_wiring_under_mains(common, forms):
    for form in forms.split():
        assert first_word(form.replace("-", " "), common.hazards["mains"].refused), form


@pytest.mark.parametrize(
    "text", ["Open the valve and the window", "press it, unplug it, change it, take it off"]
)
def test_the_common_files_allow_what_an_owner_may_do(common, text):
    for hazard in ("gas", "mains"):
        assert first_word(text, common.hazards[hazard].refused) == ""
