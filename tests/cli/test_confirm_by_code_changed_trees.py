"""Codes that were made with another version of a tree than the one at hand."""

from __future__ import annotations

from tests.cli.handed_on_case import STEP_STUCK, case_of, code_at, sentences, tag_at, tally_of


def changed(place, old, new):
    file = place / "trees" / "step-stuck.yaml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


NEW_CAUSE = """\
    hinge:
      says: Its hinge is bent
      in_100: 5
      remedy: {refer: workshop}
      prevent: Fold it in before you drive
    motor:
"""


def test_other_words_and_figures_do_not_touch_a_code(place, said):
    code = code_at(place)
    changed(place, "Does it squeak?", "Does it squeak or grate?")
    changed(place, "in_100: 60", "in_100: 50")
    assert said("cases", "confirm", code, "2")[0] == 0
    assert case_of(place / "owner.sqlite").cause == "motor"


def test_a_cause_and_a_check_that_were_renamed_are_found_under_their_names_of_today(place, workshop, said):
    code = code_at(place)
    changed(place, "    motor:\n", "    motor-failed:\n      was: [motor]\n")
    changed(place, "  squeak:\n", "  squeaks:\n    was: [squeak]\n")
    assert said("cases", "confirm", code, "2")[0] == 0
    kept = case_of(workshop)
    assert kept.cause == "motor-failed"
    assert [line.subject for line in kept.entries] == ["squeaks", "volts", "grit"]


def test_with_a_new_cause_in_the_list_numbers_are_refused_and_causes_are_taken(place, workshop, said):
    code, tag = code_at(place), tag_at(place)
    changed(place, "    motor:\n", NEW_CAUSE)
    exit_code, out, err = said("cases", "confirm", code, "2")
    assert (exit_code, out) == (1, "")
    assert err == (
        'the tree "step-stuck" asks or knows something else than when this code was made, so outcome 2 '
        "may be another now; write the cause instead of its number:\n"
        "  1 grit: Grit holds it\n"
        "  2 hinge: Its hinge is bent\n"
        "  3 motor: Its motor has failed\n"
        "  4 not-listed: Something else, not in this list\n"
    )
    listed = said("cases", "confirm", code)[1]
    assert "so write the cause" in listed
    assert "  motor       Its motor has failed\n" in listed
    assert listed.endswith(f"  diagnose cases confirm {code} CAUSE\n")
    assert sentences(said("cases", "confirm", code, "motor")) == (
        f"Case 1 of the store {tag} is opened here as case 1 and confirmed: Its motor has failed (motor). "
        "It counts from the next walk on. What was found could not be read from the code: its tree has "
        "asked or known something else since. It counts for its cause alone."
    )
    assert case_of(workshop).entries == ()
    assert tally_of(workshop).causes == {"motor": 1.0}


def test_the_version_that_a_code_was_made_with_is_looked_for_in_every_folder(place, workshop, said):
    """A workshop whose own tree knows more still reads the codes of owners who have the other one."""
    code = code_at(place)
    own = place / "own"
    own.mkdir()
    text = STEP_STUCK.replace("    motor:\n", NEW_CAUSE).replace(
        '"no": Silent}', '"no": Silent, hums: It hums}'
    )
    text = text.replace("  volts:", "  volts-now:")
    (own / "step-stuck.yaml").write_text(text, encoding="utf-8")
    both = ("--trees", str(place / "trees"), "--trees", str(own))
    assert "  2  Its motor has failed\n" in said("cases", "confirm", code, *both)[1]
    told = sentences(said("cases", "confirm", code, "2", *both))
    assert told.endswith("No place in the tree as it is now, so left out: volts: good.")
    kept = case_of(workshop)
    assert (kept.cause, [line.subject for line in kept.entries]) == ("motor", ["squeak", "grit"])


def test_a_number_with_the_number_of_a_case_wants_the_same_tree(place, said):
    changed(place, "    motor:\n", NEW_CAUSE)
    exit_code, _, err = said("cases", "confirm", "1", "2")
    assert exit_code == 1
    assert 'the tree "step-stuck" has changed since case 1, so outcome 2 may be another now;' in err
    assert said("cases", "confirm", "1", "motor")[0] == 0
