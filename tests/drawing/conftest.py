"""A small tree with both gates and a shared event, a route of it, and a browser to look at pages in."""

from __future__ import annotations

import os
import shutil
from dataclasses import replace

import pytest

from diagnose.terms import TOP, Answer, Check, CuredWhen, Event, Referral, Remedy, Tree


def small_tree(*, text="Wet lead"):
    """`lead` alone, or `plug` together with `damp`; damp stands in both places."""
    mains = frozenset({"mains"})
    events = {
        TOP: Event(TOP, "The post trips", "any_of", ("lead", "joint")),
        "lead": Event(
            "lead",
            text,
            None,
            (),
            in_100=60.0,
            remedy=Remedy("do", "Dry it", minutes=60.0),
            hazards=frozenset(),
        ),
        "joint": Event(
            "joint", "A bad joint", "all_of", ("plug", "damp"), in_100=35.0, own_hazards=mains, hazards=mains
        ),
        "plug": Event(
            "plug",
            "The plug is worn",
            None,
            (),
            remedy=Remedy("refer", "electrician", hazards=mains),
            hazards=mains,
            chain=("joint",),
            above=frozenset({"joint"}),
        ),
        "damp": Event(
            "damp",
            "Damp inside",
            None,
            (),
            remedy=Remedy("do", "Let it dry", minutes=9.0, hazards=mains),
            hazards=mains,
            chain=("joint",),
            above=frozenset({"joint"}),
        ),
    }
    look = Check(
        id="look",
        ask="Is the lead wet?",
        how="",
        hands="look",
        by="owner",
        minutes=1.0,
        answers=(Answer("wet", "Wet"), Answer("dry", "Dry"), Answer("scorched", "Scorched")),
        expect={"lead": {"wet": 0.9}, "otherwise": {"dry": 0.9}},
        stop_on=frozenset({"scorched"}),
        refer="electrician",
    )
    referrals = {
        id: Referral(id, to, 90.0, "what was seen", "leave it off")
        for id, to in (("workshop", "a workshop"), ("electrician", "a qualified electrician"))
    }
    return Tree(
        id="post-trips",
        file="post-trips.yaml",
        digest="0",
        symptom="The post trips",
        system="mains",
        refer_to="workshop",
        cured_when=CuredWhen("Does it hold?"),
        events=events,
        checks={"look": look},
        cut_sets=(("lead",), ("plug", "damp")),
        referrals=referrals,
    )


@pytest.fixture
def tree():
    """The small tree."""
    return small_tree()


@pytest.fixture
def tree_saying():
    """`tree_saying(text)`: the small tree with that text on the lead, the question and its first answer."""

    def build(text):
        made = small_tree(text=text)
        look = made.checks["look"]
        answers = (replace(look.answers[0], says=text), *look.answers[1:])
        return replace(made, symptom=text, checks={"look": replace(look, ask=text, answers=answers)})

    return build


@pytest.fixture
def graph_of():
    """`graph_of(tree)`: the graph of the owner's compiled route."""
    from diagnose.reasoning.compiling import compile_route
    from diagnose.reasoning.graph import route_graph
    from diagnose.reasoning.model import build_model

    def compiled(tree):
        model = build_model(tree)
        return route_graph(compile_route(model), model)

    return compiled


@pytest.fixture(scope="session")
def browser():
    """The distribution's own Chromium with the network off; its windows show one page after the other."""
    # Not at the top: every run of the tests would load it to pass over what is long.
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    programs = [shutil.which("chromium"), shutil.which("chromedriver")]
    if None in programs:
        reason = "chromium and chromedriver are not installed"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    options = webdriver.ChromeOptions()
    options.binary_location = programs[0]
    for argument in (
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--hide-scrollbars",
        "--disable-background-networking",
    ):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service(programs[1]))
    driver.execute_cdp_cmd("Network.enable", {})
    driver.execute_cdp_cmd(
        "Network.emulateNetworkConditions",
        {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0},
    )
    yield driver
    driver.quit()
