"""Trees made up by chance to a size that is asked for: so many causes, so many checks of their own.

Every seed and size gives one tree, the same on every machine. Causes come in branches, some of which need
several things at once (gates of both kinds, one within the other); remedies fail, wait, cost money, are
somebody else's or another tree's; hazards bring the questions that are asked first; checks are answers or
readings, some stop, start the appliance or restore the mains.
"""

from __future__ import annotations

from functools import lru_cache
from random import Random

from diagnose.terms import Tree
from tests.reasoning.made_up_trees import FIRST_UNDER, WORDS, read

OTHER_TREES = ("another-tree", "a-third-tree")
"""Each is the remedy of one cause at most."""

FIXED = {"gas": "gas-engineer", "mains": "electrician", "high-current": "auto-electrician"}
PLACES = {"front": 5, "back": 3, "roof": 12, "under": 7.5, "locker": 1.5}


@lru_cache(maxsize=1024)
def made_up_of(seed: int, causes: int, checks: int, answers: tuple[int, ...] = (2, 2, 3)) -> Tree:
    """The tree of a seed with just so many causes and own checks; `answers` are the numbers to draw from."""
    maker = _Maker(Random(f"{seed} {causes} {checks}"), causes, checks, answers)
    return read(maker.content(), f"made-up-{causes}-{checks}-{seed}")


class _Maker:
    def __init__(self, rng: Random, causes: int, checks: int, answers: tuple[int, ...]) -> None:
        self.rng, self.causes, self.checks, self.answers = rng, causes, checks, answers
        self.next_cause = 0
        self.under: dict[str, set[str]] = {}
        """Event -> its hazards, inherited ones included."""
        self.dangerous = rng.sample(["gas", "mains", "high-current"], rng.choice([0, 1, 1, 2, 3]))
        self.skill = rng.choice([0.6, 0.75, 0.9])
        """How many of the causes can be put right by whoever walks."""
        self.others = list(OTHER_TREES)

    def chance(self, p: float) -> bool:
        return self.rng.random() < p

    def content(self) -> dict:
        faults = self._faults()
        checks = {f"look-{n}": self._check() for n in range(self.checks)}
        occurring = set().union(*self.under.values())
        first = [id for hazard, ids in FIRST_UNDER.items() if hazard in occurring for id in ids]
        tree = {
            "symptom": "It does not work",
            "system": "heating",
            "refer_to": self.rng.choice(["nearby", "workshop", "workshop"]),
            "cured_when": {"ask": "Does it work now?", "minutes": self.rng.choice([0, 2, 6])},
            "faults": {"any_of": faults},
            "checks": checks,
            "not_listed": self.rng.choice([2, 5, 8]),
            "referrals": {
                "nearby": {
                    "to": "Somebody near by",
                    "minutes": self.rng.choice([120, 180, 300]),
                    "say": "What was seen",
                    "until_help": "Leave it off",
                    "wait": self.rng.choice([0, 120]),
                    "price": self.rng.choice([0, 30]),
                }
            },
            "places": {id: {"says": id.title(), "access": access} for id, access in PLACES.items()},
        }
        if first:
            tree["ask_first"] = first
        if self.chance(0.35):
            tree["tries"] = self.rng.choice([2, 3])
        return tree

    # The fault tree ---------------------------------------------------------------------------------------

    def _faults(self) -> dict:
        faults, branch = {}, 0
        while left := self.causes - self.next_cause:
            kinds = ["single", "branch", "branch"] + (["pair", "pair"] if left >= 2 else [])
            kind = self.rng.choice(kinds + (["either"] if left >= 3 else []))
            if kind == "single":
                faults |= self._cause(self._hazard(), shared=True)
                continue
            id = f"part-{branch}"
            branch += 1
            hazard = self._hazard()
            self.under[id] = set(hazard)
            event = {"says": id, "hazard": sorted(hazard) or ["none"]}
            if kind == "branch":
                inputs = {}
                for _ in range(min(left, self.rng.choice([2, 3, 4]))):
                    inputs |= self._cause(hazard | self._hazard(0.2), shared=True)
                faults[id] = {**event, "any_of": inputs}
            else:
                faults[id] = {**event, **self._together(id, kind, hazard)}
        return faults

    def _together(self, id: str, kind: str, hazard: set[str]) -> dict:
        """What needs two things at once; `either`: one of them has two ways to come about."""
        one = self._cause(hazard, shared=False, joined=True)
        if kind == "pair":
            other = self._cause(hazard, shared=False, joined=True)
        else:
            inner = f"{id}-either"
            self.under[inner] = set(hazard)
            two = self._cause(hazard, shared=True, joined=True) | self._cause(
                hazard, shared=True, joined=True
            )
            other = {inner: {"says": inner, "any_of": two}}
        return {"in_100": self.rng.choice([3, 8, 14]), "all_of": one | other}

    def _hazard(self, p: float = 0.4) -> set[str]:
        if self.dangerous and self.chance(p):
            return {self.rng.choice(self.dangerous)}
        return {"hot"} if self.chance(0.15) else set()

    def _cause(self, hazard: set[str], shared: bool, joined: bool = False) -> dict:
        id = f"cause-{self.next_cause}"
        self.next_cause += 1
        self.under[id] = set(hazard)
        share = {"in_100": self.rng.choice([2, 3, 5, 7, 9, 14])} if shared else {}
        remedy = self._remedy(hazard, joined)
        return {id: {"says": id, "hazard": sorted(hazard) or ["none"], **share, "remedy": remedy}}

    def _remedy(self, hazard: set[str], joined: bool) -> dict:
        if not self.chance(self.skill) and not joined:
            for dangerous in ("gas", "mains"):
                if dangerous in hazard:
                    return {"refer": FIXED[dangerous]}
            if self.others and self.chance(0.25):
                return {"see": self.others.pop()}
            return {"refer": self.rng.choice(["nearby", "workshop", "recovery", "auto-electrician"])}
        remedy = {
            "do": "Put it right",
            "by": "technician" if self.chance(0.1) else "owner",
            "hands": self.rng.choice(["look", "controls"]),
            "minutes": self.rng.choice([2, 4, 9, 15, 20, 33]),
            "cures": self.rng.choice([1, 0.98, 0.95, 0.9, 0.7, 0.4]),
        }
        restores = {"restores": "mains"} if "mains" in hazard and self.chance(0.3) else {}
        return {**remedy, **self._extras(), **restores}

    def _extras(self) -> dict:
        extras = {}
        if self.chance(0.2):
            extras["wait"] = self.rng.choice([10, 45, 480])
        if self.chance(0.3):
            extras["price"] = self.rng.choice([1, 4, 12.5])
        if self.chance(0.4):
            extras["at"] = self.rng.choice(sorted(PLACES))
        return extras

    # The checks -------------------------------------------------------------------------------------------

    def _check(self) -> dict:
        check = {
            "ask": "What is there?",
            "hands": self.rng.choice(["look", "look", "controls"]),
            "by": "technician" if self.chance(0.07) else "owner",
            "minutes": self.rng.choice([0.5, 1, 2, 3, 6]),
            "not_sure": self.rng.choice([0, 0.05, 0.05, 0.2]),
            **self._extras(),
        }
        check.pop("price", None)
        check["wait"] = self.rng.choice([0, 0, 0, 10, 45])
        if self.chance(0.15):
            check["starts"] = True
        if "mains" in self.dangerous and self.chance(0.1):
            check["restores"] = "mains"
        answers = ["one", "two", "three", "four"][: self.rng.choice(self.answers)]
        if self.chance(0.2):
            edges = [*[0, 11, 12, 13][: len(answers)], 16]
            check["reading"] = {"unit": "V", "range": [0, 16], "uncertainty": 0.2}
            check["bands"] = {
                id: ({} if low == 0 else {"from": low}) | ({} if high == 16 else {"below": high})
                for id, low, high in zip(answers, edges, edges[1:], strict=False)
            }
        else:
            check["answers"] = {id: id.title() for id in answers}
            if self.chance(0.1):
                check |= {"stop_on": answers[-1], "refer": self.rng.choice(["nearby", "gas-engineer"])}
        check["expect"] = self._expect(answers)
        return check

    def _expect(self, answers: list[str]) -> dict:
        """Sharp on one event, broad over several (both as authors write them), or anything at all."""
        draw, normal, events = self.rng.random(), answers[0], sorted(self.under)
        if draw < 0.4:
            named = self.rng.sample(events, min(len(events), self.rng.choice([1, 1, 2])))
            expect = {id: {self.rng.choice(answers[1:]): self.rng.choice([0.8, 0.9, 0.97])} for id in named}
            return expect | {"otherwise": {normal: self.rng.choice([0.85, 0.93, 0.97])}}
        if draw < 0.75:
            named = self.rng.sample(events, self.rng.randint(1, max(1, len(events) // 2)))
            expect = {id: {self.rng.choice(answers): self.rng.choice([0.6, 0.85, 0.95])} for id in named}
            return expect | {"otherwise": {normal: self.rng.choice(["probable", "expected", 0.95])}}
        named = self.rng.sample(events, self.rng.randint(1, min(4, len(events))))
        rest = {"otherwise": self._entry(answers)} if self.chance(0.7) else {}
        return {id: self._entry(answers) for id in named} | rest

    def _entry(self, answers: list[str]) -> dict:
        """One answer with a word or a number, or a whole row."""
        draw = self.rng.random()
        if draw < 0.5:
            return {self.rng.choice(answers): self.rng.choice(WORDS)}
        if draw < 0.75:
            return {self.rng.choice(answers): self.rng.choice([0.1, 0.9, 0.98])}
        weights = [self.rng.uniform(0.02, 1) ** 2 for _ in answers]
        total = sum(weights)
        return {id: min(1, round(weight / total, 4)) for id, weight in zip(answers, weights, strict=True)}
