"""A share of all vehicles on the command line, as somebody would write it."""

from __future__ import annotations

import re

import click

_WRITTEN = re.compile(r"(?P<number>\d+(?:[.,]\d+)?|[.,]\d+)\s*(?P<percent>%?)")


def share_of(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    """`2%`, `2 %` and `0.02` are all 0.02; from 0 to below 1. For an option's `callback`."""
    if value is None:
        return None
    found = _WRITTEN.fullmatch(value.strip())
    if found is None:
        raise click.BadParameter(f'"{value}" is no share; write it as 2% or as 0.02', ctx, param)
    number = float(found["number"].replace(",", "."))
    share = number / 100 if found["percent"] else number
    if share >= 1:
        hint = "" if found["percent"] else "; write a share as 2% or as 0.02"
        raise click.BadParameter(f'"{value}" is all of them or more{hint}', ctx, param)
    return share


def said(share: float) -> str:
    """A share in per cent, as it may be written.

    >>> said(0.02), said(0.005)
    ('2%', '0.5%')
    """
    return f"{share * 100:g}%"
