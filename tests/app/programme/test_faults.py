"""Each kind of mistake: one message, in its line, with its cause and what to write."""

import random
import re

import pytest

from app.errors import ProgrammeError
from app.programme import read_programme, supplied_programme, supplied_text

TEXT = supplied_text()
REQUIRED = 'seen_by = "required_inspection"'
PART = re.compile(r"\[\[condition\]\]\nkey = \"swing\".*?(?=\[\[condition\]\]\n)", re.DOTALL)
PINS = re.compile(r"\[\[item\]\]\nkey = \"restored_pins\".*?(?=\[\[item\]\])", re.DOTALL)
FIRST = '[[item]]\nkey = "attachments"'

# What is changed, into what, in which line of the changed text the fault is, and its words.
ONE_FAULT = {
    "unknown key": (
        '\nlimit_of = "pressure at', '\nlimit_off = "pressure at', 'limit_off = "',
        "limit_off is not a known key: the nearest known key is limit_of",
    ),
    "key of another table": (
        'limit = "by_eye"', 'limit = "by_eye"\nquestion = "?"', 'question = "?"',
        "question is not a known key: it belongs in [[feature]]",
    ),
    "missing key": (
        '[[item]]\nkey = "axle"\ntitle = "Axle"', '[[item]]\nkey = "axle"', 'key = "axle"',
        'title is missing: write title = "…"',
    ),
    "a number for a limit": (
        'limit = "document"', "limit = 5.0", "limit = 5.0",
        "limit = 5.0 is not known: write one of leg_data, document, by_eye",
    ),
    "unknown method": (
        'method = "count"', 'method = "counting"', '"counting"',
        "method = 'counting' is not known: the nearest known one is count",
    ),
    "unknown caution": (
        '"settling", "chrome", "phones_and_cards"', '"settling", "crome"', '"crome"',
        "cautions names crome, and there is no [[caution]] of this key: the nearest known one is chrome",
    ),
    "unknown data of the leg": (
        '"strut.piston_diameter_mm"', '"strut.piston_diametr_mm"', "diametr",
        "which is no key of LEG.toml: the nearest known one is strut.piston_diameter_mm",
    ),
    "unknown answer": (
        '{ shimmy_damper = ["reservoir"] }', '{ shimmy_damper = ["resevoir"] }', "resevoir",
        "shimmy_damper has no answer resevoir: the nearest known one is reservoir",
    ),
    "required inspection from the photo": (
        REQUIRED, f'{REQUIRED}\nseen_from = "photo"', f'{REQUIRED}\nseen_from',
        "a required inspection is seen at the aircraft",
    ),
    "no photo to see it from": (
        'title = "Axle"', 'title = "Axle"\nseen_from = "photo"', 'title = "Axle"\nseen_from',
        "a hand and eye leaves no photo to see it from",
    ),
    "hoses beside the eye": (
        'title = "Axle"', 'title = "Axle"\nsearches = ["hose"]', 'title = "Axle"\nsearches',
        "hoses are searched on photos as a method of their own: write method = photo_search",
    ),
    "a surface beside a gauge": (
        'method = "gauge_reading"', 'method = "gauge_reading"\nsearches = ["surface"]', 'searches = ["surface"]\n'
        'instrument', "searches says nothing for a gauge reading",
    ),
    "gauge without instrument": (
        'instrument = "tire gauge"\n', "", 'method = "gauge_reading"\nquantity',
        "a gauge reading needs instrument: write instrument too",
    ),
    "leg's limit without data": (
        'needs = ["tire.pressure_lower_kPa or tire.pressure_upper_kPa", "tire.pressure_state"]\n', "",
        'limit = "leg_data"\nlimit_of = "pressure, loaded',
        "a limit from the leg's data needs to say which",
    ),
    "key twice": (
        '"axle_nut"', '"axle"', '"axle"\ntitle = "Axle nut', "another item has this key, in line",
    ),
    "a sign nobody sees": (
        '"Torque links"\ngroup', '"Torque\\u202Elinks"\ngroup', "u202E", "cannot be shown (U+202E)",
    ),
    "the word that is never said": (
        '"Torque links"\ngroup', '"Leg is Airworthy"\ngroup', "Airworthy",
        'title says "airworthy": this record never does',
    ),
    "empty list": (
        'opening = ["before_first_photo", "photo_limits", "phones_and_cards"]', "opening = []", "opening =",
        "opening = [] is not a list of texts",
    ),
}  # fmt: skip


def faults_of(text: str) -> list[str]:
    with pytest.raises(ProgrammeError) as caught:
        read_programme(text, "own.toml")
    head, *faults = str(caught.value).split("\n")
    assert re.fullmatch(r"own\.toml: (1 fault|\d+ faults) in this programme", head)
    return faults


@pytest.mark.parametrize("kind", ONE_FAULT)
def test_one_mistake_gives_one_message_in_its_line(kind: str) -> None:
    before, after, marker, words = ONE_FAULT[kind]
    text = TEXT.replace(before, after, 1)
    assert text != TEXT
    (told,) = faults_of(text)
    # A marker of two lines tells two like lines apart; the fault is in the line of its last word
    # for what was put in, in the first for what is missing.
    start = text.index(marker)
    lines = {text[:start].count("\n") + 1, text[: start + len(marker)].count("\n") + 1}
    assert int(re.match(r"  line (\d+): ", told)[1]) in {*lines, *(n - 1 for n in lines)}  # type: ignore[index]
    assert words in told


def test_three_mistakes_give_three_messages() -> None:
    text = TEXT.replace('method = "hand_and_eye"', 'metod = "hand_and_eye"', 1)
    text = text.replace('group = "tire"', 'group = "tyre"')
    text = text.replace(REQUIRED, 'seen_by = "required_inspector"', 1)
    told = faults_of(text)
    assert len(told) == 3
    assert ["metod" in told[0], "required_inspector" in told[1], "tyre (and 4 more below)" in told[2]] == [
        True
    ] * 3


def test_a_condition_left_out_is_one_fault_and_no_other_one_is_suggested() -> None:
    (told,) = faults_of(PART.sub("", TEXT))
    assert "condition names swing (and 8 more below), and there is no [[condition]] of this key" in told
    assert told.endswith(": write a [[condition]] for it")


def test_one_item_out_of_the_walk_round_is_one_fault_in_its_own_line() -> None:
    pins = PINS.search(TEXT)
    assert pins is not None
    text = TEXT.replace(pins[0], "").replace(FIRST, pins[0] + FIRST)
    (told,) = faults_of(text)
    line = text[: text.index('key = "restored_pins"')].count("\n")
    assert told.startswith(
        f"  line {line}: item restored_pins: it is out of the walk-round's order (restored"
    )


@pytest.mark.parametrize("value", ["9" * 5000, "[" * 3000 + "]" * 3000])
def test_what_the_reader_cannot_take_is_told_with_its_line(value: str) -> None:
    text = TEXT.replace("[[feature]]", f"[[feature]]\nx = {value}", 1)
    (told,) = faults_of(text)
    line = text[: text.index("\nx = ")].count("\n") + 2
    assert told.startswith(f"  line {line}: no valid TOML: ")


def test_windows_line_ends_change_neither_version_nor_lines() -> None:
    windows = TEXT.replace("\n", "\r\n")
    assert read_programme(windows, "own.toml").version == supplied_programme().version
    broken = TEXT.replace('method = "count"', 'method = "counting"', 1)
    assert faults_of(broken.replace("\n", "\r\n")) == faults_of(broken)


def test_files_of_shuffled_values_raise_nothing_but_the_named_error() -> None:
    # Valid TOML nearly always, so that what comes after the syntax is reached; seed 11.
    drawn = random.Random(11)
    rows = TEXT.split("\n")
    values = [row.split(" = ", 1)[1] for row in rows if re.fullmatch(r"\w+ = [\"\[{].*[\"\]}]", row)]
    values += ["3", "true", "1979-05-27", "nan", "[[1], {}]", "{a = 1}", "[]", '""', "[{key = 1}]"]
    names = ["key", "title", "guide", "zzz", "method", "item", "statement", "only_where"]
    heads = ["[[item]]", "[[group]]", "[x]", "[[condition]]", "[[condition.statement]]", "[[itemm]]"]
    reached = 0
    for _ in range(150):
        changed = list(rows)
        for _ in range(drawn.randint(1, 4)):
            at = drawn.randrange(len(rows))
            if rows[at].startswith("[["):
                changed[at] = drawn.choice(heads)
            elif " = " in rows[at]:
                name, value = rows[at].split(" = ", 1)
                changed[at] = drawn.choice(
                    [f"{name} = {drawn.choice(values)}", f"{drawn.choice(names)} = {value}", ""]
                )
        try:
            read_programme("\n".join(changed), "own.toml")
        except ProgrammeError as error:
            told = str(error).split("\n")[1:]
            assert told
            assert all(re.match(r"  line [1-9]\d*: ", one) for one in told)
            reached += "no valid TOML" not in told[0]
    assert reached > 40
