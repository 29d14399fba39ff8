"""Small trees made up by chance, as texts that the loader has to accept.

Every seed gives one tree, the same on every machine. Together they hold all that a plan can depend on: gates
of both kinds and events shared between them, several referrals, remedies that fail, that wait, that cost
money and that are somebody else's, places, hazards with the questions that they bring, stops, tries, the
mains. Texts are JSON, which is YAML too.
"""

from __future__ import annotations

import json
from functools import cache, lru_cache
from random import Random

from diagnose.knowledge.collection import Library
from diagnose.knowledge.loading import read_tree
from diagnose.terms import Tree

OTHER_TREES = ("another-tree",)
HAZARDS = ("gas", "mains", "high-current", "hot", "none")
FIRST_UNDER = {
    "gas": ["smell-of-gas", "co-alarm"],
    "mains": ["mains-harmed"],
    "high-current": ["battery-harmed"],
}
WORDS = (
    "almost certain",
    "probable",
    "expected",
    "fifty-fifty",
    "uncertain",
    "improbable",
    "almost impossible",
)


@cache
def common():
    """The shipped common files."""
    return Library().common()


def read(content: dict, id: str = "made-up") -> Tree:
    """The tree of a mapping, through the loader; a flaw is a mistake of the test."""
    tree, flaws = read_tree(json.dumps(content), f"{id}.yaml", common(), id=id)
    assert tree is not None, "\n".join(map(str, flaws))
    return tree


@lru_cache(maxsize=256)
def made_up(seed: int, shape: str = "") -> Tree:
    """The tree of a seed, of one shape or any."""
    return read(_Maker(seed, shape).content(), f"made-up-{seed}")


def with_one_check_more(seed: int, shape: str = "") -> tuple[dict, dict]:
    """The mapping of a seed's tree, and the same with a further check that is not asked first."""
    maker = _Maker(seed, shape)
    content = maker.content()
    return content, {**content, "checks": {**content["checks"], "one-more": maker.one_check_more()}}


class _Maker:
    def __init__(self, seed: int, shape: str) -> None:
        self.rng = Random(seed)
        self.hazards: dict[str, set[str]] = {}
        self.joined: set[str] = set()
        self.chains: dict[str, list[str]] = {}
        self.referrals = ["nearby", "workshop"]
        self.unshared = self.rng.random() < 0.5
        self.dangerous = self.rng.random() < 0.6
        self.shape = shape or self.rng.choice(
            ["flat", "branches", "both-needed", "both-needed", "shared", "led", "led"]
        )

    def chance(self, p: float) -> bool:
        return self.rng.random() < p

    def content(self) -> dict:
        faults = getattr(self, "_" + self.shape.replace("-", "_"))()
        checks = {f"look-{n}": self._check() for n in range(self.rng.choice([1, 2, 2, 3]))}
        occurring = set().union(*self.hazards.values(), *(set(c.get("hazard", [])) for c in checks.values()))
        first = [id for hazard, ids in FIRST_UNDER.items() if hazard in occurring for id in ids]
        if self.chance(0.25):
            checks["first-of-all"] = self._first_of_all()
            first.append("first-of-all")
        tree = {
            "symptom": "It does not work",
            "system": "heating",
            "refer_to": self.rng.choice(["nearby", "workshop"]),
            "cured_when": {"ask": "Does it work now?", "minutes": self.rng.choice([0, 2, 6])},
            "faults": faults,
            "checks": checks,
            "strength": self.rng.choice([8, 20]),
            "not_listed": self.rng.choice([2, 5, 11.5]),
            "referrals": {
                "nearby": {
                    "to": "Somebody near by",
                    "minutes": self.rng.choice([15, 40, 90]),
                    "say": "What was seen",
                    "until_help": "Leave it off",
                    "wait": self.rng.choice([0, 120]),
                    "price": self.rng.choice([0, 30]),
                }
            },
            "places": {"front": {"says": "In front", "access": 7.5}, "back": {"says": "Behind", "access": 3}},
        }
        if first:
            tree["ask_first"] = first
        if self.chance(0.4):
            tree["tries"] = self.rng.choice([1, 2, 3])
        if self.chance(0.3):
            tree["cautions"] = ["hot-surfaces"]
        return tree

    # The fault tree ---------------------------------------------------------------------------------------

    def _flat(self) -> dict:
        return {
            "any_of": {f"cause-{n}": self._cause(f"cause-{n}", []) for n in range(self.rng.choice([3, 4, 5]))}
        }

    def _branches(self) -> dict:
        return {
            "any_of": {
                **self._branch("north", ["cause-0", "cause-1"]),
                **self._branch("south", ["cause-2", "cause-3"]),
                **({"cause-4": self._cause("cause-4", [])} if self.chance(0.3) else {}),
            }
        }

    def _led(self) -> dict:
        """Gas or the mains lead, and little of theirs can be done."""
        hazard, referral = self.rng.choice([("gas", "gas-engineer"), ("mains", "electrician")])
        self.chains |= {f"cause-{n}": [] for n in range(4)}
        self.hazards |= {"cause-0": {hazard}, "cause-1": {hazard}, "cause-2": set(), "cause-3": set()}
        led = {"hazard": [hazard], "in_100": self.rng.choice([15, 25, 40])}
        return {
            "any_of": {
                "cause-0": {"says": "For others", **led, "remedy": {"refer": referral}},
                "cause-1": {"says": "In part", **led, "remedy": self._remedy("cause-1")},
                "cause-2": self._cause("cause-2", []),
                "cause-3": self._cause("cause-3", []),
            }
        }

    def _both_needed(self) -> dict:
        """An event that needs two things, one of which has two ways to come about."""
        hazard = self._hazard()
        share = {"in_100": self.rng.choice([8, 20, 35])} if self.chance(0.6) else {}
        chain = ["pair"]
        self.joined = {"cause-0", "cause-1", "cause-2"}
        either = {"says": "Either", "any_of": {}}
        needed = {"says": "Both at once", **hazard, **share, "all_of": {}}
        self._note("pair", hazard, [])
        needed["all_of"]["cause-0"] = self._cause("cause-0", chain, shared=bool(share))
        if self.chance(0.6):
            self._note("either", {}, chain)
            for id in ("cause-1", "cause-2"):
                either["any_of"][id] = self._cause(id, ["either", *chain], shared=bool(share))
            needed["all_of"]["either"] = either
        else:
            needed["all_of"]["cause-1"] = self._cause("cause-1", chain, shared=bool(share))
        return {
            "any_of": {
                "pair": needed,
                "cause-3": self._cause("cause-3", []),
                "cause-4": self._cause("cause-4", []),
            }
        }

    def _shared(self) -> dict:
        """One cause that stands under two events, both of which need it."""
        self.joined = {"cause-0", "cause-1", "cause-2"}
        self.hazards |= {"first-pair": set(), "second-pair": set()}
        self.chains |= {"first-pair": [], "second-pair": []}
        return {
            "any_of": {
                "first-pair": {
                    "says": "One of two pairs",
                    "all_of": {
                        "cause-0": self._cause("cause-0", ["first-pair"]),
                        "cause-1": self._cause("cause-1", ["first-pair"]),
                    },
                },
                "second-pair": {
                    "says": "The other pair",
                    "all_of": {"cause-0": {}, "cause-2": self._cause("cause-2", ["second-pair"])},
                },
                "cause-3": self._cause("cause-3", []),
            }
        }

    def _branch(self, id: str, causes: list[str]) -> dict:
        hazard = self._hazard() if self.chance(0.5) else {}
        self._note(id, hazard, [])
        return {id: {"says": id, **hazard, "any_of": {each: self._cause(each, [id]) for each in causes}}}

    def _hazard(self) -> dict:
        return {"hazard": [self.rng.choice(HAZARDS if self.dangerous else HAZARDS[3:])]}

    def _note(self, id: str, hazard: dict, chain: list[str]) -> None:
        own = set(hazard.get("hazard", [])) - {"none"}
        self.chains[id] = chain
        self.hazards[id] = own.union(*(self.hazards[above] for above in chain))

    def _cause(self, id: str, chain: list[str], shared: bool = False) -> dict:
        hazard = self._hazard()
        self._note(id, hazard, chain)
        share = {"in_100": self.rng.choice([3, 7, 12.5, 20, 31])}
        if shared and self.unshared:
            share = {}
        return {"says": id, **hazard, **share, "remedy": self._remedy(id)}

    def _remedy(self, id: str) -> dict:
        under = self.hazards[id]
        draw = self.rng.random()
        if draw < 0.25:
            # Two different referrals within one cut set would leave open whom it is referred to.
            if "gas" in under or id in self.joined:
                return {"refer": "gas-engineer"}
            return {"refer": "electrician" if "mains" in under else self.rng.choice(["nearby", "workshop"])}
        if draw < 0.45 and id not in self.joined and id == "cause-3":
            return {"see": OTHER_TREES[0]}
        remedy = {
            "do": "Put it right",
            "by": "technician" if self.chance(0.15) else "owner",
            "hands": self.rng.choice(["look", "controls"]),
            "minutes": self.rng.choice([2, 5, 9, 20, 33]),
            "cures": self.rng.choice([1, 0.95, 0.7, 0.4]),
        }
        return {**remedy, **self._extras(), **({"restores": "mains"} if self.chance(0.15) else {})}

    def _extras(self) -> dict:
        extras = {}
        if self.chance(0.3):
            extras["wait"] = self.rng.choice([10, 45])
        if self.chance(0.3):
            extras["price"] = self.rng.choice([2, 12.5])
        if self.chance(0.4):
            extras["at"] = self.rng.choice(["front", "back"])
        return extras

    # The checks -------------------------------------------------------------------------------------------

    def _check(self) -> dict:
        check = {
            "ask": "What is there?",
            "hands": self.rng.choice(["look", "look", "controls"]),
            "by": "technician" if self.chance(0.1) else "owner",
            "minutes": self.rng.choice([0.5, 1, 3, 6]),
            "not_sure": self.rng.choice([0, 0.05, 0.2]),
            **self._extras(),
        }
        if self.chance(0.2):
            check["starts"] = True
        if self.chance(0.1):
            check["restores"] = "mains"
        answers = ["one", "two", "three"][: self.rng.choice([2, 2, 3])]
        if self.chance(0.25):
            check["reading"] = {"unit": "V", "range": [0, 16], "uncertainty": 0.2}
            check["bands"] = {
                "one": {"below": 11.5},
                "two": {"from": 11.5, "below": 12.5},
                "three": {"from": 12.5},
            }
            answers = ["one", "two", "three"]
        else:
            check["answers"] = {id: id.title() for id in answers}
            if self.chance(0.2):
                check |= {"stop_on": answers[-1], "refer": self.rng.choice(["nearby", "gas-engineer"])}
        events = self.rng.sample(sorted(self.chains), self.rng.randint(1, min(4, len(self.chains))))
        check["expect"] = {id: self._entry(answers) for id in events}
        if self.chance(0.7):
            check["expect"]["otherwise"] = self._entry(answers)
        return check

    def one_check_more(self) -> dict:
        """A check like the others, for the tree that was made."""
        return self._check()

    def _entry(self, answers: list[str]) -> dict:
        """A whole row, part of one in numbers, or one answer with a word."""
        draw = self.rng.random()
        if draw < 0.4:
            return {self.rng.choice(answers): self.rng.choice(WORDS)}
        if draw < 0.6:
            return {self.rng.choice(answers): self.rng.choice([0.1, 0.9, 1])}
        weights = [self.rng.uniform(0.02, 1) for _ in answers]
        about_one = self.rng.uniform(0.9, 1.1) / sum(weights)
        return {id: min(1, round(weight * about_one, 4)) for id, weight in zip(answers, weights, strict=True)}

    def _first_of_all(self) -> dict:
        return {
            "ask": "Is anything broken?",
            "hands": "look",
            "by": "owner",
            "minutes": 2,
            "not_sure": self.rng.choice([0, 0.1]),
            "answers": {"sound": "No", "scratched": "A little", "broken": "Yes"},
            "stop_on": "broken",
            "refer": "nearby",
            "at": "front",
            "expect": {
                max(self.chains): {"scratched": 0.3},
                "otherwise": {"sound": 0.9, "scratched": 0.06, "broken": 0.04},
            },
        }
