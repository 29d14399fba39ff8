"""The card that the tests of cards on the command line walk with, and what they type and read."""

from __future__ import annotations

import json

from diagnose.cases.store import open_store

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
ASKED = "no\nquiet\nno\nbare\nclear\ngas\nleave off\n"


def stored(tmp_path, case=1):
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        return store.case(case)


def reckoned(run, *more, **environment):
    ran = run("walk", "heater-no-fire", "--json", *more, **environment)
    assert (ran.code, ran.err) == (0, "")
    return json.loads(ran.out)
