"""YAML as an ordinary editor reads it: the core schema of YAML 1.2.2, section 10.3.2 (its table of tags).

It shares nothing with the program but PyYAML's parser, which makes every scalar a text here.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

_TABLE = [
    (re.compile(r"null|Null|NULL|~|"), lambda text: None),
    (re.compile(r"true|True|TRUE|false|False|FALSE"), lambda text: text.lower() == "true"),
    (re.compile(r"[-+]?[0-9]+"), int),
    (re.compile(r"0o[0-7]+"), lambda text: int(text[2:], 8)),
    (re.compile(r"0x[0-9a-fA-F]+"), lambda text: int(text[2:], 16)),
    (re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?"), float),
    (re.compile(r"[-+]?(\.inf|\.Inf|\.INF)"), lambda text: float(text.replace(".", ""))),
    (re.compile(r"\.nan|\.NaN|\.NAN"), lambda text: float("nan")),
]


def value_of(text: str) -> Any:
    """What a YAML text stands for; keys are texts, as in JSON."""
    return _value(yaml.compose(text, Loader=yaml.BaseLoader))


def _value(node: Any) -> Any:
    if isinstance(node, yaml.MappingNode):
        return {key.value: _value(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [_value(item) for item in node.value]
    if node.style is not None:
        return node.value
    return next((make(node.value) for form, make in _TABLE if form.fullmatch(node.value)), node.value)
