"""Splicing keeps every character that is not meant to change, and what comes out reads as was meant.

The laws are checked against PyYAML's own composer (an outside reader) with made-up files in every layout.
"""

from __future__ import annotations

import string
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.collection import shipped_folder
from diagnose.revising.rendering import in_brackets, in_lines
from diagnose.revising.spans import Span, spans
from diagnose.revising.splicing import (
    Append,
    CannotSplice,
    Edit,
    Put,
    Rename,
    Replace,
    changed,
    edits,
    spliced,
)

SHIPPED = sorted(shipped_folder().glob("*.yaml"))


def read(text: str) -> Any:
    """The file as PyYAML's base loader has it: all scalars are texts."""
    return yaml.load(text.removeprefix("\ufeff"), Loader=yaml.BaseLoader)


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.stem)
def test_no_change_leaves_every_byte_of_a_shipped_tree(file):
    data = file.read_bytes()
    text = data.decode()
    assert changed(text, ()).encode() == data
    assert spliced(text, edits(text, ())).encode() == data
    nodes = list(every(spans(text)))
    again = [edit_of(text, node) for node in nodes if node.kind == "scalar"]
    assert len(again) > 100
    assert spliced(text, again).encode() == data


def every(span: Span):
    yield span
    for pair in span.pairs:
        for each in pair:
            yield from every(each)
    for item in span.items:
        yield from every(item)


def edit_of(text: str, node: Span) -> Edit:
    return Edit(node.start, node.end, text[node.start : node.end])


@pytest.mark.parametrize("file", SHIPPED[:6], ids=lambda file: file.stem)
def test_a_key_put_into_a_shipped_tree_adds_just_its_lines(file):
    text = file.read_bytes().decode()
    gate = next(key for key, _ in spans(text).get("faults").pairs if key.value in ("any_of", "all_of")).value
    body = {"says": "A new one", "in_100": 2, "remedy": {"refer": "workshop"}}
    after = changed(text, [Put(("faults", gate), "quite-new", body, open=True)])
    old, new = text.splitlines(), after.splitlines()
    added = [line for line in new if line not in old]
    assert [line.strip() for line in added] == [
        "quite-new:", "says: A new one", "in_100: 2", "remedy: {refer: workshop}",
    ]  # fmt: skip
    assert [line for line in new if line not in added] == [line for line in old if line not in added]


# --- made-up files -----------------------------------------------------------------------------------------

KEYS = st.text(string.ascii_lowercase, min_size=1, max_size=4)
TEXTS = st.one_of(
    st.text(string.ascii_letters + string.digits + " .,:;#'\"?!-[]{}&*%@|>°é", max_size=14),
    st.sampled_from(["yes", "null", "12", "1e3", "true", "~", "- a", "a: b", "# no", "", "é ü", "x" * 90]),
)
VALUES = st.recursive(
    TEXTS,
    lambda inner: st.one_of(
        st.dictionaries(KEYS, inner, max_size=3), st.lists(TEXTS, min_size=1, max_size=3)
    ),
    max_leaves=6,
)


@st.composite
def files(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """The text of a mapping in a random layout, and what it holds."""
    end = draw(st.sampled_from(["\n", "\r\n"]))
    lines: list[str] = [draw(st.sampled_from(["# a file", "", "---"]))]
    held: dict[str, Any] = {}

    def block(indent: int, depth: int) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key in draw(st.lists(KEYS, min_size=1, max_size=3, unique=True)):
            if draw(st.booleans()):
                lines.append(" " * draw(st.integers(0, 6)) + "# a remark: {")
            margin = " " * indent
            kind = draw(st.sampled_from(["flow", "block", "folded", "plain", "list", "literal", "none"]))
            tail = draw(st.sampled_from(["", "  # so it is", "   "]))
            if kind == "block" and depth < 4:
                lines.append(f"{margin}{key}:{tail}")
                found[key] = block(indent + draw(st.integers(1, 4)), depth + 1)
            elif kind == "flow":
                value = draw(st.dictionaries(KEYS, VALUES, max_size=3))
                shown = in_brackets(value)
                if value and draw(st.booleans()):
                    shown = shown[:-1] + ",}"
                if draw(st.booleans()):
                    shown = shown.replace("{", "{ ", 1)
                lines.append(f"{margin}{key}: {shown}{tail}")
                found[key] = value
            elif kind in ("folded", "literal"):
                words = draw(
                    st.lists(st.text(string.ascii_letters, min_size=1, max_size=8), min_size=1, max_size=4)
                )
                sign = ">" if kind == "folded" else "|"
                lines.append(f"{margin}{key}: {sign}{draw(st.sampled_from(['', '-', '+']))}")
                lines.extend(f"{margin}  {word}" for word in words)
                lines.extend([""] * draw(st.integers(0, 2)))
                found[key] = None  # what it says is read from the text itself
            elif kind == "list":
                items = draw(st.lists(TEXTS, min_size=1, max_size=3))
                lines.append(f"{margin}{key}:{tail}")
                inset = draw(st.integers(0, 2))
                lines.extend(f"{margin}{' ' * inset}- {in_brackets(item)}" for item in items)
                found[key] = items
            elif kind == "none":
                lines.append(f"{margin}{key}:{tail}")
                found[key] = ""
            else:
                found[key] = draw(TEXTS)
                lines.append(f"{margin}{key}: {in_brackets(found[key])}{tail}")
        return found

    held = block(0, 0)
    # A text in lines (`|`) that ends with the file has no line end of its own, and would get one.
    last = next(line for line in reversed(lines) if line.lstrip() and not line.lstrip().startswith("#"))
    tails = [end, end + "# the end" + end] + ([""] if ": " in last else [])
    text = end.join(lines) + draw(st.sampled_from(tails))
    return draw(st.sampled_from(["", "\ufeff"])) + text, held


def paths(value: Any, path: tuple[Any, ...] = ()):
    """Every node with its path."""
    yield path, value
    if isinstance(value, dict):
        for key, item in value.items():
            yield from paths(item, (*path, key))
    if isinstance(value, list):
        for place, item in enumerate(value):
            yield from paths(item, (*path, place))


def put(held: Any, path: tuple[Any, ...], act: Any) -> Any:
    """A copy of what is held, with one node changed."""
    if not path:
        return act(held)
    if isinstance(held, dict):
        return {key: put(item, path[1:], act) if key == path[0] else item for key, item in held.items()}
    return [put(item, path[1:], act) if place == path[0] else item for place, item in enumerate(held)]


@settings(max_examples=60, deadline=None)
@given(files(), VALUES, st.data())
def test_a_random_insertion_reads_as_meant_and_moves_nothing(file, value, data):
    text, _ = file
    held = read(text)
    where = [path for path, node in paths(held) if isinstance(node, dict)]
    path = data.draw(st.sampled_from(where))
    inside = held
    for step in path:
        inside = inside[step]
    before = data.draw(st.sampled_from([None, *inside]))
    after = changed(text, [Put(path, "NEW", value, before=before, open=data.draw(st.booleans()))])

    def act(node):
        keys = list(node)
        place = keys.index(before) if before is not None else len(keys)
        return dict([*list(node.items())[:place], ("NEW", value), *list(node.items())[place:]])

    assert as_pairs(read(after)) == as_pairs(put(held, path, act))
    assert only_added(text, after)


@settings(max_examples=40, deadline=None)
@given(files(), TEXTS, st.data())
def test_a_random_replacement_reads_as_meant_and_leaves_the_rest(file, value, data):
    text, _ = file
    held = read(text)
    path = data.draw(st.sampled_from([path for path, node in paths(held) if isinstance(node, str)] or [()]))
    if not path:
        return
    node = spans(text)
    for step in path:
        node = node.get(step) if isinstance(step, str) else node.items[step]
    after = changed(text, [Replace(path, value)])
    assert as_pairs(read(after)) == as_pairs(put(held, path, lambda _: value))
    assert after.startswith(text[: node.start])
    assert after.endswith(text[node.end :])


@settings(max_examples=60, deadline=None)
@given(files(), st.data())
def test_a_random_key_is_renamed_and_a_random_list_grows(file, data):
    text, _ = file
    held = read(text)
    path = data.draw(st.sampled_from([path for path, _ in paths(held) if path and isinstance(path[-1], str)]))
    after = changed(text, [Rename(path, "NEW")])
    rename = lambda node: {("NEW" if key == path[-1] else key): item for key, item in node.items()}  # noqa: E731
    assert as_pairs(read(after)) == as_pairs(put(held, path[:-1], rename))
    lists = [path for path, node in paths(held) if isinstance(node, list)]
    if lists:
        path = data.draw(st.sampled_from(lists))
        grown = changed(text, [Append(path, "one more")])
        assert as_pairs(read(grown)) == as_pairs(put(held, path, lambda node: [*node, "one more"]))
        assert only_added(text, grown)


def as_pairs(value: Any) -> Any:
    """With the order of keys."""
    if isinstance(value, dict):
        return [(key, as_pairs(item)) for key, item in value.items()]
    return [as_pairs(item) for item in value] if isinstance(value, list) else value


def only_added(before: str, after: str) -> bool:
    """Whether every character of the one stands in the other, in order and around one stretch."""
    start = next((i for i, (a, b) in enumerate(zip(before, after, strict=False)) if a != b), len(before))
    more = len(after) - len(before)
    return more > 0 and any(
        after[:place] + after[place + more :] == before
        for place in range(start, max(start - more, 0) - 1, -1)
    )


# --- single layouts ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "changes", "after"),
    [
        ("a: {}\n", [Put(("a",), "b", "c"), Put(("a",), "d", 2)], "a: {b: c, d: 2}\n"),
        ("a: {b: c,}\n", [Put(("a",), "d", 2)], "a: {b: c, d: 2,}\n"),
        ("a: {b: c # why\n  }\n", [Put(("a",), "d", 2)], "a: {b: c, d: 2 # why\n  }\n"),
        ("a: {b: c, z: 1}\n", [Put(("a",), "d", 2, before="z")], "a: {b: c, d: 2, z: 1}\n"),
        ("a:\n  b: c # why\n\n# end", [Put(("a",), "d", 2)], "a:\n  b: c # why\n  d: 2\n\n# end"),
        ("a:\n  b: c\n  z: 1\n", [Put(("a",), "d", 2, before="z")], "a:\n  b: c\n  d: 2\n  z: 1\n"),
        ("a:\n  z: 1\n", [Put(("a",), "d", 2, before="z")], "a:\n  d: 2\n  z: 1\n"),
        ("a:\n  b: c", [Put(("a",), "d", 2), Put((), "e", "f")], "a:\n  b: c\n  d: 2\ne: f"),
        ("a:\r\n  b: >-\r\n    c\r\n", [Put(("a",), "d", 2)], "a:\r\n  b: >-\r\n    c\r\n  d: 2\r\n"),
        ("a:\n  b: |+\n    c\n\nz: 1\n", [Put(("a",), "d", 2)], "a:\n  b: |+\n    c\n\n  d: 2\nz: 1\n"),
        ("a: b\n", [Append(("a",), "c")], "a: [b, c]\n"),
        ("a:\n- b\n", [Append(("a",), "c")], "a:\n- b\n- c\n"),
        ("a:\n", [Replace(("a",), "c")], "a: c\n"),
        ("\ufeff{a: b}", [Put((), "c", True)], "\ufeff{a: b, c: true}"),
    ],
)
def test_each_layout_gets_its_own_insertion(text, changes, after):
    assert changed(text, changes) == after


@pytest.mark.parametrize(
    ("text", "change", "message"),
    [
        ("a: b\n", Put(("a",), "c", 1), "a is no mapping"),
        ("a: {b: 1}\n", Put(("a",), "b", 1), '"b" is there already'),
        ("a: {b: 1}\n", Replace(("a", "c"), 1), "there is no a > c"),
        ("a: |\n  b", Put((), "c", 1), 'the file is laid out in a way that leaves no place for "c"'),
        ("a: {b: 1}\n", Rename(("a", "c"), "d"), 'there is no key "c"'),
    ],
)
def test_a_change_without_a_place_is_refused(text, change, message):
    with pytest.raises(CannotSplice) as refused:
        changed(text, [change])
    assert str(refused.value) == message


def test_a_key_that_would_stand_twice_is_found_on_reading_again():
    with pytest.raises(CannotSplice):
        changed("a: {b: 1, c: 2}\n", [Rename(("a", "b"), "c")])


def test_a_long_text_is_folded_and_a_short_mapping_stays_on_its_line():
    lines = in_lines("how", "word " * 40 + "end", 4)
    assert lines[0] == "    how: >-"
    assert max(map(len, lines)) <= 110
    assert yaml.safe_load("\n".join(lines)) == {"how": "word " * 40 + "end"}
    assert in_lines("remedy", {"refer": "workshop"}, 2) == ["  remedy: {refer: workshop}"]
