"""The cheapest way through a small tree, by trying everything: a plain recursion over what may be done next.

Cost, the value of each step and the safety rules are written out here once more from the rules alone, a state
at a time and without arrays; nothing of the package's reasoning is used. It is slow, and meant to be read.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tests.reasoning.plain_bayes import Plain, ancestors

WAIT_RATE, MONEY_PER_MINUTE, HAND_OVER = 0.05, 0.50, 5.0


@dataclass(frozen=True)
class Here:
    """Where a walk stands."""

    belief: tuple[float, ...]
    asked: frozenset = frozenset()
    tried: frozenset = frozenset()
    been: frozenset = frozenset()
    starts: int = 0
    restored: bool = False


class Exhaustive:
    """Values of states and steps of one tree for one role."""

    def __init__(self, plain: Plain, other_trees=(), wait_rate=WAIT_RATE, money_per_minute=MONEY_PER_MINUTE):
        self.plain, self.tree = plain, plain.tree
        self.other_trees = other_trees
        self.wait_rate, self.money_per_minute = wait_rate, money_per_minute
        self._values = {}

    # Cost -------------------------------------------------------------------------------------------------

    def cost(self, what):
        """Minutes, with waiting and money at their rates."""
        return what.minutes + what.wait * self.wait_rate + what.price / self.money_per_minute

    def access(self, places, been):
        return sum(self.tree.places[place].access for place in places - been)

    def referring(self, id, belief):
        """A referral (or a stop's), with `refer_to` behind it for what it does not serve."""
        cost = self.cost(self.tree.referrals[id])
        if id == self.tree.refer_to:
            return cost
        served = sum(
            p for p, each in zip(belief, self.plain.suspects, strict=True)
            if each.does == "refer" and each.target == id
        )  # fmt: skip
        return cost + self.cost(self.tree.referrals[self.tree.refer_to]) * (1 - served)

    # What is allowed --------------------------------------------------------------------------------------

    def mine(self, check):
        return self.plain.role == "technician" or check.by == "owner"

    def barred(self, starts_it, restores, here):
        """Rule 6."""
        return (starts_it and self.tree.tries is not None and here.starts >= self.tree.tries) or (
            restores and here.restored
        )

    def checks_left(self, here):
        return [
            check
            for check in self.tree.checks.values()
            if not check.fact
            and check.id not in here.asked
            and self.mine(check)
            and not self.barred(check.starts, check.restores_mains, here)
        ]

    def remedies_left(self, here):
        return [
            at
            for at, each in enumerate(self.plain.suspects)
            if each.does == "do" and each.id not in here.tried and not self.barred(True, each.restores, here)
        ]

    def only_referral(self, here):
        """Rule 3."""
        for hazard in ("gas", "mains"):
            under = [at for at, each in enumerate(self.plain.suspects) if hazard in each.hazards]
            if sum(here.belief[at] for at in under) <= 0.5 * (1 + 1e-12):
                continue
            joined = {cause for at in under for cause in self.plain.suspects[at].causes}
            causes = {cause for cause in joined if hazard in self.tree.events[cause].hazards}
            names = causes.union(*(ancestors(self.tree, cause) for cause in causes))
            checks = [c for c in self.checks_left(here) if c.hands != "tools" and names & set(c.expect)]
            remedies = [
                at
                for at in self.remedies_left(here)
                if at in under and "tools" not in self.plain.suspects[at].hands
            ]
            if not checks and not remedies:
                return True
        return False

    def steps(self, here):
        """All steps that safety allows."""
        for id in self.tree.ask_first:
            if id not in here.asked:
                return [("check", id)]
        referrals = [("referral", id) for id in self.tree.referrals]
        if self.only_referral(here):
            return referrals
        suspects = self.plain.suspects
        return [
            *(("check", check.id) for check in self.checks_left(here)),
            *(("remedy", suspects[at].id) for at in self.remedies_left(here)),
            *(
                ("handover", each.target)
                for each in suspects
                if each.does == "see" and each.target in self.other_trees
            ),
            *referrals,
        ]

    # Value ------------------------------------------------------------------------------------------------

    def value(self, here):
        """Expected minutes to come, the best being done."""
        key = replace(here, belief=tuple(round(p, 13) for p in here.belief))
        if key not in self._values:
            self._values[key] = min(self.value_of(step, here) for step in self.steps(here))
        return self._values[key]

    def value_of(self, step, here):
        """Expected minutes to come if this is done next and the best from there on."""
        kind, id = step
        if kind == "referral":
            return self.referring(id, here.belief)
        if kind == "handover":
            at = next(
                at for at, each in enumerate(self.plain.suspects) if each.target == id and each.does == "see"
            )
            return HAND_OVER + self.cost(self.tree.referrals[self.tree.refer_to]) * (1 - here.belief[at])
        return self._of_check(id, here) if kind == "check" else self._of_remedy(id, here)

    def after_check(self, id, answer, here):
        """The chance of an answer (once one is sure), and where it leads."""
        check = self.tree.checks[id]
        weights = here.belief
        if answer is not None:
            rows = self.plain.rows[id]
            weights = [p * row[answer] for p, row in zip(here.belief, rows, strict=True)]
        chance = sum(weights)
        if chance == 0:
            return 0.0, here
        return chance, Here(
            tuple(w / chance for w in weights),
            here.asked | {id},
            here.tried,
            here.been | ({check.at} if check.at else set()),
            here.starts + check.starts,
            here.restored or check.restores_mains,
        )

    def _of_check(self, id, here):
        check = self.tree.checks[id]
        total = self.cost(check) + self.access({check.at} if check.at else set(), here.been)
        for answer in [each.id for each in check.answers]:
            chance, after = self.after_check(id, answer, here)
            if chance:
                stops = answer in check.stop_on
                to_come = self.referring(check.refer, after.belief) if stops else self.value(after)
                total += (1 - check.not_sure) * chance * to_come
        if check.not_sure:
            stops = id in self.tree.ask_first
            _, after = self.after_check(id, None, here)
            total += check.not_sure * (
                self.referring(check.refer, here.belief) if stops else self.value(after)
            )
        return total

    def after_failure(self, id, here):
        """The chance that a remedy does not cure, and where that leads."""
        at = self.plain.place(id)
        each = self.plain.suspects[at]
        weights = list(here.belief)
        weights[at] *= 1 - each.cures
        chance = sum(weights)
        if chance == 0:
            return 0.0, here
        return chance, Here(
            tuple(w / chance for w in weights),
            here.asked,
            here.tried | {id},
            here.been | each.places,
            here.starts + 1,
            here.restored or each.restores,
        )

    def _of_remedy(self, id, here):
        each = self.plain.suspects[self.plain.place(id)]
        chance, after = self.after_failure(id, here)
        spent = self.cost(each) + self.tree.cured_when.minutes + self.access(each.places, here.been)
        return spent + (chance * self.value(after) if chance else 0.0)

    def after_no_try(self, id, here):
        """Where a remedy that could not be done leads: nothing learned, no try used, not offered again."""
        return replace(here, tried=here.tried | {id})


class Closing(Exhaustive):
    """The same where nothing more is asked but what must be, and nothing is handed over."""

    def steps(self, here):
        """The allowed steps that are remedies or referrals, or the check that must come first."""
        first = set(self.tree.ask_first)
        return [
            (kind, id)
            for kind, id in super().steps(here)
            if kind in ("remedy", "referral") or (kind == "check" and id in first)
        ]
