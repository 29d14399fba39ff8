"""One question of that talk for what is seldom said of a remedy or check: place, part, waiting, a reading.

Who has nothing to add passes it over with Enter; a word that is typed opens the question behind it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.fields import NEEDS
from diagnose.knowledge.ids import as_id, nearest, quoted, why_no_id
from diagnose.revising.rendering import Value
from diagnose.terminal.extend_dialogue_asking import Asker, BackOne
from diagnose.terminal.extend_dialogue_reading import ask_for_reading
from diagnose.terms import Check, Place, Remedy, Tree
from diagnose.walking.views import Choice

Judge = Callable[[Mapping[str, Value]], Sequence[str]]
"""What would be wrong with a remedy or check that says this besides, as sentences."""
MOST_MINUTES = 10_000


@dataclass(frozen=True, slots=True)
class Known:
    """The places of a tree, and the parts that it names already."""

    places: Mapping[str, Place]
    parts: Collection[str] = ()


@dataclass(frozen=True, slots=True)
class More:
    """Something that may be said: the word for it, what it is, and the question that asks for its keys."""

    word: str
    key: str
    """What a tree calls it; understood as well."""
    tells: str
    ask: Callable[[Asker, Known], Mapping[str, Value]]


def known_of(tree: Tree) -> Known:
    """What a tree knows: first the places and parts that it uses."""
    remedies = [event.remedy for event in tree.events.values() if event.remedy is not None]
    users: list[Remedy | Check] = [*remedies, *tree.checks.values()]
    used = [each.at for each in users if each.at]
    ordered = dict.fromkeys((*used, *tree.places))
    parts = dict.fromkeys(each.part for each in users if each.part)
    return Known({id: tree.places[id] for id in ordered}, tuple(parts))


def ask_for_more(
    asker: Asker, what: str, kinds: Sequence[More], known: Known, judge: Judge
) -> Mapping[str, Value]:
    """What else is said of `what`, by the keys of a tree; nothing for who passes the question over.

    What cannot stand in the tree is told and left out. back within a detail comes back to this question.
    """
    told: dict[str, Value] = {}
    while True:
        words = asker.line(
            f"Anything more about {what}?" if not told else "Anything else about it?",
            _how(kinds, told),
            judge=lambda text: _unknown(text, kinds),
            helped=[(kind.word, kind.tells) for kind in kinds],
        )
        if not _words(words):
            return told
        try:
            for word in _words(words):
                told = _with(asker, told, _kind(word, kinds).ask(asker, known), judge)
        except BackOne:
            continue


def _how(kinds: Sequence[More], told: Mapping[str, Value]) -> str:
    if told:
        said = ", ".join(kind.word for kind in kinds if kind.key in told)
        return f"Told so far: {said}. Enter if that is all, or type a word to tell it."
    words = ", ".join(kind.word for kind in kinds)
    return f"Enter for no. Or type which, with commas between: {words}. help tells what each is."


def _with(
    asker: Asker, told: dict[str, Value], further: Mapping[str, Value], judge: Judge
) -> dict[str, Value]:
    wrong = judge({**told, **further})
    for sentence in wrong:
        asker.say(sentence)
    return told if wrong else {**told, **further}


def _words(text: str) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(
            word for word in text.casefold().replace(",", " ").split() if word not in ("and", "none")
        )
    )


def _unknown(text: str, kinds: Sequence[More]) -> Sequence[str]:
    """The words that stand for nothing here, each with the nearest that does."""
    return [
        _not_here(word, [kind.word for kind in kinds]) for word in _words(text) if not _fitting(word, kinds)
    ]


def _not_here(word: str, known: Sequence[str]) -> str:
    meant = nearest(word, known)
    return f"{quoted(word)} is none of these" + (f' (did you mean "{meant}"?).' if meant else ".")


def _fitting(word: str, kinds: Sequence[More]) -> Sequence[More]:
    exact = [kind for kind in kinds if word in (kind.word, kind.key)]
    begun = [kind for kind in kinds if len(word) > 1 and kind.word.startswith(word)]
    return exact or (begun if len(begun) == 1 else ())


def _kind(word: str, kinds: Sequence[More]) -> More:
    return _fitting(word, kinds)[0]


def _place(asker: Asker, known: Known) -> Mapping[str, Value]:
    def other(text: str) -> None:
        meant = nearest(as_id(text), known.places)
        if meant:
            asker.say(f'Did you mean "{meant}"?')

    choices = [Choice(id, place.says) for id, place in known.places.items()]
    how = "Another place can be written into the file afterwards, under places."
    return {"at": asker.choose("Where on the vehicle?", choices, how=how, other=other)}


def _part(asker: Asker, known: Known) -> Mapping[str, Value]:
    text = asker.line(
        "Which part?",
        "The vehicle's card tells where it is, such as: heater fuse",
        needed=True,
        judge=lambda text: [
            f"{quoted(text)} {reason}." for reason in [why_no_id(as_id(text) or text)] if reason
        ],
    )
    return {"part": meant(asker, as_id(text) or text, known.parts)}


def meant(asker: Asker, word: str, known: Iterable[str]) -> str:
    """The word, or the known one that it is nearly and that is asked for."""
    there = tuple(known)
    near = "" if word in there else nearest(word, there)
    if not near:
        return word
    choices = [Choice(near, f"{near}, which is known already"), Choice(word, f"{word}, a new one")]
    return asker.choose("Which is meant?", choices, how="Enter takes 1.", usual=near)


def _wait(asker: Asker, known: Known) -> Mapping[str, Value]:
    ask = "How many minutes pass with nobody needed there?"
    return {"wait": asker.number(ask, usual=None, most=MOST_MINUTES)}


def _needs(asker: Asker, known: Known) -> Mapping[str, Value]:
    text = asker.line(
        "What must the body be able to do?",
        f"One word or several, with commas between: {', '.join(NEEDS)}.",
        needed=True,
        judge=lambda text: [_not_here(word, NEEDS) for word in _words(text) if word not in NEEDS],
    )
    return {"needs": list(_words(text))} if _words(text) else {}


def _cures(asker: Asker, known: Known) -> Mapping[str, Value]:
    ask = "Of 100 vehicles with this fault, how many does it cure?"
    return {"cures": round(asker.number(ask, usual=None, most=100) / 100, 6)}


def _doubt(asker: Asker, known: Known) -> Mapping[str, Value]:
    ask = "Of 100 people, how many could not say?"
    return {"not_sure": round(asker.number(ask, "Enter takes 5.", usual=5, most=90) / 100, 6)}


def _price(asker: Asker, known: Known) -> Mapping[str, Value]:
    return {"price": asker.number("What does it cost?", usual=None)}


def _reading(asker: Asker, known: Known) -> Mapping[str, Value]:
    return ask_for_reading(asker)


_SHARED = (
    More("place", "at", "where on the vehicle it is done", _place),
    More("part", "part", "the part, whose whereabouts the vehicle's card tells", _part),
    More("wait", "wait", "minutes in which nobody need be there", _wait),
    More("needs", "needs", "what the body must be able to do, such as to kneel", _needs),
)
OF_A_REMEDY = (*_SHARED, More("cures", "cures", "how often it helps, if this is the fault", _cures))
OF_A_CHECK = (
    *_SHARED,
    More("price", "price", "what it costs", _price),
    More("doubt", "not_sure", "how often nobody can say", _doubt),
    More("reading", "bands", "it is measured; each stretch of the scale is one answer", _reading),
)
