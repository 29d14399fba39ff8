"""The vehicle's card on the command line: walks with it, making, checking and printing one."""

from __future__ import annotations

import json
import re
import stat
from datetime import UTC, datetime
from html.parser import HTMLParser
from types import SimpleNamespace

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.terms import Finding

SAFE = "smell-of-gas: no\nco-alarm: quiet\nbattery-harmed: no\nflue-cover: bare\nflue-outside: clear\n"
CARD = """\
# of the van
label: the blue van
country: ie
facts:
  build: campervan   # converted in 2019
  heater-fuel: gas
where:
  heater-panel: above the sliding door, ZEBRA
instruments: {V: 0.4}
cannot: [smell, lift]
dates: {gas-hose: 2015-05, alarm: 2015-03}
numbers: {gas-engineer: 01632 960001}
"""
TYPED = "no\nquiet\nno\nbare\nclear\n"


@pytest.fixture
def card(tmp_path):
    path = tmp_path / "van.yaml"
    path.write_text(CARD, encoding="utf-8")
    return path


def stored(tmp_path, case=1):
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        return store.case(case)


def reckoned(run, *more, **environment):
    ran = run("walk", "heater-no-fire", "--json", *more, **environment)
    assert (ran.code, ran.err) == (0, "")
    return json.loads(ran.out)


def test_a_plain_word_stays_a_label(run, tmp_path):
    ran = run("walk", "heater-no-fire", "--vehicle", "the red van", typed="no\n")
    assert ran.code == 0
    assert stored(tmp_path).vehicle == "the red van"


LAMP = """
symptom: The lamp over the table stays dark
system: habitation-electrics
refer_to: workshop
applies_to: {build: [campervan]}
cured_when: {ask: Has the lamp burned for a minute?}
faults:
  hazard: none
  any_of:
    switched-off:
      says: The switch at the lamp is off
      in_100: 60
      remedy: {do: Press the switch, by: owner, hands: controls, minutes: 30, part: lamp-switch}
    line-dead: {says: No current comes to it, in_100: 35, remedy: {refer: workshop}}
checks:
  switch-click:
    ask: Which way does the switch stand?
    hands: look
    by: owner
    minutes: 1
    part: lamp-switch
    answers: {on: It stands at on, off: It stands at off}
    expect: {switched-off: {off: almost certain}, otherwise: {on: almost certain}}
"""


@pytest.fixture
def lamp(tmp_path):
    (tmp_path / "trees").mkdir()
    (tmp_path / "trees" / "lamp-dark.yaml").write_text(LAMP, encoding="utf-8")
    text = "label: lamps\nfacts: {build: campervan}\nwhere: {lamp-switch: under the shelf}\n"
    (tmp_path / "lamp.yaml").write_text(text, encoding="utf-8")
    return ("walk", "lamp-dark", "--trees", "trees", "--vehicle", "lamp.yaml")


def test_a_walk_with_a_card_knows_its_facts_and_shows_where_things_are(run, lamp):
    ran = run(*lamp, typed="off\n", COLUMNS="40")
    assert (ran.code, ran.err) == (0, "")
    said = " ".join(ran.out.split())
    assert "What kind of vehicle is it?" not in said
    assert said.count("Lamp switch: under the shelf.") == 2  # with the question and with what to do
    assert "diagnose walk --resume 1 --trees trees --vehicle lamp.yaml" in said
    assert max(map(len, ran.out.splitlines())) <= 40


def test_a_part_of_a_tree_that_is_not_at_hand_is_not_known(run, lamp, tmp_path):
    ran = run("walk", "heater-no-fire", "--vehicle", "lamp.yaml")
    assert ran.code == 1
    assert 'where names "lamp-switch", a part that no tree names' in ran.err


def test_whoever_cannot_smell_is_told_to_ask_somebody(run, card):
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed="no\n")
    assert "you cannot smell well: ask somebody who can" in " ".join(ran.out.split())


def test_what_is_due_is_said_once_and_before_the_first_question(run, card):
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=TYPED)
    assert ran.out.count("The gas hose is") == 1
    assert ran.out.count("The carbon-monoxide alarm had its end date on 31 March 2015") == 1
    assert ran.out.index("NOTICE") < ran.out.index("The gas hose is") < ran.out.index("Can you smell gas")


def test_only_the_label_and_the_facts_that_the_tree_asks_for_go_into_the_case(run, card, tmp_path):
    run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=TYPED)
    record = stored(tmp_path)
    assert record.vehicle == "the blue van"
    assert {entry.subject for entry in record.entries if entry.ahead} == {"heater-fuel"}
    kept = b"".join(path.read_bytes() for path in tmp_path.glob("cases.sqlite*"))
    for secret in (b"ZEBRA", b"960001", b"campervan", b"van.yaml", b"2015", b"lift"):
        assert secret not in kept


def test_with_json_the_facts_of_the_card_are_findings_and_the_same_each_time(run, card, tmp_path):
    (tmp_path / "found.yaml").write_text(SAFE, encoding="utf-8")
    arguments = ("--vehicle", "van.yaml", "--answers", "found.yaml")
    one, other = reckoned(run, *arguments), reckoned(run, *arguments)
    assert one == other
    findings = {each["check"]: each.get("answer") for each in one["findings"]}
    assert findings["heater-fuel"] == "gas"
    assert (findings["build"], findings["country"]) == ("campervan", "ie")
    assert findings["smell-of-gas"] == "no"
    assert one["next"]["kind"] == "check"


def test_with_json_the_card_adds_what_is_due_and_whom_to_call_and_without_one_nothing(run, card, tmp_path):
    (tmp_path / "found.yaml").write_text(SAFE, encoding="utf-8")
    plain = reckoned(run, "--answers", "found.yaml")
    document = reckoned(run, "--vehicle", "van.yaml", "--answers", "found.yaml")
    assert list(plain) == ["symptom", "ranking", "next", "findings"]
    assert list(document) == [*plain, "due", "call"]
    hose, alarm = document["due"]
    assert (hose["date"], hose["on"]) == ("gas-hose", "2015-05-01")
    assert "have it changed by a gas engineer" in hose["says"]
    assert (alarm["date"], alarm["on"]) == ("alarm", "2015-03-31")
    assert document["call"] == [{"referral": "gas-engineer", "number": "01632 960001"}]
    (tmp_path / "bare.yaml").write_text("label: bare\n", encoding="utf-8")
    bare = reckoned(run, "--vehicle", "bare.yaml", "--answers", "found.yaml")
    assert (bare["due"], bare["call"]) == ([], [])
    named = reckoned(run, "--vehicle", "a plain name", "--answers", "found.yaml")
    assert list(named) == list(plain)


def test_a_file_of_answers_wins_over_the_card(run, card, tmp_path):
    (tmp_path / "found.yaml").write_text(SAFE + "heater-fuel: diesel\n", encoding="utf-8")
    document = reckoned(run, "--vehicle", "van.yaml", "--answers", "found.yaml")
    assert {"check": "heater-fuel", "answer": "diesel"} in document["findings"]
    assert document["next"]["kind"] == "referral"


def test_a_reading_in_a_file_of_answers_has_the_uncertainty_of_the_card(run, card, tmp_path):
    (tmp_path / "found.yaml").write_text(
        "rest-volts: 12.4\ncrank-volts: {value: 11, uncertainty: 0.2}\n", encoding="utf-8"
    )
    known = [check for check in ("rest-volts", "crank-volts") if _takes_a_reading(check)]
    text = "\n".join(f"{id}: 12.4" for id in known) + "\n"
    (tmp_path / "found.yaml").write_text(text, encoding="utf-8")
    ran = run("walk", "engine-no-crank", "--vehicle", "van.yaml", "--answers", "found.yaml", "--json")
    doubts = {each["check"]: each.get("uncertainty") for each in json.loads(ran.out)["findings"]}
    assert known
    assert {doubts[id] for id in known} == {0.4}


def _takes_a_reading(id):
    from diagnose.knowledge.collection import Library

    check = Library().tree("engine-no-crank").checks.get(id)
    return check is not None and check.reading is not None


def test_what_somebody_cannot_do_changes_what_comes_next(run, card, tmp_path):
    lifts = "cannot: [kneel, climb, lift, reach, hear, smell]\n"
    (tmp_path / "bound.yaml").write_text(lifts, encoding="utf-8")
    (tmp_path / "free.yaml").write_text("label: free\n", encoding="utf-8")
    (tmp_path / "found.yaml").write_text("mains-harmed: no\n", encoding="utf-8")
    steps = {}
    for name in ("bound", "free"):
        ran = run("walk", "water-pump", "--vehicle", f"{name}.yaml", "--answers", "found.yaml", "--json")
        steps[name] = json.loads(ran.out)
    assert steps["bound"]["ranking"] == steps["free"]["ranking"]
    from diagnose.knowledge.collection import Library

    tree = Library().tree("water-pump")
    for document in steps.values():
        leads = document["next"]["why"]["leads_to"].values()
        for step in (document["next"], *leads):
            needs = tree.checks[step["id"]].needs if step["kind"] == "check" else ()
            assert document is steps["free"] or not needs


def test_the_country_on_the_card_wins_over_the_setting(run, card):
    typed = "danger\n\n"
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=typed, DIAGNOSE_COUNTRY="de")
    assert "Emergency number: 112 or 999." in ran.out
    assert "Emergency number: 112." in run("walk", "heater-no-fire", typed=typed, DIAGNOSE_COUNTRY="de").out


def test_danger_told_before_a_walk_stops_with_the_numbers_of_the_card(run, tmp_path):
    (tmp_path / "van.yaml").write_text("country: uk\nnumbers: {gas-escape: 01632 960003}\n")
    ran = run("walk", "--vehicle", "./van.yaml", typed="danger\n")
    assert ran.code == 0
    assert "STOP - DANGER" in ran.out
    assert "The number on your card: 01632 960003" in ran.out
    assert "call 112." in ran.out


def test_a_flawed_card_is_refused_with_every_flaw_before_anything_is_asked(run, tmp_path):
    (tmp_path / "van.yaml").write_text("country: gb\nwhere: {bonet: x}\n", encoding="utf-8")
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert [line.split(" ")[0] for line in ran.err.splitlines()] == ["van.yaml:1:10:", "van.yaml:2:9:"]
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", "--json")
    assert [error["line"] for error in json.loads(ran.out)["errors"]] == [1, 2]
    assert not (tmp_path / "cases.sqlite").exists()


def test_a_card_that_is_not_there_is_refused(run):
    ran = run("walk", "heater-no-fire", "--vehicle", "no/such.yaml")
    assert (ran.code, ran.out, ran.err) == (1, "", "no/such.yaml:1:1: there is no such file\n")


def test_a_label_like_a_number_plate_is_advised_against_once(run, tmp_path):
    (tmp_path / "van.yaml").write_text("label: AB12 CDE\n", encoding="utf-8")
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed="no\n")
    assert ran.code == 0
    assert ran.err.count("number plate") == 1
    assert ran.err.startswith("van.yaml:1:8: ")


def test_a_case_does_not_go_on_with_the_card_of_another_vehicle(run, card, tmp_path):
    run("walk", "heater-no-fire", "--vehicle", "the red van", typed="no\n")
    ran = run("walk", "--resume", "1", "--vehicle", "van.yaml")
    assert ran.code == 1
    assert ran.err == 'case 1 is of "the red van"; the card is of "the blue van"\n'


def test_a_walk_is_taken_up_again_with_its_card(run, lamp):
    run(*lamp, typed="leave off\n")
    ran = run("walk", "--resume", *lamp[2:])
    assert ran.code == 0
    assert "Lamp switch: under the shelf." in ran.out


def test_a_fact_that_was_added_to_the_card_meanwhile_is_not_asked_at_resuming(run, card):
    card.write_text(CARD.replace("  heater-fuel: gas\n", ""), encoding="utf-8")
    run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed="no\nleave off\n\n")
    card.write_text(CARD, encoding="utf-8")
    ran = run("walk", "--resume", "--vehicle", "van.yaml", typed=TYPED)
    assert (ran.code, ran.err) == (0, "")
    assert "So far the likeliest" in ran.out
    assert "What does the room heater burn or use?" not in ran.out


# What a walk asked may be kept.

ASKED = "no\nquiet\nno\nbare\nclear\ngas\nleave off\n"


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


# diagnose card


def facts_asked():
    """How many questions about facts a new card comes with."""
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.keeping_facts import OF_THE_SEASON

    facts = Library().common().facts
    return len(
        [id for id, fact in facts.items() if not fact.reading and id not in ("country", *OF_THE_SEASON)]
    )


def test_a_new_card_is_made_by_a_short_talk_and_read_again(run, tmp_path):
    facts = facts_asked()
    typed = "the blue van\nuk\n" + "\n" * facts + "flue: left side\n\nkneel\n2021-06\n"
    ran = run("card", "new", "van.yaml", typed=typed + "\n" * 30)
    assert (ran.code, ran.err) == (0, "")
    assert "diagnose walk --vehicle van.yaml" in ran.out
    text = (tmp_path / "van.yaml").read_text(encoding="utf-8")
    for line in ('label: "the blue van"', 'country: "uk"', '  flue: "left side"', "cannot: [kneel]"):
        assert line in text
    assert "  gas-hose: 2021-06-01" in text
    assert run("card", "check", "van.yaml").code == 0


def test_what_cannot_be_is_asked_again_in_the_talk(run, tmp_path):
    facts = facts_asked()
    typed = "x\n\n" + "\n" * facts + "bonnet: x\nflue\n\nneel\n\n2099-01\n06/21\n2021-06\n"
    ran = run("card", "new", "van.yaml", typed=typed + "\n" * 12 + "call me\n\n\n\n\n\n")
    assert ran.code == 0
    assert "No tree names that part." in ran.out
    assert "Type a part, a colon and where it is." in ran.out
    assert "Only these words: kneel, climb, lift, reach, hear, smell." in ran.out
    assert "which is still to come." in ran.out
    assert "gas-hose wants a date such as 2021-06-30" in ran.out
    assert "wants a telephone number in figures" in ran.out


def test_a_file_that_is_there_is_never_written_over(run, tmp_path):
    (tmp_path / "van.yaml").write_text("mine", encoding="utf-8")
    ran = run("card", "new", "van.yaml", typed="\n" * 60)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == "van.yaml is there already and is left as it is; write another name\n"
    assert (tmp_path / "van.yaml").read_text(encoding="utf-8") == "mine"
    (tmp_path / "loose.yaml").symlink_to(tmp_path / "nowhere.yaml")
    assert run("card", "new", "loose.yaml", typed="\n" * 60).code == 1
    assert not (tmp_path / "nowhere.yaml").exists()


def test_a_talk_that_breaks_off_writes_nothing(run, tmp_path):
    ran = run("card", "new", "van.yaml", typed="the van\n")
    assert ran.code == 0
    assert "Nothing was written." in ran.out
    assert not (tmp_path / "van.yaml").exists()


def test_danger_told_in_the_talk_stops_it(run, tmp_path):
    ran = run("card", "new", "van.yaml", typed="there is a smell of gas\n")
    assert ran.code == 0
    assert "STOP - DANGER" in ran.out
    assert not (tmp_path / "van.yaml").exists()


@pytest.mark.parametrize("name", ["van", "no/such/folder/van.yaml", "a\x1b[31m.yaml"])
def test_a_name_that_cannot_be_a_card_is_wrong_usage(run, name):
    ran = run("card", "new", name)
    assert ran.code == 2
    assert "\x1b" not in ran.err


def test_a_check_says_every_flaw_and_what_is_due(run, card, tmp_path):
    ran = run("card", "check", "van.yaml")
    assert ran.code == 0
    assert ran.out.startswith("NOTICE: The gas hose is ")
    assert ran.out.endswith("van.yaml: no flaw\n")
    card.write_text("dates: {tyres: 9999}\nnumbers: {x: 1}\n", encoding="utf-8")
    ran = run("card", "check", "van.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert len(ran.err.splitlines()) == 3
    card.write_text("label: van\n", encoding="utf-8")
    assert run("card", "check", "van.yaml").out == "van.yaml: no flaw, nothing is due\n"


def test_the_locker_card_says_whom_to_call_where_things_are_and_what_is_due(run, card):
    ran = run("card", "print", "van.yaml", "--plain", COLUMNS="40")
    assert (ran.code, ran.err) == (0, "")
    said = " ".join(ran.out.split())
    for text in (
        "THE BLUE VAN",
        "Call 112 or 999.",
        "Gas engineer: 01632 960001.",
        "Heater panel: above the sliding door, ZEBRA.",
        "Gas hose: of May 2015 - DUE.",
        "Carbon-monoxide alarm: ends 31 March 2015 - DUE.",
        "Heater fuel: Gas.",
        "This does not certify that the vehicle is safe.",
    ):
        assert text in said
    assert "cannot" not in said.lower()
    assert "0.4" not in said
    assert max(map(len, ran.out.splitlines())) <= 40


def test_tyres_are_told_in_the_units_of_the_country(run, card):
    card.write_text("country: uk\ntyres: {rear: {pressure: 4.5 bar, load: 1650 kg}}\n", encoding="utf-8")
    # 4.5 bar is 65.27 psi: 1 bar is 14.5038 psi (by the exact definitions of pound and inch).
    assert "Rear: 65 psi (4.5 bar), weighed 1650 kg." in run("card", "print", "van.yaml", "--plain").out
    card.write_text("country: de\ntyres: {rear: {pressure: 4.5 bar, load: 1650 kg}}\n", encoding="utf-8")
    assert "Rear: 4.5 bar (65 psi), weighed 1650 kg." in run("card", "print", "van.yaml", "--plain").out


class Page(HTMLParser):
    """The elements of a page and its text."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.attributes, self.texts = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, *each) for each in attrs]

    def handle_data(self, data):
        self.texts.append(data)


ALLOWED = {
    *("html", "head", "meta", "title", "style", "body", "footer"),
    *("h1", "h2", "section", "p", "b", "strong"),
}


def test_whatever_stands_on_a_card_is_text_on_the_page_and_never_markup(run, card):
    nasty = "<script>alert(1)</script><img src=x onerror=alert(1)>\\\"'&amp; {0} {title}"
    card.write_text(f'label: "</title><script>x</script>"\nwhere: {{flue: "{nasty}"}}\n', encoding="utf-8")
    ran = run("card", "print", "van.yaml")
    assert ran.code == 0
    page = Page(ran.out)
    assert set(page.tags) <= ALLOWED
    assert "alert(1)" in "".join(page.texts)
    assert "{0} {title}" in "".join(page.texts)
    assert not [each for each in page.attributes if each[1].startswith("on") or each[1] in ("src", "href")]
    assert "default-src 'none'" in ran.out


def test_the_page_fetches_nothing_and_is_one_sheet_of_a4(run, card, tmp_path):
    ran = run("card", "print", "van.yaml", "-o", "locker.html")
    assert (ran.code, ran.out, ran.err) == (0, "", "")
    text = (tmp_path / "locker.html").read_text(encoding="utf-8")
    assert "size: A4 portrait" in text
    assert not re.search(r"https?:|url\(|@import|<script|<link", text)
    size = re.search(r"font: (\d+)pt", text)
    assert size is not None
    assert int(size[1]) >= 16


def test_the_card_itself_is_not_written_over_by_its_page(run, card):
    ran = run("card", "print", "van.yaml", "-o", "./van.yaml")
    assert (ran.code, ran.out) == (2, "")
    assert card.read_text(encoding="utf-8") == CARD


@pytest.fixture
def full(tmp_path):
    """A card with more on it than one page can hold, of whatever parts the trees name."""
    from diagnose.knowledge.card_words import CardWords
    from diagnose.knowledge.collection import Library

    place = "behind the third flap from the left, under the long seat, look for the red tape around it"
    lines = [f"  {part}: {place}" for part in CardWords(Library()).parts]
    text = CARD.replace("  heater-panel: above the sliding door, ZEBRA", "\n".join(lines))
    path = tmp_path / "full.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_what_has_no_room_on_the_page_is_counted_there_and_told(run, full, tmp_path):
    ran = run("card", "print", "full.yaml", "-o", "locker.html")
    assert (ran.code, ran.out) == (0, "")
    assert re.fullmatch(
        r'No room on one page for: \d+ under "Where it is", 2 under "What it has"\. See the card itself\.\n',
        ran.err,
    )
    text = (tmp_path / "locker.html").read_text(encoding="utf-8")
    assert "font: 12pt" in text
    assert "No room here for: " in text
    for kept in ("01632 960001", "Call 112 or 999.", "Gas hose:", "This does not certify"):
        assert kept in text


def test_as_plain_text_it_is_one_page_as_well(run, full):
    ran = run("card", "print", "full.yaml", "--plain")
    assert ran.code == 0
    assert len(ran.out.splitlines()) <= 60
    assert "No room on one page for: " in ran.err
    assert "DUE." in ran.out
    # A narrow screen says the same, in more lines.
    narrow = run("card", "print", "full.yaml", "--plain", COLUMNS="40")
    assert narrow.out.split() == ran.out.split()


def test_a_card_with_escapes_in_it_is_refused_and_none_reaches_the_terminal(run, card):
    card.write_bytes(b"label: \"a\\u001b]0;x\\u0007\"\nwhere:\n  flue: 'a\x1b[2J'\n")
    for arguments in (
        ("card", "print", "van.yaml", "--plain"),
        ("walk", "heater-no-fire", "--vehicle", "van.yaml"),
    ):
        ran = run(*arguments)
        assert ran.code == 1
        assert "\x1b" not in ran.out + ran.err
        assert "\x07" not in ran.out + ran.err


# The card at the usual place


def test_without_a_file_the_card_at_the_usual_place_is_meant(run, tmp_path):
    home = tmp_path / "leisure-fault-diagnosis"
    for command in ("check", "print"):
        ran = run("card", command)
        assert (ran.code, ran.out) == (2, "")
        assert f"none stands at {home / 'my-vehicle.yaml'}; to make one: diagnose card new" in ran.err
    ran = run("card", "new", typed="the blue van\nuk\nleave off\n")
    assert (ran.code, ran.err) == (0, "")
    said = " ".join(ran.out.split())
    assert "From now on it is used by itself." in said
    assert "diagnose card print -o locker-card.html" in said
    assert run("card", "check").out == f"{home / 'my-vehicle.yaml'}: no flaw, nothing is due\n"
    assert "THE BLUE VAN" in run("card", "print", "--plain").out
    before = (home / "my-vehicle.yaml").read_text(encoding="utf-8")
    ran = run("card", "new", typed="x\n")
    assert ran.code == 1
    assert "is there already and is left as it is" in ran.err
    assert (home / "my-vehicle.yaml").read_text(encoding="utf-8") == before


def test_in_a_pipe_or_with_json_the_card_at_the_usual_place_is_not_taken(run, tmp_path):
    home = tmp_path / "leisure-fault-diagnosis"
    home.mkdir()
    (home / "my-vehicle.yaml").write_text("facts: {heater-fuel: gas}\n", encoding="utf-8")
    ran = run("walk", "heater-no-fire", typed=ASKED)
    assert "What does the room heater burn or use?" in ran.out
    assert "With the card" not in ran.out
    (tmp_path / "found.yaml").write_text(SAFE, encoding="utf-8")
    assert "due" not in reckoned(run, "--answers", "found.yaml")


def test_a_flawed_card_at_the_usual_place_stands_in_nobodys_way(tmp_path, monkeypatch, capsys):
    from diagnose.cli.vehicle import card_by_default
    from diagnose.knowledge.collection import Library
    from diagnose.walking.places import usual_card

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert card_by_default(Library()) is None
    usual_card().parent.mkdir()
    usual_card().write_text("country: gb\nlabel: 7\n", encoding="utf-8")
    assert card_by_default(Library()) is None
    told = capsys.readouterr().err.splitlines()
    assert told[0].startswith(f"{usual_card()}:1:10: country is")
    assert told[-1] == f"So the card {usual_card()} is left aside this time."
    usual_card().write_text("label: mine\n", encoding="utf-8")
    assert card_by_default(Library()).name == "mine"


def test_facts_of_one_lay_up_are_not_kept_for_the_next():
    # Was it drained, where did it stand, for how long: a card would tell it wrongly next year.
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.keeping_facts import OF_THE_SEASON, asked_facts

    facts = {id: Library().common().facts[id] for id in ("drained", "build")}
    findings = {id: Finding(id, fact.answer_ids()[0]) for id, fact in facts.items()}
    now = datetime(2026, 3, 1, tzinfo=UTC)
    live = [Entry(now, "finding", id, finding.answer) for id, finding in findings.items()]
    walk = SimpleNamespace(past=SimpleNamespace(live=live, findings=findings))
    opened = SimpleNamespace(walk=walk, tree=SimpleNamespace(checks={}, facts=facts))
    assert list(asked_facts([opened])) == ["build"]
    assert set(OF_THE_SEASON) <= set(Library().common().facts)


def test_the_talk_shows_a_few_parts_and_all_of_them_if_wanted(run, tmp_path):
    typed = "x\n\n" + "\n" * facts_asked() + "parts\ngas-hose: in the locker\nleave off\n"
    ran = run("card", "new", "van.yaml", typed=typed)
    said = " ".join(ran.out.split())
    few, every = said.index("Such parts are: battery-isolator, main-fuse"), said.index("air-filter, alarm,")
    assert few < said.index("To see all") < every
    assert '  gas-hose: "in the locker"' in (tmp_path / "van.yaml").read_text(encoding="utf-8")


def test_of_a_caravan_nothing_is_asked_that_it_has_not(run):
    motorhome = run("card", "new", "a.yaml", typed="x\nuk\nmotorhome\n" + "\n" * 60).out
    caravan = run("card", "new", "b.yaml", typed="x\nuk\ncaravan\n" + "\n" * 60).out
    for text in ("starter battery", "Starter battery: when"):
        assert text in motorhome
        assert text not in caravan
