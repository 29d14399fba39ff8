"""`diagnose draw --route`: the chart at the command line, with pages and cases."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from pypdf import PdfReader

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store

NOW = datetime(2026, 3, 1, tzinfo=UTC)


@pytest.fixture
def case_of(tmp_path):
    """`case_of(symptom, role, *(check, answer))`: the URL of a store and the number of a case in it."""
    url = str(tmp_path / "own.sqlite")

    def keep(symptom, role, *found):
        with open_store(url) as store:
            case = store.open_case(symptom, "an older digest", role, "blue van", NOW)
            for check, answer in found:
                store.append(case, Entry(NOW, "finding", check, answer))
        return url, str(case)

    return keep


def drawn(done):
    assert (done.code, done.err) == (0, "")
    return done.out


def test_a_case_is_marked_on_the_route_and_a_changed_tree_is_said(run, case_of):
    url, case = case_of("hook-up-trips", "owner", ("mains-harmed", "no"), ("polarity-lamp", "right"))
    plain = drawn(run("draw", "hook-up-trips", "--route", "--format", "dot"))
    marked = drawn(
        run("draw", "hook-up-trips", "--route", "--case", case, "--format", "dot", DIAGNOSE_CASES=url)
    )
    assert f"Case {case} of blue van, opened" in marked
    assert "The tree has changed since then" in marked
    assert 'BGCOLOR="black"' in marked
    assert "Case" not in plain
    assert 'BGCOLOR="black"' not in plain


def test_a_case_is_drawn_on_the_route_of_who_walked_it_unless_another_is_asked_for(run, case_of):
    url, case = case_of("hook-up-trips", "technician", ("mains-harmed", "no"))
    words = ("draw", "hook-up-trips", "--route", "--case", case, "--format", "dot")
    assert "(technician&#x27;s" in drawn(run(*words, DIAGNOSE_CASES=url))
    assert "(owner&#x27;s" in drawn(run(*words, "--as", "owner", DIAGNOSE_CASES=url))


def test_a_case_of_another_tree_or_none_is_one_line(run, case_of):
    url, case = case_of("water-pump", "owner")
    done = run("draw", "hook-up-trips", "--route", "--case", case, DIAGNOSE_CASES=url)
    assert (done.code, done.out) == (1, "")
    assert done.err.startswith(f"case {case} is about water-pump, not hook-up-trips: ")
    none = run("draw", "hook-up-trips", "--route", "--case", "99", DIAGNOSE_CASES=url)
    assert (none.code, none.err) == (1, "there is no case 99; `diagnose cases list` shows those there are\n")


def test_danger_questions_are_one_box_or_in_full_steps_of_their_own(run):
    one = drawn(run("draw", "hook-up-trips", "--route", "--format", "dot"))
    full = drawn(run("draw", "hook-up-trips", "--route", "--danger-in-full", "--format", "dot"))
    assert "Danger questions: always asked first" in one
    assert "Danger questions: always asked first" not in full
    assert len(re.findall("shape=diamond", full)) == len(re.findall("shape=diamond", one)) + 2


def test_pages_are_numbered_and_name_the_page_that_goes_on(run, need, tmp_path):
    need("dot")
    assert run("draw", "hook-up-trips", "--route", "--paper", "a3", "-o", "route.pdf").code == 0
    pages = [page.extract_text() for page in PdfReader(tmp_path / "route.pdf").pages]
    assert len(pages) > 1
    assert all(f"Page {number} of {len(pages)}." in text for number, text in enumerate(pages, 1))
    assert any(re.search(r"page 2", text) for text in pages[:1])
    assert sum("(connector)" in text for text in pages) == 1


def test_less_is_drawn_the_larger_the_share_down_to_which_it_is(run):
    all_of_it, likely, likeliest = (
        drawn(run("draw", "hook-up-trips", "--route", "--down-to", share, "--format", "dot"))
        for share in ("0", "2%", "30%")
    )
    assert "more steps" not in all_of_it
    assert "more steps" in likely
    assert len(all_of_it) > len(likely) > len(likeliest)
