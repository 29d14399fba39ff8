"""What a screen is to show, as plain values.

A walk hands out one view at a time and knows nothing of the screen that shows it. A view holds everything
that the screen needs, words included, so that the prompt, the plain screen and the tests say the same.
Whoever shows a view shows its `cautions` first, in full, then its `notices`, then the question.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.terms import Caution, Finding, Ranked, Reading, Referral, State

NO_CERTIFICATE = "This does not certify that the vehicle is safe."
NOT_CHECKED = (
    "This tree is not one of those that come with the program: nobody of this project has checked it."
)
OTHER_LEADS = "None of the known causes fits well so far: something that is not listed here leads."
FETCH_HELP = (
    "If it is dark or you are alone: fetch a torch, or ask somebody to look, listen and smell with you. "
    "If you are still not sure then, it counts as danger."
)


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the answers that a question takes: its id, and how it reads."""

    id: str
    says: str


@dataclass(frozen=True, slots=True)
class Effort:
    """What a step asks of somebody; minutes, waiting and money are never added up for a person."""

    minutes: float = 0.0
    """Hands-on, getting there included."""
    wait: float = 0.0
    """Minutes in which nobody need be there."""
    price: float = 0.0


@dataclass(frozen=True, slots=True)
class Where:
    """Where a step is done: the place in words, the part, and its whereabouts from the vehicle's card."""

    place: str = ""
    part: str = ""
    whereabouts: str = ""


@dataclass(frozen=True, slots=True)
class Prevention:
    """A cause in words, and what keeps it from happening at the next lay-up."""

    says: str
    prevent: str


@dataclass(frozen=True, slots=True)
class LeftAlone:
    """A cause that nobody here may touch or that was not tried, and why."""

    says: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """What every screen shows, whatever it asks."""

    symptom: str
    case: int | None = None
    """None where no case is kept."""
    cautions: tuple[Caution, ...] = ()
    """To be shown now, in full: those shown for the first time, and those due before each start."""
    notices: tuple[str, ...] = ()
    """Plain sentences to be said before the question, such as that a tree has changed."""
    ranking: tuple[Ranked, ...] = ()
    """Every hypothesis in falling share; empty while only the danger questions have been asked."""
    numbers: tuple[str, ...] = ("112",)
    """The emergency numbers, the one to call first in front."""
    can_go_back: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Question(View):
    """A check or a fact to be asked. Takes `answer`, `reading` (where there is one) or `not_sure`."""

    check: str
    ask: str
    how: str = ""
    choices: tuple[Choice, ...] = ()
    """The answers; for a reading its bands, which may be picked where the value is not known."""
    measures: Reading | None = None
    also_read_in: tuple[str, ...] = ()
    """Units in which people of this country may read it as well; a typed value names its unit then."""
    effort: Effort = Effort()
    where: Where = Where()
    needs: tuple[str, ...] = ()
    ask_first: bool = False
    """A danger question: it wants the word and has no default."""
    again: bool = False
    """It has been answered before in this case and has to be answered anew; a notice says why."""
    fact: bool = False
    starts: bool = False
    """It starts the appliance, which uses up one of the tries."""
    tries_left: int | None = None
    """How many starts are left before this one; None is without limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsure(View):
    """*Not sure* was said at a danger question: `advice` is offered once. Another `not_sure` is the stop."""

    check: str
    ask: str
    how: str = ""
    choices: tuple[Choice, ...] = ()
    measures: Reading | None = None
    advice: str = FETCH_HELP


@dataclass(frozen=True, slots=True, kw_only=True)
class RemedyOffered(View):
    """Something to do. Takes `works_now`, `no_better` or `could_not` (or `answer` with a choice's id)."""

    remedy: str
    """The cut set's id."""
    says: str
    """The cause that it would put right, in words."""
    do: tuple[str, ...]
    """What to do, in order: one text for each cause of the cut set."""
    how: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    effort: Effort = Effort()
    where: tuple[Where, ...] = ()
    needs: tuple[str, ...] = ()
    tries_left: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CuredQuestion(View):
    """The question that has to be answered yes before anything counts as cured."""

    remedy: str
    says: str
    ask: str
    minutes: float
    choices: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearedQuestion(View):
    """The vehicle's last walk was stopped: has somebody qualified cleared it? *No* stays stopped."""

    ask: str
    stopped_by: Referral
    choices: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class End(View):
    """How a walk ended; what every ending says."""

    state: State
    prevention: tuple[Prevention, ...] = ()
    """For the causes that matter most, the likeliest first."""
    left_alone: tuple[LeftAlone, ...] = ()
    done: Effort = Effort()
    """What the steps of this walk were reckoned at."""
    certificate: str = NO_CERTIFICATE


@dataclass(frozen=True, slots=True, kw_only=True)
class Cured(End):
    """The remedy of `cause` was followed by a yes to the cured question."""

    cause: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Referred(End):
    """Handing over to somebody qualified: whom to call, what to say, what may be done until help comes."""

    referral: Referral
    register: str = ""
    """Under gas: the register to find that person in, by the country."""
    own_number: str = ""
    """The number that the owner set for it on the vehicle's card."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped(End):
    """Danger. There is no way back; the texts of all `referrals` are shown, the firmest first."""

    referrals: tuple[Referral, ...]
    because: str
    """What was answered, in words."""
    first: str = ""
    """The first sentence of all, in every stop."""
    own_numbers: Mapping[str, str] = field(default_factory=dict)
    """Referral -> the number that the owner set for it on the vehicle's card."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOff(End):
    """Left off, to be resumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotForThis(End):
    """The tree is for other vehicles: `fits` says for which, `has` what this one has."""

    fact: str
    ask: str
    fits: tuple[str, ...]
    has: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver(End):
    """Another tree knows better: the screen opens its walk and hands on what is known already."""

    tree: str
    says: str
    """The cause that led there, in words."""
    carry: tuple[Finding, ...] = ()
    """What the other tree may take over: findings of facts and of checks that both have in common."""
