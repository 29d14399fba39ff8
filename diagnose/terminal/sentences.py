"""Texts of a tree, fitted into a sentence of ours."""

from __future__ import annotations


def ended(text: str) -> str:
    """The text with a full stop behind it, unless it ends a sentence already.

    >>> ended("Weigh both cylinders "), ended("Is it level?")
    ('Weigh both cylinders.', 'Is it level?')
    """
    text = text.strip()
    return text if not text or text[-1] in ".!?" else text + "."


def sentence(text: str) -> str:
    """The text with a capital in front and a full stop behind.

    >>> sentence("at the gas locker")
    'At the gas locker.'
    """
    text = ended(text)
    return text[:1].upper() + text[1:]


def inside(text: str) -> str:
    """The text as part of a sentence: a small letter in front, unless an abbreviation stands there.

    >>> inside("The flue is blocked."), inside("LPG is low"), inside("A fuse has blown")
    ('the flue is blocked', 'LPG is low', 'a fuse has blown')
    """
    text = text.strip().rstrip(".")
    if len(text) > 1 and text[0].isupper() and (text[1].islower() or text[1] == " "):
        return text[0].lower() + text[1:]
    return text
