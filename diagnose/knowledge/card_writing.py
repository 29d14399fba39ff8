"""The text of a new vehicle's card, with a comment on each part of it, for its owner to read and mend."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import AXLES, DATE_CODES, DATES, INSTRUMENTS
from diagnose.knowledge.card_splicing import fact_lines

HEADING = """# The card of one vehicle. Walk with it: diagnose walk --vehicle {file}
# Print it in large type: diagnose card print {file} -o locker-card.html
# Everything may be left out. Keep names, addresses and the number plate off it: it may be lent out.
"""


def card_text(card: VehicleCard, name: str) -> str:
    """The card as YAML; `name` is what its file will be called in the comments.

    Sections that hold nothing are there as comments, so that their form is seen.
    """
    parts = [
        HEADING.format(file="".join(letter if letter.isprintable() else "?" for letter in name)),
        _section("label", "a name of your own for it, kept with its cases", [], _line("label", card.label)),
        _section("country", "the country that it is in", [], _line("country", card.country or "")),
        _section(
            "facts",
            "what stays true of it; such questions are not asked then",
            fact_lines([fact for fact in card.facts if fact.check != "country"]),
            example="heater-fuel: gas",
        ),
        _section(
            "where",
            "where each part is; it is shown with the question",
            _pairs(card.where),
            example="battery-isolator: under the driver's seat, red key",
        ),
        _section(
            "instruments",
            f"how far yours may be out, by unit: a number, or {', '.join(INSTRUMENTS)}",
            [f"{json.dumps(unit, ensure_ascii=False)}: {out:g}" for unit, out in card.instruments.items()],
            example="V: 0.1",
        ),
        _section(
            "cannot",
            "what you cannot do: kneel, climb, lift, reach, hear, smell",
            [],
            f"cannot: [{', '.join(sorted(card.cannot))}]" if card.cannot else "",
            example="[kneel]",
        ),
        _section(
            "dates",
            f"as printed or last done, of: {', '.join(DATES)}",
            [f"{id}: {_date(id, card)}" for id in card.dates],
            example="gas-hose: 2023-06",
        ),
        _section(
            "tyres",
            f"cold pressure and weighed load by axle: {', '.join(AXLES)}",
            [],
            example="rear: {pressure: 4.5 bar, load: 1650 kg}",
        ),
        _section("numbers", "whom to call", _pairs(card.numbers), example="gas-engineer: 01632 960001"),
    ]
    return "\n".join(parts)


def _section(key: str, says: str, lines: Sequence[str], whole: str = "", example: str = "") -> str:
    comment = f"# {key}: {says}\n"
    if whole:
        return f"{comment}{whole}\n"
    if lines:
        return comment + f"{key}:\n" + "".join(f"  {line}\n" for line in lines)
    if not example:
        return f"{comment}# {key}:\n"
    return f"{comment}# {key}: {example}\n" if example[0] == "[" else f"{comment}# {key}:\n#   {example}\n"


def _line(key: str, text: str) -> str:
    return f"{key}: {json.dumps(text, ensure_ascii=False)}" if text else ""


def _pairs(texts: Mapping[str, str]) -> list[str]:
    return [f"{id}: {json.dumps(text, ensure_ascii=False)}" for id, text in texts.items()]


def _date(id: str, card: VehicleCard) -> str:
    day = card.dates[id]
    if id in DATE_CODES and day.isocalendar().year >= 2000:
        iso = day.isocalendar()
        return f'"{iso.week:02}{iso.year % 100:02}"'
    return day.isoformat()
