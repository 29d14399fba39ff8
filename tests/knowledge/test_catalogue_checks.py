"""What is told of the catalogues beside a tree: flaws; what is old, unsure or missing; other figures."""

from __future__ import annotations

import pytest

from diagnose.knowledge.catalogue_checks import check_catalogues, figures
from diagnose.knowledge.collection import Library

HEAD = """\
msgid ""
msgstr ""
"Language: de\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"Reviewed-by: \\n"
"""
TREE = """
symptom: The lamp over the table stays dark
system: habitation-electrics
refer_to: workshop
cured_when: {ask: Has the lamp burned for 3 minutes?}
faults:
  hazard: none
  any_of:
    switched-off:
      says: The switch at the lamp is off
      in_100: 45
      remedy: {do: Press the switch, by: owner, hands: controls, minutes: 1}
    line-dead: {says: No current comes to the lamp, in_100: 50, remedy: {refer: workshop}}
checks:
  switch-click:
    ask: Which way does the switch stand?
    hands: look
    by: owner
    minutes: 1
    answers: {on: At on, off: At off}
    expect: {switched-off: {off: almost certain}, otherwise: {on: almost certain}}
"""
WHOLE = {
    "The lamp over the table stays dark": "Die Lampe über dem Tisch bleibt dunkel",
    "Has the lamp burned for 3 minutes?": "Hat die Lampe 3 Minuten gebrannt?",
    "The switch at the lamp is off": "Der Schalter an der Lampe ist aus",
    "Press the switch": "Drücken Sie den Schalter",
    "No current comes to the lamp": "Es kommt kein Strom zur Lampe",
    "Which way does the switch stand?": "Wie steht der Schalter?",
    "At on": "Auf ein",
    "At off": "Auf aus",
}


@pytest.fixture
def told(tmp_path):
    """What is told of a catalogue of the tree, each line without the folder."""

    def check(pairs, code="de", head=HEAD, tree=TREE):
        folder = tmp_path / "languages" / code
        folder.mkdir(parents=True)
        body = "".join(f'\n{english}\nmsgstr "{other}"\n' for english, other in pairs.items())
        (folder / "lamp-dark.po").write_text(head + body, encoding="utf-8")
        (tmp_path / "lamp-dark.yaml").write_text(tree, encoding="utf-8")
        library = Library((tmp_path,))
        flaws, advice = check_catalogues(library.tree("lamp-dark"), library.common())
        return [str(each).removeprefix(f"{folder}/") for each in (*flaws, *advice)]

    return check


def keyed(pairs):
    return {f'msgid "{english}"': other for english, other in pairs.items()}


def test_of_a_whole_catalogue_nothing_is_told(told):
    assert told(keyed(WHOLE)) == []


def test_what_is_missing_is_told_once_with_how_much_it_is(told):
    lacking = dict(list(WHOLE.items())[:-2]) | {"At on": ""}
    assert told(keyed(lacking)) == [
        'lamp-dark.po:25:1: 2 texts are not translated and will be shown in English, first "At on" '
        "(translation-missing)"
    ]


def test_what_is_old_unsure_or_has_other_figures_is_told_at_its_place(told):
    pairs = keyed(WHOLE | {"Has the lamp burned for 3 minutes?": "Hat die Lampe 30 Minuten gebrannt?"})
    pairs['#, fuzzy\nmsgid "At on"'] = pairs.pop('msgid "At on"')
    assert told(pairs | {'msgid "The bulb is loose"': "Die Birne ist lose"}) == [
        'lamp-dark.po:10:1: the translation of "Has the lamp burned for 3 minutes?" has other figures '
        "than the original (translation-figures)",
        'lamp-dark.po:28:1: the translation of "At on" is marked fuzzy, so it is not used '
        "(translation-unsure)",
        'lamp-dark.po:32:1: "The bulb is loose" is no text of the tree any more (translation-old)',
    ]


def test_what_the_tree_accepts_is_not_told(told):
    tree = TREE + "accept: {translation-missing: the sheet is read by technicians}\n"
    assert told({}, tree=tree) == []


def test_a_flaw_of_the_file_is_told_instead(told):
    assert told(keyed(WHOLE | {"At on": "Auf {ein}"})) == [
        'lamp-dark.po:25:1: "Auf {ein}" holds {ein} where the original holds no placeholder'
    ]


def test_a_language_that_the_program_does_not_speak_is_a_flaw(told):
    assert told(keyed(WHOLE), code="nl") == [
        'lamp-dark.po:1:1: there is no language "nl"; this is read by nobody',
        "lamp-dark.po:1:1: its header says Language: de, its folder nl",
    ]


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("3,500 kg", "3\u202f500\u00a0kg", True),
        ("11.5 V or 12 V", "12 V ou 11,5 V", True),
        ("12 V", "24 V", False),
        ("12 V to 12 V", "12 V", False),
        ("-5 °C", "5 °C unter null", True),
    ],
)
def test_figures_are_compared_as_digits(one, other, same):
    assert (figures(one) == figures(other)) is same
