"""What follows from a change: flaws and advice new and gone, minutes, proof, past cases; value and page."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from diagnose.cases.store import open_store
from diagnose.knowledge.loading import read_tree
from diagnose.reasoning.bounds import least_minutes
from diagnose.reasoning.figures import figures
from diagnose.reasoning.model import build_model
from diagnose.revising import consequences as module
from diagnose.revising.consequences import Asked, consequences
from diagnose.terminal.consequences_page import consequences_page
from diagnose.terminal.wrapping import display_width
from diagnose.terms import Advice, DiagnoseError
from diagnose.walking.shelf import route_for
from tests.cli.test_trees_replay import lamp_past
from tests.reasoning.made_up_trees import common
from tests.reviewing.made_up_past import fill
from tests.terminal.conftest import LAMP

ASKED = Asked(datetime(2026, 11, 1, tzinfo=UTC))


def read(text):
    return read_tree(text, "lamp-dark.yaml", common(), id="lamp-dark")


def tree_of(text):
    tree, flaws = read(text)
    assert tree is not None, flaws
    return tree


@pytest.fixture
def store(tmp_path):
    with open_store(str(tmp_path / "cases.sqlite")) as kept:
        fill(kept, lamp_past())
        yield kept


@pytest.fixture(scope="module")
def dearer():
    """The bulb takes an hour."""
    return tree_of(LAMP.replace("minutes: 5, wait: 600", "minutes: 60, wait: 600"))


def page_of(found, width=80):
    lines = consequences_page(found, width).lines
    assert max(display_width(line.text) for line in lines) <= width
    return " ".join(" ".join(line.text for line in lines).split())


def test_minutes_are_those_of_both_roles_routes_before_and_after(dearer):
    old = tree_of(LAMP)
    found = consequences(old, dearer, ASKED)
    assert found.may_be_written
    assert found.after.proved == (1, 2, 3, 4, 5, 6, 7)
    for tree, proof in ((old, found.before), (dearer, found.after)):
        for role in ("owner", "technician"):
            model = build_model(tree, role)
            assert proof.costs[role].expected == figures(route_for(model), model).expected
            assert proof.costs[role].least == least_minutes(model)
            assert 0 <= proof.costs[role].gap < 0.5
    costs = [each.costs["owner"].expected for each in (found.before, found.after)]
    assert costs[0].hands_on < costs[1].hands_on
    text = page_of(found)
    told = f"An owner: {costs[0].cost:.1f} before, {costs[1].cost:.1f} now"
    assert f"{told} ({costs[1].cost - costs[0].cost:+.1f}); no route can be better." in text
    assert "Reckoned by the file's own figures." in text
    assert "TRIED ON" not in text
    page_of(found, 40)


def test_past_cases_are_tried_and_learned_from(store, dearer):
    found = consequences(tree_of(LAMP), dearer, ASKED, store)
    assert (found.replay.cases, found.counted) == (13, 14)
    assert found.replay.minutes.worse > 0
    text = page_of(found)
    assert "Reckoned with what 14 past cases teach." in text
    assert "TRIED ON 13 PAST CASES" in text
    assert "Cases that got worse, the most first: " in text
    model = build_model(dearer, "owner", tally=store.tally("lamp-dark", ASKED.now))
    assert found.after.costs["owner"].expected == figures(route_for(model), model).expected


def test_advice_is_new_or_gone_wherever_it_stands():
    old = tree_of(LAMP)
    # A line in front moves everything below: that is no new advice.
    new = tree_of("# moved\n" + LAMP.replace("in_100: 40", "in_100: 20"))
    found = consequences(old, new, ASKED)
    assert [each.name for each in found.advice_new] == ["shares-miss-100"]
    assert found.advice_gone == ()
    assert "NEW ADVICE - lamp-dark.yaml:8:1: the shares and not_listed (5) add up to 80" in page_of(found)
    back = consequences(new, old, ASKED)
    assert [each.name for each in back.advice_gone] == ["shares-miss-100"]
    assert "ADVICE GONE" in page_of(back)
    assert "No advice is new or gone." in page_of(consequences(old, old, ASKED))


def test_a_flawed_tree_has_flaws_and_nothing_else(store):
    _, had = read(LAMP.replace("in_100: 40", "in_100: 400"))
    _, has = read(LAMP.replace("in_100: 40", "in_100: 400").replace("hands: look", "hands: nose"))
    found = consequences(None, None, ASKED, store, old_flaws=had, new_flaws=has)
    assert (len(found.flaws_left), len(found.flaws_new)) == (len(had), 2)
    assert (found.before, found.after, found.replay, found.may_be_written) == (None, None, None, False)
    text = page_of(found)
    assert text.startswith("NEW FLAWS - lamp-dark.yaml:")
    assert "FLAWS STILL THERE" in text
    mended = consequences(None, tree_of(LAMP), ASKED, store, old_flaws=has)
    assert len(mended.flaws_gone) == len(has)
    assert f"Flaws gone: {len(has)}." in page_of(mended)
    assert mended.may_be_written


def test_a_new_tree_has_nothing_before(store):
    found = consequences(None, tree_of(LAMP), ASKED, store)
    assert (found.tree, found.before, found.replay) == ("lamp-dark", None, None)
    assert "before" not in page_of(found)


def test_a_route_that_breaks_a_rule_is_told_and_not_raised(store, dearer, monkeypatch):
    def only_the_old(model, folder=None):
        if model.tree is dearer:
            raise DiagnoseError("rule 7 is broken on start > bulb-gone")
        return route_for(model, folder)

    monkeypatch.setattr(module, "route_for", only_the_old)
    found = consequences(tree_of(LAMP), dearer, ASKED, store)
    assert found.after.refused == "rule 7 is broken on start > bulb-gone"
    assert (found.may_be_written, found.replay, found.after.costs) == (False, None, {})
    assert page_of(found) == "REFUSED: A SAFETY RULE WOULD BE BROKEN rule 7 is broken on start > bulb-gone"


def test_no_control_character_of_a_tree_reaches_the_screen(dearer):
    from dataclasses import replace

    found = replace(consequences(tree_of(LAMP), dearer, ASKED), flaws_new=())
    nasty = replace(found, after=replace(found.after, refused="see \x1b[31mred\x07"))
    assert all(line.text.isprintable() for line in consequences_page(nasty, 80).lines)


def test_one_more_of_the_same_advice_is_new():
    from dataclasses import replace

    old = tree_of(LAMP)
    said = [Advice("lamp-dark.yaml", line, 1, "same", "the same (same)") for line in (3, 9)]
    one, two = replace(old, advice=(said[0],)), replace(old, advice=tuple(said))
    assert consequences(one, two, ASKED).advice_new == (said[1],)
    assert consequences(two, one, ASKED).advice_gone == (said[1],)


def test_advice_that_rests_on_the_routes_is_told_too():
    old = tree_of(LAMP)
    spare = """checks:
  lamp-colour:
    ask: Is the lamp white?
    hands: look
    by: owner
    minutes: 50
    answers: {white: It is, grey: It is not}
    expect: {bulb-gone: {white: 0.5}, otherwise: {grey: 0.6}}
"""
    new = tree_of(LAMP.replace("checks:\n", spare, 1))
    found = consequences(old, new, ASKED)
    assert "check-never-asked" in {advice.name for advice in found.advice_new}
    assert not found.advice_gone
    assert "check-never-asked" in page_of(found)
    assert "check-never-asked" in {advice.name for advice in consequences(new, old, ASKED).advice_gone}
