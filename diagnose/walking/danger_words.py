"""Words that speak of danger, heard before anything is searched.

Somebody who types "I can smell gas" must see the stop text, not a list of symptoms. So the ear is set to hear
too much rather than too little: misspellings are heard, and so are "no smell of gas", "an alarm sounded last
week" and "the alarm chirps", though then the person is asked whether there is danger now. What hisses, sounds
or beeps is taken to do so now. Only what clearly means something else ("will not fire") is let pass.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from diagnose.terms import Referral

FIRE = "fire"
"""What is heard as fire or smoke; it has no referral of its own: the emergency number is called."""


@dataclass(frozen=True, slots=True)
class Heard:
    """A danger that a text speaks of."""

    dangers: tuple[str, ...]
    """Ids of stop referrals (`gas-escape` ...) or `fire`, the firmest first."""
    words: str
    """The text as it was typed, on one line."""
    sure: bool
    """False where the text denies it, speaks of the past or of a mere chirp: the person is asked first."""

    @property
    def ask(self) -> str:
        """The question by which the person confirms or denies it, where `sure` is false."""
        said = "; ".join(_SAID[danger] for danger in self.dangers)
        return f'You wrote "{self.words}". To be safe: is there now {said}?'


@dataclass(frozen=True, slots=True)
class StopText:
    """What is shown for a danger that was heard: the first words, then the referrals, firmest first."""

    first: str
    referrals: tuple[Referral, ...]


ANY_DANGER = Heard(("gas-escape", "co-suspected", FIRE, "mains-danger"), "danger", sure=True)
"""What `danger` alone means before a symptom is known: it may be any of them, so all texts are shown."""

_SAID = {
    "gas-escape": "a smell of gas or a hiss",
    "co-suspected": "an alarm that sounds (more than a chirp now and then), or anybody (or a pet) unwell",
    FIRE: "fire, smoke or a smell of burning",
    "mains-danger": "a shock, a tingle, sparks or scorching at anything of the mains",
    "auto-electrician": "a battery that is swollen, cracked, hot, frozen or leaking",
    "workshop": "a sharp smell at the fridge, or a smell or drip of fuel",
}
"""Every danger in words; the order is that of urgency."""

_GAS = "gas gass gaz gassy lpg propane butane regulator"
_SMELL = "smell smells smelling smelled smelt smelly stink stinks odour odor whiff reeks reek"
_LEAK = "leak leaks leaking leaked leek escaping escapes"
_SCORCHED = "scorched scorching charred singed melted melting"
_GNAWED = "gnawed chewed bitten nibbled frayed"
_WET = (
    "wet soaked flooded dripping drips running_into running_onto "
    "water_in water_into water_on water_onto water_near water_by water_at water_behind water_over"
)
_ELECTRIC = "socket sockets plug plugs lead cable mains post inlet hookup wire wires wiring"

_PATTERNS = (
    # (danger, groups): of each group one word is there, in any order. "a_b" is two words that stand together.
    ("gas-escape", (_GAS, _SMELL)),
    ("gas-escape", (_GAS, _LEAK)),
    ("gas-escape", ("egg eggs eggy", _SMELL)),
    ("gas-escape", ("cylinder cylinders", _LEAK)),
    ("gas-escape", (_GAS, "hose hoses pipe", f"{_GNAWED} split cracked perished cut")),
    ("gas-escape", ("hiss hisses hissing hissed",)),
    ("co-suspected", ("sick ill unwell poorly headache headaches giddy dizzy dizziness drowsy",)),
    ("co-suspected", ("nausea nauseous vomit vomits vomiting vomited faint fainted fainting queasy",)),
    ("co-suspected", ("unconscious collapsed woozy lightheaded light_headed migraine sleepy",)),
    ("co-suspected", ("cannot_wake cant_wake breathless cannot_breathe cant_breathe not_breathing",)),
    ("co-suspected", ("short", "breath")),
    ("co-suspected", ("soot sooty sooted",)),
    (
        "co-suspected",
        ("passed_out throwing_up threw_up head_hurts head_ache head_aches wont_wake choking unresponsive",),
    ),
    ("co-suspected", ("alarm alarms detector detectors monoxide",)),
    ("co-suspected", ("fumes",)),
    ("co-suspected", ("exhaust", _SMELL)),
    (FIRE, ("smoke smoking smokes smoky smouldering fire fires ablaze",)),
    (FIRE, ("flames burning explosion exploded explodes exploding blew_up blown_up",)),
    (FIRE, ("burnt burned", _SMELL)),
    (FIRE, ("went_bang loud_bang big_bang",)),
    (
        "mains-danger",
        ("shock shocks shocked electrocuted electrocution zapped tingle tingles tingling tingly",),
    ),
    ("mains-danger", ("sparks sparking arcing buzzing crackling burnt burned " + _SCORCHED, _ELECTRIC)),
    ("mains-danger", ("hot_plug hot_socket plug_hot socket_hot",)),
    ("mains-danger", (_WET, "socket sockets plug plugs inlet charger consumer_unit fuse_box fusebox")),
    ("mains-danger", (_GNAWED, "mains hookup 230v orange_cable orange_lead")),
    ("mains-danger", ("bare_wire bare_wires live_wire live_wires exposed_wire exposed_wires",)),
    (
        "auto-electrician",
        (
            "battery batteries",
            "swollen swelled bulging bulges bulged cracked boiling acid leaking leaks leaked hot frozen "
            "fizzing bubbling sparks sparking",
        ),
    ),
    ("workshop", ("ammonia",)),
    ("workshop", ("sharp acrid stinging", _SMELL, "fridge refrigerator")),
    ("workshop", ("petrol diesel fuel", _SMELL)),
    ("workshop", ("petrol diesel fuel", f"{_LEAK} drip drips dripping dripped")),
)
_ELSE = ((FIRE, (_SCORCHED,)), ("mains-danger", ("sparks sparking sparked arcing",)))
"""Heard only where nothing above was."""

_NOT_A_NOUN = r"(?:(?!on\b|a\b|any\b|catch\b|set\b|no\b)\w+\s+)?"
_MEANT_OTHERWISE = {
    FIRE: (
        # A heater that will not fire, a burner that fires up.
        rf"\b(?:not|wont|doesnt|dont|cant|cannot|didnt|never|will|to|nor)\s+{_NOT_A_NOUN}fires?\b",
        r"\bfires?\s+(?:up|at all|then|but|and (?:goes|dies|stops|cuts))\b",
        r"\b(?:heater|boiler|burner|heating|it|engine)\s+fires\b",
        r"\bgas\s+fire\s+(?:wont|will not|does not|doesnt|not|keeps|goes out|cuts out)\b",
    ),
    "co-suspected": (
        r"\b(?:car|vehicle|immobiliser|burglar|reversing)\s+alarms?\b",
        r"\bfaint\s+(?:click\w*|noise|light|hum\w*|sound|glow|smell)\b",
        r"\b(?:awning|bed|roof|step|seat|hose|tent)\s+(?:has\s+)?collapsed\b",
    ),
    "mains-danger": (
        r"\bshock\s+absorbers?\b",
        # An igniter is there to spark.
        r"\b(?:igniter|ignition|hob|ring|burner|stove|cooker)\b(?:\s+\w+){0,3}?\s+spark\w*",
        r"\bspark\w*\s+(?:does|doesnt|wont|will|no|not|never|then|fine)\b",
    ),
    "gas-escape": (r"\b(?:brake|wheel|master|clutch)\s+cylinders?\b",),
    "auto-electrician": (
        r"\bhot\s+(?:water|tap|taps|air|side)\b",
        r"\bleak\w*\s+(?:charge|current|power)\b",
        r"\b(?:pipes?|tank|water|pump|valve|taps?|hoses?|locks?|door)\s+(?:\w+\s+){0,2}?frozen\b",
        r"\bfrozen\s+(?:pipes?|tank|water|pump|valve|taps?|hoses?|locks?|door)\b",
    ),
}
_FLAME_ITSELF = (
    r"\b(?:hob|ring|burner|flames?|stove|cooker)\b(?:\s+\w+){0,4}?\s+(?:burning|flames)\b",
    r"\b(?:burning|flames)\b(?:\s+\w+){0,3}?\s+(?:hob|ring|burner|flame|stove|cooker)\b",
    r"\bflames\s+(?:get|go|grow|turn|are|stay)\s+(?:smaller|small|weaker|weak|lower|low|out)\b",
)
"""A flame that burns where it should, as long as nothing smells or melts."""
_NOT_FLAME_ITSELF = frozenset(f"{_SMELL} plastic rubber smoke".split())

_DENIAL = (
    r"\b(?:no|not|none|never|without|nobody|isnt|arent|cant|cannot|dont|doesnt|didnt|havent|nor|neither)"
    r"\s+(?:\w+\s+){0,2}?"
)
_PAST = re.compile(
    r"\b(?:earlier|yesterday|ago|last (?:night|week|month|year|season)|used to|was|were|had)\b"
)
_ALARMS = frozenset(("alarm", "alarms", "detector", "detectors", "monoxide"))
_CHIRP = re.compile(
    r"\b(?:chirp\w*|peeps?|peeping|now (?:and )?then|(?:a|every|each) (?:\w+ )?minutes?|fault\w*|expired"
    r"|out of date|(?:end|its) date|(?:light|lamp) (?:is|stays|came|comes) on)\b"
)
"""What an alarm does that tells of its own cell or age. A beep alone is no such word: it may be the alarm."""
_ONE_LETTER_AWAY = (
    "small swell spell shell smart spill shook stock stack short shack spoke spokes stoke smock frames frame "
    "flakes flares fuses alarmed fainter sleep sleeps spark leaky leads "
    "flame flamed spelling swelling shelling cooking chocking burn burner burns burst "
    "charged cranked cranking files fired fixes leading leaving main plus regular searched signed sink sinks "
    "drops froze glassy grassy sparkling "
    "speaking spring starting starving stick visiting wines turn"
)
_ORDINARY = frozenset(_ONE_LETTER_AWAY.split())
"""Ordinary words that look like a misspelt word of danger."""
_HARD_TO_SPELL = frozenset(
    (
        "headache",
        "headaches",
        "monoxide",
        "dizziness",
        "nauseous",
        "unconscious",
        "lightheaded",
        "electrocuted",
    )
)


def speaks_of_danger(text: str) -> bool:
    """Whether a text tells of a danger that is there now, plainly enough to stop a walk."""
    heard = danger_in(text)
    return heard is not None and heard.sure


def danger_in(text: str) -> Heard | None:
    """The danger that a text speaks of, or None."""
    clauses = _clauses(text)
    plain = " ".join(clauses)
    found = _found(plain, _PATTERNS) or _found(plain, _ELSE)
    if not found:
        return None
    dangers = tuple(danger for danger in _SAID if danger in found)
    hits = [hit for danger in dangers for hit in found[danger]]
    denied = all(_denied(clauses, found[danger]) for danger in dangers)
    doubtful = (
        denied or _PAST.search(plain) is not None or (_ALARMS.issuperset(hits) and _CHIRP.search(plain))
    )
    return Heard(dangers, _as_typed(text), bool(hits) and not doubtful)


def stop_text(heard: Heard, referrals: Mapping[str, Referral], number: str = "112") -> StopText:
    """What to show for it: the texts of all dangers heard, the firmest first, and the number to call."""
    if FIRE in heard.dangers:
        first = (
            f"Stop here. Everybody out and well away now, pets too; call {number} from there. "
            "Nobody goes back in, for nothing at all. Leave the gas locker and the bonnet shut."
        )
    elif set(heard.dangers) & {"gas-escape", "co-suspected", "workshop"}:
        first = (
            "Stop here. Everybody out into the open air now, pets too, touching no switch and no metal on "
            f"the way. If anybody is unwell, or there is fire or smoke: call {number}."
        )
    else:
        first = (
            "Stop here. Let go of everything, touch nothing more, and keep everybody clear. "
            f"If there was a shock, or there is fire or smoke: call {number}."
        )
    return StopText(first, tuple(referrals[danger] for danger in heard.dangers if danger in referrals))


def _found(plain: str, patterns: tuple[tuple[str, tuple[str, ...]], ...]) -> dict[str, list[str]]:
    """Danger -> the words that speak of it."""
    found: dict[str, list[str]] = {}
    for danger, groups in patterns:
        heard = _without_other_meanings(plain, danger)
        hits = [_hit(heard, group.split()) for group in groups]
        if all(hits):
            found.setdefault(danger, []).extend(hits)
    return found


def _without_other_meanings(plain: str, danger: str) -> str:
    others = _MEANT_OTHERWISE.get(danger, ())
    if danger == FIRE and _NOT_FLAME_ITSELF.isdisjoint(plain.split()):
        others += _FLAME_ITSELF
    for other in others:
        plain = re.sub(other, " ", plain)
    return plain


def _hit(plain: str, group: list[str]) -> str:
    """The first word of the text that is one of the group, exactly or one slip of the fingers away."""
    words = plain.split()
    pairs = [f"{one}_{two}" for one, two in pairwise(words)]
    exact = next((word for word in (*words, *pairs) if word in group), "")
    return exact or next((word for word in words if any(_slipped(word, meant) for meant in group)), "")


def _slipped(word: str, meant: str) -> bool:
    """Whether a word is the other with one letter wrong, missing, too many or swapped; hard ones, two."""
    if len(word) < 4 or len(meant) < 5 or word[0] != meant[0] or word in _ORDINARY or "_" in meant:
        return False
    from rapidfuzz.distance import OSA

    most = 2 if meant in _HARD_TO_SPELL else 1
    return OSA.distance(word, meant, score_cutoff=most) <= most


def _denied(clauses: list[str], hits: list[str]) -> bool:
    """Whether "no", "not" or the like stands just before one of the words that were heard, in its clause."""
    return any(
        re.search(_DENIAL + re.escape(hit.replace("_", " ")) + r"\b", clause)
        for clause in clauses
        for hit in hits
    )


def _clauses(text: str) -> list[str]:
    """The clauses of a text in small letters; apostrophes are left out, hyphens separate words."""
    letters = unicodedata.normalize("NFKD", text[:400]).casefold()
    kept = "".join(letter for letter in letters if unicodedata.category(letter) not in ("Mn", "Cf"))
    # "I'll" must not be heard as "ill".
    kept = re.sub(r"['’‘`´]", "", re.sub(r"\bi['’‘`´]ll\b", "i will", kept)).replace("hook-up", "hookup")
    parts = re.split(r"[^\w\s\-\u2010\u2011]|\b(?:and|but|yet|though)\b", kept)
    return [clause for part in parts if (clause := " ".join(re.sub(r"[^\w\s]|_", " ", part).split()))]


def _as_typed(text: str) -> str:
    shown = "".join(letter if letter.isprintable() else " " for letter in text)
    line = " ".join(shown.split())
    return line if len(line) <= 80 else line[:79] + "…"
