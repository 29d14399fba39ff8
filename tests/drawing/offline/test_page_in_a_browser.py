"""The page of all trees in a real browser: it asks no network for anything and keeps the safety of a walk."""

from __future__ import annotations

import json

import pytest

from diagnose.knowledge.card import VehicleCard
from diagnose.terms import Finding
from tests.drawing.offline.phone import page_of
from tests.drawing.offline.test_page import harmful_page

pytestmark = pytest.mark.long

HEATER = "heater-no-fire"
BEGIN = """
const [id, minute] = [arguments[0], 60000];
const E = Diagnose.engine;
const tree = Diagnose.tree(id);
let now = Date.UTC(2026, 10, 29, 8);
let setting = E.setting(Diagnose.data, tree, [], now);
let journal = E.begin(tree, now, setting);
const view = () => E.view(tree, journal, now, setting);
const answer = (...answers) => answers.forEach(each => {
  now += minute / 6;
  journal = E.answer(tree, journal, each, now, setting);
});
const onward = (how, otherwise) => {
  const { kind, askFirst, choices } = view();
  if (kind === 'remedy') answer(how);
  else answer(askFirst || otherwise === undefined ? choices[0].id : otherwise);
};
const safe = ['no', 'quiet', 'no', 'bare', 'clear'];
"""


@pytest.fixture
def walked(browser, whole_page):
    """`walked(script)`: what a script returns that walks the heater's tree on the page."""
    if browser.current_url != whole_page.as_uri():
        browser.get(whole_page.as_uri())

    def run(script, id=HEATER):
        script = f"return JSON.stringify((() => {{{BEGIN}{script}}})());"
        return json.loads(browser.execute_script(script, id))

    return run


def requests(browser):
    """The addresses that the browser asked for since the log was read last."""
    events = [json.loads(line["message"])["message"] for line in browser.get_log("performance")]
    return [
        each["params"]["request"]["url"] for each in events if each["method"] == "Network.requestWillBeSent"
    ]


def test_the_page_asks_for_itself_and_for_nothing_else(browser, whole_page):
    browser.get("about:blank")
    browser.get_log("performance")
    browser.get_log("browser")
    browser.get(whole_page.as_uri())
    browser.execute_script(
        f"{BEGIN} answer(...safe, 'gas', 'weak'); E.why(tree, journal, now, setting);", HEATER
    )
    assert browser.get_log("browser") == []
    assert requests(browser) == [whole_page.as_uri()]
    assert browser.execute_script("return performance.getEntriesByType('resource').length") == 0
    assert browser.execute_script("return document.styleSheets.length") == 1


def test_the_policy_is_in_force(browser, whole_page):
    browser.get(whole_page.as_uri())
    refused = browser.execute_async_script(
        """
        const done = arguments[0];
        const found = [];
        document.addEventListener('securitypolicyviolation', event => {
          found.push(event.effectiveDirective);
          if (found.length === 3) done(found);
        });
        const picture = document.createElement('img');
        picture.src = 'https://example.invalid/a.png';
        const script = document.createElement('script');
        script.textContent = 'window.ran = true';
        document.body.append(picture, script);
        fetch('https://example.invalid/').catch(() => {});
        """
    )
    assert sorted(refused) == ["connect-src", "img-src", "script-src-elem"]
    assert browser.execute_script("return typeof window.ran") == "undefined"
    browser.get_log("browser")


def test_texts_with_markup_run_nothing_and_are_shown_as_texts(browser, tmp_path):
    file = tmp_path / "harm.html"
    file.write_text(harmful_page(), encoding="utf-8")
    browser.get(file.as_uri())
    assert browser.get_log("browser") == []  # an alert would stand in the way of this very line
    shown = browser.execute_script("return document.body.textContent")
    assert "</script><!--<script>alert(1)</script>" in shown
    assert browser.execute_script("return document.querySelectorAll('script:not([type])').length") == 1


def test_not_sure_of_danger_offers_help_once_and_then_stops_for_good(walked):
    found = walked(
        """
        const kinds = [view().kind];
        journal = E.notSure(tree, journal, now, setting); kinds.push(view().kind);
        journal = E.notSure(tree, journal, now, setting); kinds.push(view().kind);
        const refused = ['back', 'resume', 'leaveOff', 'notSure'].map(name => {
          try { E[name](tree, journal, now, setting); return null; } catch (error) { return error.message; }
        });
        return [kinds, refused, view().first, view().referrals.map(each => each.id), view().commands];
        """
    )
    kinds, refused, first, referrals, commands = found
    assert kinds == ["question", "unsure", "stopped"]
    assert all(refused)
    assert first.startswith("Stop here. Everybody out into the open air now")
    assert (referrals, commands) == (["gas-escape"], [])


def test_danger_ends_the_walk_at_every_view(walked):
    found = walked(
        """
        const kinds = [];
        const look = () => {
          const stopped = E.danger(tree, journal, now, setting);
          const seen = E.view(tree, stopped, now, setting);
          kinds.push([view().kind, seen.kind, view().commands.includes('danger')]);
        };
        look();
        for (const each of [...safe, 'gas']) { answer(each); look(); }
        while (!view().state) { onward('not-cured'); look(); }
        return kinds;
        """
    )
    assert len(found) > 9
    assert {after for _, after, _ in found} == {"stopped"}
    assert all(offered for _, _, offered in found)


def test_a_stop_is_cleared_before_the_next_walk_and_no_stays_stopped(walked):
    found = walked(
        """
        journal = E.danger(tree, journal, now, setting);
        const kept = [{ id: 'one', tree: tree.id, journal, state: 'stopped' }];
        const other = Diagnose.tree('water-pump');
        const asked = E.setting(Diagnose.data, other, kept, now);
        const fresh = E.begin(other, now, asked);
        const seen = journal => E.view(other, journal, now, asked);
        const [yes, no] = ['yes', 'no'].map(each => E.answer(other, fresh, each, now, asked));
        const later = [{ id: 'two', tree: other.id, journal: yes, state: 'open' }, ...kept];
        return [asked.stoppedBy, seen(fresh).kind, seen(yes).kind, seen(no).kind, seen(no).because,
          ...[later, [{ id: 'x', tree: 'gone', journal: [], state: 'stopped' }]]
            .map(walks => E.setting(Diagnose.data, other, walks, now).stoppedBy)];
        """
    )
    assert found[:4] == ["gas-escape", "cleared-question", "question", "stopped"]
    assert found[4] == "Nobody qualified has cleared the vehicle since its last walk stopped."
    assert found[5:] == [None, "workshop"]


def test_only_that_somebody_cleared_the_vehicle_ends_a_stop_in_whichever_window_it_was(walked):
    found = walked(
        """
        const stop = { id: 'one', tree: tree.id, vehicle: 'blue', state: 'stopped',
          journal: E.danger(tree, journal, now, setting) };
        // Begun before the stop, in another window, and gone on with after it.
        const went = { id: 'two', tree: tree.id, vehicle: 'blue', state: 'open',
          journal: E.answer(tree, journal, 'no', now, setting) };
        const line = answer => ({ ...went.journal[0], kind: 'cleared', subject: 'gas-escape', answer });
        const cleared = (vehicle, answer = 'yes') => ({ ...went, vehicle, journal: [line(answer)] });
        const nameless = { ...stop, vehicle: '' };
        return [[went, stop], [cleared('blue'), stop], [cleared('blue', 'no'), stop], [cleared(''), stop],
          [went, cleared('blue'), stop], [cleared('blue'), nameless], [cleared(''), nameless],
          [went, nameless]]
          .map(walks => E.setting(Diagnose.data, tree, walks, now).stoppedBy);
        """
    )
    stopped = "gas-escape"
    assert found == [stopped, None, stopped, stopped, None, None, None, stopped]


def test_starts_of_earlier_walks_of_a_day_use_up_the_tries_and_no_more_start_is_offered(walked):
    found = walked(
        """
        const line = { kind: 'tried', subject: 'fuse-or-switch', answer: 'not-cured', value: null,
          uncertainty: null, ahead: false, time: new Date(now).toISOString() };
        const kept = [{ id: 'one', tree: tree.id, journal: [line, line, line], state: 'referred' }];
        const within = E.setting(Diagnose.data, tree, kept, now + 23 * 60 * minute).startedBefore;
        const after = E.setting(Diagnose.data, tree, kept, now + 25 * 60 * minute).startedBefore;
        const own = E.setting(Diagnose.data, tree, kept, now, { id: 'one' }).startedBefore;
        setting = { ...E.setting(Diagnose.data, tree, kept, now), stoppedBy: null };
        answer(...safe, 'gas');
        const shown = [];
        while (!view().state) {
          shown.push([view().kind, Boolean(view().starts), view().triesLeft]);
          onward('not-cured');
        }
        return [within, after, own, shown, view().kind, view().notices];
        """
    )
    within, after, own, shown, kind, notices = found
    assert (within, after, own) == (3, 0, 0)
    assert shown
    assert all(kind == "question" and not starts for kind, starts, _ in shown)
    assert kind == "referred"
    assert any("may not be done here any more" in each for each in notices)


def test_a_changed_tree_is_said_with_what_was_dropped(walked):
    found = walked(
        """
        answer(...safe, 'gas', 'steady');
        const moved = line => (line.subject === 'hob-flame' ? { ...line, subject: 'hob-gone' } : line);
        const old = journal.map(moved);
        journal = E.resume(tree, old, now, setting, 'another digest');
        return [view().kind, view().check, view().notices];
        """
    )
    kind, check, notices = found
    assert (kind, check) == ("question", "smell-of-gas")
    assert notices[0].startswith("This tree has changed since the walk was left off")
    assert notices[1] == "No longer in the tree, so dropped: hob-gone: steady."


def test_what_could_not_be_done_goes_to_what_is_left_and_says_so(walked):
    found = walked(
        """
        answer(...safe, 'gas');
        while (view().kind !== 'remedy') onward('');
        const offered = view().remedy;
        answer('could-not');
        const said = view().notices.filter(each => each.startsWith('What could not be done'));
        const kinds = [];
        while (!view().state) {
          kinds.push(view().kind);
          onward('could-not');
        }
        return [offered, said.length, kinds, view().kind];
        """
    )
    offered, said, kinds, kind = found
    assert offered == "fuse-or-switch"
    assert said == 1
    assert set(kinds) <= {"remedy"}
    assert kind == "referred"


def test_a_hand_over_carries_what_both_trees_ask_alike(walked):
    found = walked(
        """
        const other = Diagnose.tree('leisure-battery-weak');
        const carry = Object.keys(tree.checks).map(check => ({ check, answer: 'not-sure', value: null,
          uncertainty: null }));
        const taken = E.carried({ carry }, tree, other);
        const fresh = E.begin(other, now, setting, taken);
        return [taken.map(each => each.check), fresh.every(line => line.kind === 'shown' || line.ahead),
          tree.askFirst];
        """,
        "habitation-dead",
    )
    taken, ahead, first = found
    assert ahead
    assert not set(taken) & set(first)


def test_a_card_answers_its_facts_ahead_and_tells_of_an_alarm_past_its_date(browser, tmp_path):
    from datetime import date

    card = VehicleCard(
        label="the van", facts=(Finding("heater-fuel", "gas"),), cannot=frozenset({"smell"}),
        dates={"alarm": date(2026, 11, 30)}, numbers={"gas-engineer": "01632 960001"},
    )  # fmt: skip
    file = tmp_path / "van.html"
    file.write_text(page_of([HEATER], card=card, country="uk"), encoding="utf-8")
    browser.get(file.as_uri())
    script = f"""
      {BEGIN}
      const first = view().how;
      answer('no');
      const alarm = view().how;
      setting = E.setting(Diagnose.data, tree, [], now + 3 * 24 * 60 * minute);
      const later = view().how;
      answer('quiet', 'no', 'bare', 'clear');
      const asked = view().check;
      while (!view().state) onward('could-not', 'not-sure');
      return JSON.stringify([first, alarm, later, asked, view().kind, view().ownNumber, view().register]);
    """
    first, alarm, later, asked, kind, number, register = json.loads(browser.execute_script(script, HEATER))
    assert "Your card says that you cannot smell or hear" not in first
    assert "Your card says that you cannot smell well" in first
    assert "end date" not in alarm
    assert "By your card the alarm's end date was 30 November 2026." in later
    assert asked != "heater-fuel"
    assert kind == "referred"
    assert number in ("", "01632 960001")
    assert "Gas Safe" in register or not register
