"""Hazards: said for every cause, no tools, no refused words.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "unknown hazard",
        "hazard: gas",
        "hazard: gass",
        ['16:15: hazard names "gass", which is not known (did you mean "gas"?)'],
    ),
    (
        "none beside others",
        "hazard: none",
        "hazard: [none, hot]",
        ["57:16: hazard names none beside others; none stands alone"],
    ),
    (
        "no hazard",
        "      hazard: none\n",
        "",
        [
            '55:5: cause "set-wrong" has no hazard, neither its own nor from above; write hazard: none if nothing can hurt'
        ],
    ),
    (
        "empty hazard",
        "hazard: none",
        "hazard: []",
        ["57:7: hazard is empty; it wants one or more"],
    ),
    (
        "tools under gas",
        "hands: controls, minutes: 15",
        "hands: tools, minutes: 15",
        ['22:56: remedy of "cylinder-empty" lets an owner use tools on gas; write {refer: gas-engineer}'],
    ),
    (
        "tools under gas by technician",
        "by: owner, hands: controls, minutes: 15",
        "by: technician, hands: tools, minutes: 15",
        ['22:61: remedy of "cylinder-empty" lets a technician use tools on gas; write {refer: gas-engineer}'],
    ),
    (
        "tools under mains",
        "      hazard: high-current\n",
        "      hazard: [high-current, mains]\n",
        [
            "7:1: ask_first lacks mains-harmed, which mains needs",
            '40:13: remedy of "fuse-blown" lets an owner use tools on mains; write {refer: electrician}',
            '54:56: remedy of "cables-worn" lets a technician use tools on mains; write {refer: electrician}',
        ],
    ),
    (
        "tools under fuel",
        "      hazard: high-current\n",
        "      hazard: [high-current, fuel]\n",
        [
            '40:13: remedy of "fuse-blown" lets an owner use tools on fuel; write {refer: workshop}',
            '54:56: remedy of "cables-worn" lets a technician use tools on fuel; write {refer: workshop}',
        ],
    ),
    (
        "tools under refrigerant",
        "      hazard: high-current\n",
        "      hazard: [high-current, refrigerant]\n",
        [
            '40:13: remedy of "fuse-blown" lets an owner use tools on refrigerant; write {refer: workshop}',
            '54:56: remedy of "cables-worn" lets a technician use tools on refrigerant; write {refer: workshop}',
        ],
    ),
    (
        "tools under road",
        "      hazard: high-current\n",
        "      hazard: [high-current, road]\n",
        ['40:13: remedy of "fuse-blown" lets an owner use tools on road; write {refer: recovery}'],
    ),
    (
        "tools under height",
        "      hazard: high-current\n",
        "      hazard: [high-current, height]\n",
        ['40:13: remedy of "fuse-blown" lets an owner use tools on height; write {refer: workshop}'],
    ),
    (
        "remedy's own hazard",
        "            do: Fit",
        "            hazard: fuel\n            do: Fit",
        ['41:13: remedy of "fuse-blown" lets an owner use tools on fuel; write {refer: workshop}'],
    ),
    (
        "hazard from another place",
        "remedy: {refer: gas-engineer}\n",
        "remedy: {refer: gas-engineer}\n        fuse-blown: {}\n",
        ['41:13: remedy of "fuse-blown" lets an owner use tools on gas; write {refer: gas-engineer}'],
    ),
    (
        "through a cut set",
        "              says: The battery is weak\n",
        "              says: The battery is weak\n              hazard: fuel\n",
        [
            '55:56: remedy of "cables-worn" lets a technician use tools on fuel, which "battery-weak" brings into their cut set; write {refer: workshop}'
        ],
    ),
    (
        "tools of a check",
        "    hands: controls\n    by: owner\n    minutes: 3\n",
        "    hands: tools\n    by: owner\n    minutes: 3\n",
        ['73:5: check "flame" lets an owner use tools on gas; leave it out, or find one by look or controls'],
    ),
    (
        "tools of a technician's check",
        "    hands: controls\n    by: owner\n    minutes: 3\n",
        "    hands: tools\n    by: technician\n    minutes: 3\n",
        [
            '73:5: check "flame" lets a technician use tools on gas; leave it out, or find one by look or controls'
        ],
    ),
    (
        "own hazard of a check",
        "    ask: What does the panel show?\n    hands: look\n",
        "    ask: What does the panel show?\n    hazard: fuel\n    hands: tools\n",
        [
            '87:5: check "volts" lets an owner use tools on fuel; leave it out, or find one by look or controls'
        ],
    ),
    (
        "a look carries no hazard of events",
        "    hands: controls\n    by: owner\n    minutes: 3\n    not_sure: 0.1\n",
        "    hands: look\n    by: owner\n    minutes: 3\n",
        [],
    ),
    (
        "a look that opens",
        "    how: A window open, watch it for a minute\n    hands: controls\n",
        "    how: Unscrew the ring and look\n    hands: look\n",
        ['72:5: how of check "flame" says "unscrew", which is refused under gas'],
    ),
    (
        "a look has its own hazard",
        "    ask: What does the panel show?\n    hands: look\n",
        "    ask: What does the panel show, once unscrewed?\n    hazard: gas\n    hands: look\n",
        ['85:5: ask of check "volts" says "unscrewed", which is refused under gas'],
    ),
    (
        "refused word in how",
        "how: A window open, watch",
        "how: Un-screw the ring, watch",
        ['72:5: how of check "flame" says "unscrew", which is refused under gas'],
    ),
    (
        "refused word in ask",
        "ask: How does one ring burn?",
        "ask: Did DRILLING help?",
        ['71:5: ask of check "flame" says "drilling", which is refused under gas'],
    ),
    (
        "refused word in do",
        "do: Change the cylinder",
        "do: Take the loos\xadened cylinder off",
        ['22:20: do of remedy of "cylinder-empty" says "loosened", which is refused under gas'],
    ),
    (
        "refused word full width",
        "do: Change the cylinder",
        "do: \uff2c\uff4f\uff4f\uff53\uff45\uff4e it",
        ['22:20: do of remedy of "cylinder-empty" says "loosen", which is refused under gas'],
    ),
    (
        "refused two words",
        "do: Change the cylinder",
        "do: Leave the cover-off",
        ['22:20: do of remedy of "cylinder-empty" says "cover off", which is refused under gas'],
    ),
    (
        "refused look-alike letters",
        "do: Change the cylinder",
        "do: Un\u0455\u0441r\u0435w it",
        ['22:20: do of remedy of "cylinder-empty" says "unscrew", which is refused under gas'],
    ),
    (
        "refused with an accent",
        "do: Change the cylinder",
        "do: Unscr\xe9w it",
        ['22:20: do of remedy of "cylinder-empty" says "unscrew", which is refused under gas'],
    ),
    (
        "refused with a slash",
        "do: Change the cylinder",
        "do: Shut/un-screw it",
        ['22:20: do of remedy of "cylinder-empty" says "unscrew", which is refused under gas'],
    ),
    (
        "allowed words",
        "do: Change the cylinder",
        'do: "Open the valve, press the knob, unplug it, take the cylinder off, change it"',
        [],
    ),
    (
        "measuring is refused under mains alone",
        "how: A window open, watch",
        "how: Measure it, then watch",
        [],
    ),
    (
        "refused in cured_when",
        'cured_when: {ask: "Is it warm now?", minutes: 5}\nfaults:\n',
        'cured_when: {ask: "Is it warm, the lid unscrewed?", minutes: 5}\nfaults:\n  hazard: gas\n',
        [
            '11:14: ask of cured_when says "unscrewed", which is refused under gas',
            '41:13: remedy of "fuse-blown" lets an owner use tools on gas; write {refer: gas-engineer}',
            '55:56: remedy of "cables-worn" lets a technician use tools on gas; write {refer: gas-engineer}',
        ],
    ),
    (
        "refused in a cut set",
        "            battery-weak:\n              says: The battery is weak\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Renew them, by: technician, hands: tools, minutes: 40}\n",
        "            battery-weak:\n              says: The battery is weak\n              hazard: mains\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Measure them, by: technician, hands: controls, minutes: 40}\n",
        [
            "7:1: ask_first lacks mains-harmed, which mains needs",
            '55:24: do of remedy of "cables-worn" says "measure", which is refused under mains',
        ],
    ),
    (
        "a referral in a cut set",
        "            battery-weak:\n              says: The battery is weak\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Renew them, by: technician, hands: tools, minutes: 40}\n",
        "            battery-weak:\n              says: The battery is weak\n              hazard: gas\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {refer: own-help}\n",
        [
            '55:31: remedy of "cables-worn" is under gas and refers to "own-help", which is not fixed; write gas-engineer'
        ],
    ),
    (
        "a remedy's hazard in a cut set",
        "            battery-weak:\n              says: The battery is weak\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Renew them, by: technician, hands: tools, minutes: 40}\n",
        "            battery-weak:\n              says: The battery is weak\n              remedy: {see: leisure-battery-weak, hazard: fuel}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Renew them, by: technician, hands: tools, minutes: 40}\n",
        [
            '54:56: remedy of "cables-worn" lets a technician use tools on fuel, which "battery-weak" brings into their cut set; write {refer: workshop}'
        ],
    ),
    (
        "unknown hazard of a remedy",
        "            do: Fit a fuse",
        "            hazard: ful\n            do: Fit a fuse",
        ['37:21: hazard names "ful", which is not known (did you mean "fuel"?)'],
    ),
    (
        "unknown hazard of a check",
        "    starts: true\n",
        "    starts: true\n    hazard: [gas, hott]\n",
        ['79:19: hazard names "hott", which is not known (did you mean "hot"?)'],
    ),
    (
        "unknown hazard of faults",
        "faults:\n",
        "faults:\n  hazard: ga\n",
        ['13:11: hazard names "ga", which is not known (did you mean "gas"?)'],
    ),
    (
        "a technician under road",
        "            battery-weak:\n              says: The battery is weak\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Renew them, by: technician, hands: tools, minutes: 40}\n",
        "            battery-weak:\n              says: The battery is weak\n              hazard: road\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Renew them, by: technician, hands: tools, minutes: 40}\n",
        [],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_under_a_hazard(changed, old, new, said):
    assert changed(old, new) == said
