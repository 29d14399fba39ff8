"""The user's few settings: the country, and the rates at which waiting and money count.

They stand in `settings.yaml` in the platform's configuration folder (`diagnose walk --help` names it), read
as strictly as a tree:

    country: uk             # an id of trees/common/countries.yaml; whom to call follows from it
    wait_rate: 0.05         # what a minute of waiting counts, in minutes of work
    money_per_minute: 0.5   # how much money counts as a minute of work
    half_life: 5            # years after which a past case counts half; left out = never

`DIAGNOSE_COUNTRY` wins over the file. No setting touches a safety rule.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

from diagnose.terms import Country, DiagnoseError, Flaw, FlawedKnowledge, Settings

FIGURES = ("wait_rate", "money_per_minute", "half_life")
KEYS = ("country", *FIGURES)
MAY_BE_NOUGHT = ("wait_rate",)


class NoSuchCountry(DiagnoseError):
    """The country that was set is none of those known."""


def settings_file() -> Path:
    """Where the settings stand on this platform, whether or not the file is there."""
    import platformdirs

    return platformdirs.user_config_path("leisure-fault-diagnosis", appauthor=False) / "settings.yaml"


def read_settings(environ: Mapping[str, str] | None = None, file: Path | None = None) -> Settings:
    """The settings as the file and the environment have them; raises FlawedKnowledge for a flawed file.

    The country is not yet looked up: see `country_of`.
    """
    known = os.environ if environ is None else environ
    path = settings_file() if file is None else file
    settings = _from_file(path) if path.exists() else Settings()
    country = known.get("DIAGNOSE_COUNTRY", "").strip().lower()
    return replace(settings, country=country) if country else settings


def country_of(settings: Settings, countries: Mapping[str, Country]) -> Country | None:
    """The country that is set, None where none is; raises NoSuchCountry with those that are known."""
    if settings.country is None:
        return None
    if settings.country not in countries:
        raise NoSuchCountry(
            f'"{settings.country}" is no country here; write one of {", ".join(sorted(countries))} '
            "(DIAGNOSE_COUNTRY, or country in the settings file)"
        )
    return countries[settings.country]


def _from_file(path: Path) -> Settings:
    from diagnose.knowledge.nodes import Scalar, what_it_is
    from diagnose.knowledge.plain_yaml import read_bytes, read_mapping

    flaws: list[Flaw] = []
    values: dict[str, float | str] = {}
    for key, node in read_mapping(read_bytes(path), str(path)).pairs:
        scalar = node if isinstance(node, Scalar) else None
        if key.value not in KEYS:
            meant = next(iter(get_close_matches(key.value, KEYS, n=1)), "")
            flaws.append(Flaw(str(path), key.line, key.column, f'"{key.value}" is no setting', meant))
        elif key.value == "country" and scalar is not None and scalar.text is not None:
            values[key.value] = scalar.text
        elif key.value in FIGURES and scalar is not None and _fits(key.value, scalar.number):
            values[key.value] = scalar.number or 0.0
        else:
            wanted = "a country's id" if key.value == "country" else _wanted(key.value)
            text = f"{key.value} has to be {wanted}, not {what_it_is(node)}"
            flaws.append(Flaw(str(path), node.line, node.column, text))
    if flaws:
        raise FlawedKnowledge(tuple(flaws))
    return replace(Settings(), **values)  # type: ignore[arg-type]


def _fits(key: str, number: float | None) -> bool:
    return number is not None and (number > 0 or (number == 0 and key in MAY_BE_NOUGHT))


def _wanted(key: str) -> str:
    return "a number of zero or more" if key in MAY_BE_NOUGHT else "a number above zero"
