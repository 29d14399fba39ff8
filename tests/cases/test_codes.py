"""Codes for a bad telephone line: what is noticed, proved over the field, and tried on many codes."""

from __future__ import annotations

import random
from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.cases.codes import (
    ALPHABET,
    BASE,
    CHECKS,
    GROUP,
    MOST,
    SPELLED,
    WrongCode,
    column,
    number_of,
    plain,
    single_slips,
    spelled,
    split_code,
    syndrome,
    written,
)

SOUND_ALIKE = ("BCDEGPTVZ3", "AHJK8", "FSX", "X6", "MN", "IY59", "QU2", "O0")
"""The sets of spoken letters that are taken for each other: the E-set (with "three"), the A-set (with
"eight"), and so on; Cole, Fanty, Muthusamy & Gopalakrishnan 1990, "Speaker-independent recognition of spoken
English letters" (from memory). Five and nine: ITU Radio Regulations, Appendix 14, says "novenine" and ICAO
Annex 10 "niner" to keep them apart (from memory)."""
LOOK_ALIKE = ("0DOQ", "1IJL", "2Z", "5S", "6G", "8B", "7T", "UVY", "MN", "4A")
"""Letters and digits that print and handwriting make alike; common practice, no source."""

# fmt: off
ITU_APPENDIX_14 = [
    "Alfa", "Bravo", "Charlie", "Delta", "Echo", "Foxtrot", "Golf", "Hotel", "India", "Juliett", "Kilo",
    "Lima", "Mike", "November", "Oscar", "Papa", "Quebec", "Romeo", "Sierra", "Tango", "Uniform", "Victor",
    "Whiskey", "X-ray", "Yankee", "Zulu",
]
# fmt: on
"""ITU Radio Regulations, Appendix 14, section 1: the code words as printed there."""


def as_digits(code):
    return [ALPHABET.index(sign) for sign in reversed(code.replace("-", ""))]


def as_text(digits):
    return "".join(ALPHABET[digit] for digit in reversed(digits))


def refused(text):
    try:
        number_of(text)
    except WrongCode:
        return True
    return False


# The characters ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", SOUND_ALIKE + LOOK_ALIKE)
def test_no_two_characters_sound_or_look_alike(kind):
    assert len(set(kind) & set(ALPHABET)) <= 1


def test_the_number_of_characters_is_a_prime():
    assert len(set(ALPHABET)) == BASE == 13
    assert all(BASE % divisor for divisor in range(2, BASE))


def test_letters_are_spelled_by_the_radiotelephony_alphabet():
    assert [SPELLED[word[0]] for word in ITU_APPENDIX_14] == ITU_APPENDIX_14
    assert spelled("40FM-RW81") == ("four zero Foxtrot Mike", "Romeo Whiskey eight one")


# What the sums notice, for every code at once: they are linear, so only the error counts --------------------


def test_the_columns_of_any_two_places_are_no_multiples_of_each_other():
    columns = [column(place) for place in range(MOST)]
    for one, other in combinations(columns, 2):
        assert all(tuple(factor * f % BASE for f in one) != other for factor in range(1, BASE))


def test_any_two_wrong_characters_leave_sums_that_are_not_nought():
    for one, other in combinations([column(place) for place in range(MOST)], 2):
        for e in range(1, BASE):
            # One error may be taken as 1: sums that are nought stay so when everything is multiplied.
            assert any((f + e * g) % BASE for f, g in zip(one, other, strict=True))


def test_any_three_wrong_characters_in_one_group_leave_sums_that_are_not_nought():
    for start in range(0, MOST, GROUP):
        for places in combinations([column(start + at) for at in range(GROUP)], 3):
            for e, f in product(range(1, BASE), repeat=2):
                assert any((a + e * b + f * c) % BASE for a, b, c in zip(*places, strict=True))


# On codes themselves ----------------------------------------------------------------------------------------


CHANCE = random.Random(8)
SOME_CODES = [written(CHANCE.randrange(13 ** CHANCE.randrange(1, 26))) for _ in range(25)]


@given(st.integers(0, 13 ** (MOST - CHECKS) - 1))
def test_a_code_gives_its_number_back_and_has_whole_groups(number):
    code = written(number)
    assert number_of(code) == number
    assert all(len(group) == GROUP for group in code.split("-"))
    assert syndrome(as_digits(code)) == (0, 0, 0)


def test_a_number_for_which_the_sums_do_not_vouch_gets_no_code():
    longest = 13 ** (MOST - CHECKS) - 1
    assert number_of(written(longest)) == longest
    with pytest.raises(ValueError, match="do not vouch for more than 168 characters"):
        written(longest + 1)


@pytest.mark.parametrize("code", SOME_CODES)
def test_every_wrong_character_and_every_swap_of_neighbours_is_noticed(code):
    digits = as_digits(code)
    for place, digit in enumerate(digits):
        for wrong in set(range(BASE)) - {digit}:
            assert refused(as_text([*digits[:place], wrong, *digits[place + 1 :]]))
    for place in range(len(digits) - 1):
        swapped = [*digits[:place], digits[place + 1], digits[place], *digits[place + 2 :]]
        assert swapped == digits or refused(as_text(swapped))


@pytest.mark.parametrize("code", SOME_CODES[:8])
def test_characters_that_are_missing_or_too_many_are_noticed(code):
    text = code.replace("-", "")
    for place in range(len(text)):
        for many in (1, 2, 3):
            assert len(text) - place < many or refused(text[:place] + text[place + many :])
        assert all(refused(text[:place] + sign + text[place:]) for sign in ALPHABET)


@given(st.integers(0, 13**24), st.data())
def test_the_place_of_a_single_slip_is_found(number, data):
    digits = as_digits(written(number))
    place = data.draw(st.integers(0, len(digits) - 1))
    wrong = data.draw(st.integers(0, BASE - 1).filter(lambda each: each != digits[place]))
    typed = [*digits[:place], wrong, *digits[place + 1 :]]
    assert single_slips(typed, syndrome(typed)) == [(place,)]
    group = len(digits) // GROUP - place // GROUP
    with pytest.raises(WrongCode, match=f"^one character seems wrong, in group {group}; look at that group"):
        number_of(as_text(typed))


@given(st.integers(0, 13**24), st.data())
def test_the_place_of_a_swap_is_among_those_that_are_named(number, data):
    digits = as_digits(written(number))
    places = [at for at in range(len(digits) - 1) if digits[at] != digits[at + 1]]
    if not places:
        return
    place = data.draw(st.sampled_from(places))
    typed = [*digits[:place], digits[place + 1], digits[place], *digits[place + 2 :]]
    slips = single_slips(typed, syndrome(typed))
    assert (place, place + 1) in slips
    for low, high in slips:
        put_right = list(typed)
        put_right[low], put_right[high] = typed[high], typed[low]
        assert syndrome(put_right) == (0, 0, 0)


def test_two_wrong_characters_never_pass_and_nothing_is_put_right():
    code = written(20261128).replace("-", "")
    for one, other in combinations(range(len(code)), 2):
        for first, second in product(ALPHABET[::2], repeat=2):
            typed = list(code)
            typed[one], typed[other] = first, second
            assert "".join(typed) == code or refused("".join(typed))


# How it may be typed ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "typed",
    [
        "0042-7524-4371",
        "0042 7524 4371",
        "004275244371",
        " 0042.7524,4371 ",
        "oo42 75z4 437i",
        "OO42-7524-437l",
        "0042–7524—4371",
        "\uff10\uff10\uff14\uff12 7524 4371",
        "zero zero four two, seven five two four, Four Three Seven One",
    ],
)
def test_a_code_may_be_typed_in_any_spelling(typed):
    assert number_of(typed) == 20261128


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (
            "0042-7524-437N",
            '"N" in group 3 is in no code (perhaps M); codes are made of 0 to 8, F, M, R and W',
        ),
        (
            "0042-9524-4371",
            '"9" in group 2 is in no code (perhaps 5); codes are made of 0 to 8, F, M, R and W',
        ),
        ("0042-75K4-4371", '"K" in group 2 is in no code; codes are made of 0 to 8, F, M, R and W'),
        (
            "0042-7524-437",
            "this has 11 characters, and a code has whole groups of 4: 1 missing, or 3 too many",
        ),
        (
            "0042-7524-43711",
            "this has 13 characters, and a code has whole groups of 4: 3 missing, or 1 too many",
        ),
        ("", "there is no code here"),
        (
            "0042-7525-4371",
            "one character seems wrong, in group 2; look at that group again, or have it read out",
        ),
        (
            "0042-5724-4371",
            "two neighbours seem to have changed places, in group 2; look again, or have it read out",
        ),
        (
            "0000-0000-0042-7524-4371",
            "this code begins with characters too many; read it again from the sheet",
        ),
        (
            "1111-7524-4371",
            "this code is not right: more than one character is wrong; have it read out again",
        ),
        ("0" * 172, "this has 172 characters, more than any code"),
        (
            "0042-75\x1b4-4371",
            "a character in group 2 is in no code; codes are made of 0 to 8, F, M, R and W",
        ),
    ],
)
def test_what_is_wrong_is_told_with_the_group_to_look_at(typed, told):
    with pytest.raises(WrongCode) as refusal:
        number_of(typed)
    assert str(refusal.value) == told
    assert refusal.value.exit_code == 2


@given(st.text(max_size=60))
def test_whatever_is_typed_is_a_number_or_refused(typed):
    try:
        told = str(number_of(typed))
    except WrongCode as refusal:
        told = str(refusal)
    assert told
    assert told.isprintable()


CODE = "0055-8RM4-3475-15W6-14R2"


@pytest.mark.parametrize(
    ("words", "code", "behind"),
    [
        ([CODE], CODE, ()),
        ([CODE, "7"], CODE, ("7",)),
        ([CODE.lower(), "cylinder-empty"], CODE.lower(), ("cylinder-empty",)),
        ([*CODE.split("-"), "7"], CODE.replace("-", " "), ("7",)),
        ([*CODE.split("-"), "damp", "+", "frost"], CODE.replace("-", " "), ("damp", "+", "frost")),
        ([CODE.replace("R", "W"), "7"], CODE.replace("R", "W"), ("7",)),
        ([*CODE.replace("R", "K").split("-"), "7"], CODE.replace("R", "K").replace("-", " "), ("7",)),
        (["42", "7"], "", ("42", "7")),
        (["1234", "cylinder-empty"], "", ("1234", "cylinder-empty")),
        (["3"], "", ("3",)),
        (["hello"], "", ("hello",)),
    ],
)
def test_a_line_is_a_code_and_what_stands_behind_it_or_the_number_of_a_case(words, code, behind):
    assert split_code(words) == (code, behind)


def test_plain_text_has_no_separators_left():
    assert plain("0055-8rm4 3475.15w6/14r2") == CODE.replace("-", "")
