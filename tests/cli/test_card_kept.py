"""What a walk asked may be kept on the vehicle's card, and nothing else of the card changes."""

from __future__ import annotations

import stat

import pytest

from tests.cli.card_of_the_van import ASKED, CARD, TYPED


def test_a_fact_that_was_asked_is_kept_on_the_card_and_nothing_else_of_it_changes(run, card):
    before = CARD.replace("  heater-fuel: gas\n", "")
    card.write_text(before, encoding="utf-8")
    card.chmod(0o640)
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=ASKED + "1\n")
    assert ran.code == 0
    assert "Keep this on the card van.yaml, so that it is not asked again?" in ran.out
    assert "- What does the room heater burn or use? Gas." in ran.out
    assert "Kept on van.yaml." in ran.out
    assert card.read_text(encoding="utf-8") == CARD
    assert stat.S_IMODE(card.stat().st_mode) == 0o640
    assert [path.name for path in card.parent.glob("*.part")] == []
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=TYPED + "leave off\n")
    assert "room heater burn" not in ran.out
    assert "Keep this" not in ran.out


@pytest.mark.parametrize("answer", ["2\n", "\n", "not sure\n", ""])
def test_a_card_is_left_alone_unless_it_is_wanted(run, card, answer):
    before = CARD.replace("  heater-fuel: gas\n", "")
    card.write_text(before, encoding="utf-8")
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=ASKED + answer)
    assert ran.code == 0
    assert card.read_text(encoding="utf-8") == before


def test_where_a_card_cannot_be_mended_plainly_the_line_to_add_is_shown(run, card):
    before = "label: x\nfacts: {build: campervan}\n"
    card.write_text(before, encoding="utf-8")
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=ASKED + "1\n")
    assert "The card is left as it is. To keep it, write under facts: there:\n  heater-fuel: gas\n" in ran.out
    assert card.read_text(encoding="utf-8") == before


def test_a_card_changed_meanwhile_is_not_written_over(tmp_path):
    from diagnose.terminal.keeping_facts import write_anew

    path = tmp_path / "van.yaml"
    path.write_text("label: mine\n", encoding="utf-8")
    with pytest.raises(OSError, match="changed meanwhile"):
        write_anew(path, "label: other\n", b"label: older\n")
    assert path.read_text(encoding="utf-8") == "label: mine\n"
    assert list(tmp_path.iterdir()) == [path]


def test_a_card_behind_a_link_is_written_where_it_lies(tmp_path):
    from diagnose.terminal.keeping_facts import write_anew

    (tmp_path / "far").mkdir()
    path, link = tmp_path / "far" / "van.yaml", tmp_path / "van.yaml"
    path.write_text("label: a\n", encoding="utf-8")
    link.symlink_to(path)
    write_anew(link, "label: b\n", b"label: a\n")
    assert link.is_symlink()
    assert path.read_text(encoding="utf-8") == "label: b\n"


def test_without_a_card_it_is_said_how_to_make_one_only_where_a_fact_was_asked(run):
    ran = run("walk", "heater-no-fire", typed=ASKED)
    assert "  diagnose card new\n" in ran.out
    ran = run("walk", "heater-no-fire", typed="no\nleave off\n")
    assert "diagnose card new" not in ran.out


def test_after_a_stop_nothing_is_offered(run, card):
    card.write_text("label: x\n", encoding="utf-8")
    ran = run(
        "walk", "heater-no-fire", "--vehicle", "van.yaml", typed=ASKED.replace("leave off", "danger\n3")
    )
    assert "STOP - DANGER" in ran.out
    assert "Keep this" not in ran.out
