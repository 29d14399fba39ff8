"""Small trees made by hand, a planner that only looks things up, and a clock that is moved by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from diagnose.reasoning.fitting import Doubts
from diagnose.terms import (
    NOT_LISTED,
    NOT_SURE,
    TOP,
    Answer,
    Band,
    Caution,
    Check,
    CuredWhen,
    Event,
    Hazard,
    Place,
    Ranked,
    Reading,
    Referral,
    Remedy,
    Situation,
    Step,
    Tree,
)

MONDAY = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@dataclass
class HandClock:
    """Stands still until it is moved."""

    now: datetime = MONDAY

    def __call__(self) -> datetime:
        return self.now

    def move(self, **by: float) -> None:
        self.now += timedelta(**by)


def _answers(**says: str) -> tuple[Answer, ...]:
    return tuple(Answer(id.replace("_", "-"), text) for id, text in says.items())


def danger(id: str, refer: str, *answers: str) -> Check:
    return Check(
        id,
        f"About {id}?",
        "Look.",
        "look",
        "owner",
        1,
        tuple(Answer(a, a.capitalize()) for a in answers),
        stop_on=frozenset({answers[-1]}),
        refer=refer,
        not_sure=0,
        fixed=True,
    )


REFERRALS = {
    id: Referral(id, f"The {id}", 240, f"Say what {id} needs to know.", f"Until then: {id}.", fixed=True)
    for id in (
        "gas-engineer",
        "electrician",
        "auto-electrician",
        "workshop",
        "recovery",
        "gas-escape",
        "co-suspected",
        "mains-danger",
    )
}
CAUTIONS = {
    id: Caution(id, "DANGER", f"Mind {id}.")
    for id in ("gas", "carbon-monoxide", "high-current", "hot-surfaces", "mains")
}
HAZARDS = {
    "gas": Hazard("gas", "Gas", "gas", "gas-engineer"),
    "mains": Hazard("mains", "Mains", "mains", "electrician"),
    "high-current": Hazard("high-current", "High current", "high-current", "auto-electrician"),
    "hot": Hazard("hot", "Hot", "hot-surfaces", "workshop"),
    "none": Hazard("none", "Nothing", None, None),
}
GAS = frozenset({"gas"})


def cause(id: str, in_100: float, remedy: Remedy, hazards: frozenset[str] = GAS, **more: object) -> Event:
    return Event(
        id,
        f"It is the {id}",
        None,
        (),
        in_100,
        replace(remedy, hazards=hazards),
        f"Look after the {id}",
        hazards,
        hazards,
        **more,  # type: ignore[arg-type]
    )


def do(text: str, **more: object) -> Remedy:
    return Remedy("do", text, "owner", "controls", 10, **more)  # type: ignore[arg-type]


FUEL = Check(
    "heater-fuel",
    "What does it burn?",
    "",
    "look",
    "owner",
    0,
    _answers(gas="Gas", diesel="Diesel"),
    fact=True,
)


def heater(**changes: object) -> Tree:
    """A gas heater with four causes, three checks and a fact; three tries."""
    events = [
        Event(TOP, "The heater will not start", "any_of", ("empty", "shut", "fuse", "board")),
        cause("empty", 40, do("Change the cylinder", at="locker", price=35)),
        cause("shut", 20, do("Open the valve", at="locker")),
        cause("fuse", 15, do("Fit a new fuse"), frozenset({"high-current"})),
        cause("board", 15, Remedy("refer", "gas-engineer")),
    ]
    checks = [
        danger("smell-of-gas", "gas-escape", "no", "yes"),
        danger("co-alarm", "co-suspected", "quiet", "none-fitted", "sounds-or-ill"),
        Check(
            "hob",
            "How does the hob burn?",
            "Light one ring.",
            "controls",
            "owner",
            3,
            _answers(steady="Steady", weak="Weak", none="No flame", yellow="Yellow"),
            expect={"empty": {"none": 0.8}, "shut": {"none": 0.8}, "otherwise": {"steady": 0.9}},
            stop_on=frozenset({"yellow"}),
            refer="gas-engineer",
            hazards=GAS,
        ),
        Check(
            "start",
            "Watch one start: what happens?",
            "",
            "controls",
            "owner",
            5,
            _answers(nothing="Nothing", ticks="It ticks"),
            expect={"fuse": {"nothing": 0.9}, "otherwise": {"ticks": 0.8}},
            starts=True,
            hazards=GAS,
        ),
        Check(
            "volts",
            "What does the panel show?",
            "",
            "look",
            "owner",
            2,
            _answers(low="low", good="good"),
            Reading("V", 0, 16, 0.15),
            (Band("low", 0, 11.5), Band("good", 11.5, 16)),
            expect={"fuse": {"low": 0.9}, "otherwise": {"good": 0.9}},
            at="panel",
        ),
        FUEL,
    ]
    tree = Tree(
        "heater",
        "trees/heater.yaml",
        "digest-1",
        "The heater will not start",
        "heating",
        "gas-engineer",
        CuredWhen("Has it run for ten minutes?", 12),
        {event.id: event for event in events},
        {check.id: check for check in checks},
        (("empty",), ("shut",), ("fuse",), ("board",)),
        ("smell-of-gas", "co-alarm"),
        applies_to={"heater-fuel": ("gas",)},
        cautions=("hot-surfaces",),
        tries=3,
        not_listed=10,
        referrals=REFERRALS,
        places={
            "locker": Place("locker", "at the gas locker", 3),
            "panel": Place("panel", "at the panel", 1),
        },
        caution_texts=CAUTIONS,
        hazards=HAZARDS,
        facts={"heater-fuel": FUEL},
        shipped=True,
    )
    return replace(tree, **changes)  # type: ignore[arg-type]


@dataclass
class Order:
    """A planner for tests: asks and tries in a fixed order, keeps to the tries, and refers at the end."""

    tree: Tree
    order: tuple[Step, ...] = ()
    asked: list[tuple[Situation, int, bool]] = field(default_factory=list)

    def __post_init__(self) -> None:
        if not self.order:
            own = [id for id, check in self.tree.checks.items() if not check.fact]
            checks = [Step("check", id) for id in own if id not in self.tree.ask_first]
            remedies = [
                Step("remedy", each.id)
                for each in self.tree.causes()
                if each.remedy and each.remedy.kind == "do"
            ]
            self.order = (*checks, *remedies, Step("referral", self.tree.refer_to))

    def ranking(self, situation: Situation) -> tuple[Ranked, ...]:
        """Shares by plain Bayes, so that they depend on the findings alone."""
        weights = {each.id: each.in_100 or 0.0 for each in self.tree.causes()} | {NOT_LISTED: 10.0}
        for id, finding in situation.findings.items():
            check = self.tree.checks[id]
            for cause in weights:
                row = check.expect.get(cause) or check.expect.get("otherwise") or {}
                given = row.get(finding.answer or "", 0.1)
                weights[cause] *= 1.0 if finding.answer == NOT_SURE else given
        for cut_set, outcome in situation.tried.items():
            weights[cut_set] *= 0.1 if outcome == "not-cured" else 1.0
        total = sum(weights.values())
        ranked = [Ranked(c, f"It is the {c}", w / total, 0.0, 1.0) for c, w in weights.items()]
        return tuple(sorted(ranked, key=lambda each: (-each.share, each.cause)))

    def next_step(self, situation: Situation, starts: int = 0, restored: bool = False) -> Step:
        self.asked.append((situation, starts, restored))
        for step in self.order:
            if step.kind == "check" and step.of in situation.findings:
                continue
            if step.kind == "remedy" and step.of in situation.tried:
                continue
            starting = step.kind == "remedy" or (step.kind == "check" and self.tree.checks[step.of].starts)
            if starting and self.tree.tries is not None and starts >= self.tree.tries:
                continue
            return step
        return Step("referral", self.tree.refer_to)

    refinement = None

    def allows(self, situation: Situation, step: Step, starts: int = 0, restored: bool = False) -> bool:
        return True

    def why(self, situation: Situation, step: Step, starts: int = 0) -> Because:
        return Because(4.0, ("empty", "fuse"), {})

    def doubts(self, situation: Situation) -> Doubts:
        return Doubts()

    def asked_again_after(self, situation: Situation, remedy: str) -> tuple[str, ...]:
        return ()

    def may_ask_again(self, situation: Situation, check: str, starts: int = 0) -> bool:
        return False

    def worth_asking_again(self, situation: Situation, check: str, starts: int = 0) -> bool:
        return False


@dataclass(frozen=True)
class Because:
    saves: float
    separates: tuple[str, ...]
    leads_to: Mapping[str, Step]
