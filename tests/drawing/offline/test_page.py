"""The page as a file: what it may do, what it holds, and that no text of a tree gets out of its place."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from dataclasses import replace
from datetime import date
from functools import cache
from hashlib import sha256
from html.parser import HTMLParser
from importlib.resources import files

import pytest

from diagnose.drawing.offline.data import Page
from diagnose.drawing.offline.page import inert, offline_page, scripts
from diagnose.knowledge.card import VehicleCard
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.terms import NOT_SURE, Finding
from diagnose.walking.stops import danger_referrals
from tests.drawing.offline.phone import MADE, page_of
from tests.trees.shipped import COMMON, EVERY_TREE, model_of, route_of, tree_of
from tests.walking.small_trees import heater

HARM = "</script><!--<script>alert(1)</script>]]> \" ' & \\u003c \u202e \u2028 {{ 7 * 7 }} ${x} `"


class Elements(HTMLParser):
    """Every element with its attributes and its text, as the standard library's parser reads them."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.found, self.inside = [], False
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.found.append([tag, dict(attrs), ""])
        self.inside = True

    def handle_endtag(self, tag):
        self.inside = False

    def handle_data(self, data):
        if self.inside:
            self.found[-1][2] += data

    def all(self, tag):
        return [(attrs, text) for name, attrs, text in self.found if name == tag]


@cache
def small_page():
    return page_of(["hob-hisses-on", "hook-up-trips"])


def harmful_page():
    tree = heater(symptom=HARM)
    checks = {id: replace(check, ask=HARM, how=HARM) for id, check in tree.checks.items()}
    model = build_model(replace(tree, checks=checks))
    return offline_page(Page(COMMON, ((model, compile_route(model)),), MADE))


def documents(page):
    """The data of a page: {"data": ..., "tree-ID": ...}."""
    every = Elements(page).all("script")
    return {attrs["id"]: json.loads(text) for attrs, text in every if attrs.get("type") == "application/json"}


def test_the_policy_allows_the_one_script_and_the_one_style_sheet_and_nothing_else():
    page = Elements(small_page())
    meta = next(attrs for attrs, _ in page.all("meta") if attrs.get("http-equiv"))
    assert meta["http-equiv"] == "Content-Security-Policy"
    policy = dict(part.strip().split(" ", 1) for part in meta["content"].split(";"))
    [script] = [text for attrs, text in page.all("script") if "type" not in attrs]
    [(_, style)] = page.all("style")
    digests = {
        kind: f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"
        for kind, text in (("script-src", script), ("style-src", style))
    }
    assert policy == {"default-src": "'none'", "base-uri": "'none'", "form-action": "'none'", **digests}


def test_nothing_in_the_page_leads_out_of_it():
    page = Elements(small_page())
    for tag, attrs, _ in page.found:
        assert not {"src", "srcset", "action", "style", "background", "data"} & set(attrs), tag
        assert not [name for name in attrs if name.startswith("on")], tag
        assert tag not in ("link", "iframe", "object", "embed", "img", "base", "form"), tag
    named = re.findall(r"https?:[^\s\"']*|@import|url\(", small_page())
    assert set(named) <= {"http://www.w3.org/2000/svg"}  # the name of a namespace, which nothing fetches


WAYS_OUT = (
    "innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "createContextualFragment", "DOMParser",
    "eval(", "new Function", "setTimeout(\"", "fetch(", "XMLHttpRequest", "WebSocket", "EventSource",
    "sendBeacon", "import(", "Worker(", "RTCPeerConnection", "srcdoc", "setHTML", "window.open",
)  # fmt: skip
"""What could make markup or a program of a text, or ask a network."""


def test_no_script_makes_markup_of_a_text_or_knows_a_way_to_a_network():
    found = [(name, way) for name, text in each_script() for way in WAYS_OUT if way in text]
    assert found == []


def each_script():
    folder = files("diagnose.drawing.offline") / "scripts"
    return [(each.name, each.read_text(encoding="utf-8")) for each in sorted(folder.iterdir(), key=str)]


def test_every_script_is_strict_ends_its_last_line_and_is_in_the_page_once():
    page = scripts()
    for name, text in each_script():
        assert text.startswith('"use strict";\n'), name
        assert text.endswith("\n"), name
        assert "</" not in text, name
        assert "<!--" not in text, name
        assert page.count(text) == 1, name


def test_texts_with_markup_and_signs_that_turn_the_direction_stay_texts():
    page = harmful_page()
    known = documents(page)
    told = known["tree-heater"]
    shown = HARM.replace("\u202e", "\ufffd").replace("\u2028", "\ufffd")
    assert told["symptom"] == known["data"]["trees"][0]["symptom"] == shown
    assert all(check["ask"] == check["how"] == shown for check in told["checks"].values())
    assert len(Elements(page).all("script")) == 3
    assert "\u202e" not in page
    assert "alert(1)</" not in page
    assert page.count("{{ 7 * 7 }}") > 1


def test_data_in_the_page_are_json_without_a_sign_of_markup():
    text = inert({"<!--": ["</script>", "a & b", "\u00e4"]})
    assert not set("<>&") & set(text)
    assert json.loads(text) == {"<!--": ["</script>", "a & b", "\u00e4"]}


def test_the_same_trees_on_the_same_day_give_the_same_bytes_whatever_their_order():
    assert page_of(["hook-up-trips", "hob-hisses-on"]) == small_page()


@pytest.mark.parametrize("id", ["hob-hisses-on", "hook-up-trips"])
def test_the_route_in_the_page_is_the_compiled_one(id):
    told, route = documents(small_page())[f"tree-{id}"], route_of(id)
    at = 0
    for node in route.nodes:
        step = told["steps"][told["nodes"][at]]
        assert (step["kind"], step["of"]) == (node.kind, node.of)
        if node.kind == "check":
            answers = [*tree_of(id).checks[node.of].answer_ids(), NOT_SURE]
        else:
            answers = ["cured", "not-cured", "could-not"] if node.kind == "remedy" else []
        edges = told["nodes"][at + 1 : at + 1 + len(answers)]
        assert edges == [node.edges[answer].to for answer in answers]
        at += 1 + len(answers)
    assert at == len(told["nodes"])


def test_the_tables_in_the_page_are_the_model_s_to_twelve_digits():
    told, model = documents(small_page())["tree-hook-up-trips"], model_of("hook-up-trips")
    assert told["alpha"] == pytest.approx(model.alpha.tolist(), rel=1e-11)
    for id, table in model.pseudo_counts.items():
        rows = [told["tables"][id]["rows"][at] for at in told["tables"][id]["of"]]
        assert len(rows) == len(model.ids)
        for row, expected in zip(rows, table.tolist(), strict=True):
            assert row == pytest.approx(expected, rel=1e-11)
    assert told["dangerReferrals"] == list(danger_referrals(model.tree))


def test_a_card_gives_its_facts_and_numbers_ahead_and_what_is_due_from_its_day_on():
    card = VehicleCard(
        "van.yaml",
        "the van",
        facts=(Finding("cylinder-gas", "propane"), Finding("country", "uk")),
        where={"regulator": "in the gas locker"},
        cannot=frozenset({"smell"}),
        dates={"alarm": date(2027, 3, 1), "gas-hose": date(2015, 5, 1)},
        numbers={"gas-engineer": "01632 960001"},
    )
    known = documents(page_of(["hob-goes-out"], card=card, country="uk"))
    vehicle = known["data"]["vehicle"]
    assert vehicle["numbers"] == {"gas-engineer": "01632 960001"}
    assert vehicle["where"] == {"regulator": "in the gas locker"}
    assert vehicle["alarm"] == {"from": "2027-03-02", "says": "1 March 2027"}
    assert [(each["from"], each["says"].split(":")[0]) for each in vehicle["due"]] == [
        ("2027-03-02", "The carbon-monoxide alarm had its end date on 1 March 2027"),
        ("2020-05-01", "The gas hose is 11 years old"),
    ]
    ahead = known["tree-hob-goes-out"]["ahead"]
    assert ahead == [{"check": "cylinder-gas", "answer": "propane", "value": None, "uncertainty": None}]


def test_a_tree_that_only_other_pages_hold_is_known_by_its_symptom():
    names = {"leisure-battery-weak": "It goes flat", "water-pump": "It does not pump"}
    told = documents(page_of(["roof-light-or-step"], names=names))["data"]
    assert told["elsewhere"] == {"leisure-battery-weak": "It goes flat"}
    assert documents(page_of(["hob-hisses-on"], names=names))["data"]["elsewhere"] == {}


@pytest.mark.long
def test_all_trees_are_under_three_megabytes_by_system_and_id(whole_page):
    page = whole_page.read_text(encoding="utf-8")
    assert len(page.encode()) < 3_000_000
    known = documents(page)
    assert [f"tree-{each['id']}" for each in known["data"]["trees"]] == [id for id in known if id != "data"]
    assert {each["id"] for each in known["data"]["trees"]} == set(EVERY_TREE)
