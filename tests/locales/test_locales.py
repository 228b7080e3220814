"""The translations are in order, the gate has teeth, and plurals and dates are those of CLDR."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from textwrap import dedent

import pytest
from babel.messages import Catalog
from babel.messages.pofile import read_po

from bot import i18n
from bot.chat.people.language import buttons
from bot.crops.loader import load_rules
from bot.i18n import LANGUAGES, say
from tests.bring_texts import bring
from tests.locale_gate import extracted, shares, slips, table
from tests.open_data import ROOT
from tests.safety_words import safety_texts, to_review
from tests.support.texts_in_code import Texts, texts_in

TEMPLATE = dedent("""
    msgid ""
    msgstr "Content-Type: text/plain; charset=utf-8\\n"

    msgid "Done"
    msgstr ""

    msgid "Water: {where}."
    msgstr ""

    msgid "<b>Frost</b> tonight"
    msgstr ""

    msgid "{n} can"
    msgid_plural "{n} cans"
    msgstr[0] ""
    msgstr[1] ""

    msgctxt "calendar"
    msgid "early;mid|middle;late"
    msgstr ""

    msgctxt "numbers"
    msgid "one/first|two"
    msgstr ""
""")
POLISH = dedent("""
    # Checked by: nobody
    msgid ""
    msgstr ""
    "Content-Type: text/plain; charset=utf-8\\n"
    "Plural-Forms: nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);\\n"

    msgid "Done"
    msgstr "Zrobione"

    msgid "Water: {where}."
    msgstr "Podlać: {where}."

    msgid "<b>Frost</b> tonight"
    msgstr "Dziś w nocy <b>mróz</b>"

    msgid "{n} can"
    msgid_plural "{n} cans"
    msgstr[0] "jedna konewka"
    msgstr[1] "{n} konewki"
    msgstr[2] "{n} konewek"

    msgctxt "calendar"
    msgid "early;mid|middle;late"
    msgstr "początek;połowa;koniec"

    msgctxt "numbers"
    msgid "one/first|two"
    msgstr "jeden/pierwszy|dwa"
""")
TEXTS = Texts(hidden=(), labels=frozenset({"Done"}), ordered=frozenset({"one/first|two"}))


@pytest.fixture(scope="module")
def sources() -> Catalog:
    return extracted()


PORTUGUESE = POLISH.replace(
    "nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);",
    "nplurals=2; plural=(n != 1);",
).replace('msgstr[2] "{n} konewek"\n', "")


def found(
    folder: Path, polish: str, template: str = TEMPLATE, sources: str = TEMPLATE, texts: Texts = TEXTS
) -> list[str]:
    """What the gate says about a catalogue; the other languages are not there."""
    (folder / "pl" / "LC_MESSAGES").mkdir(parents=True)
    (folder / "gatepost.pot").write_text(template, encoding="utf-8")
    (folder / "pl" / "LC_MESSAGES" / "gatepost.po").write_text(polish, encoding="utf-8")
    found = map(str, slips(folder, read_po(BytesIO(sources.encode())), texts))
    return [slip for slip in found if not slip.endswith("is missing; run pybabel init: ''")]


def test_the_catalogues_pass_the_gate(sources: Catalog) -> None:
    assert [str(slip) for slip in slips(ROOT / "locales", sources, texts_in(ROOT / "bot"))] == []


def test_the_name_of_every_crop_is_extracted(sources: Catalog) -> None:
    crops, _, _ = load_rules()
    assert {str(message.id) for message in sources if message.context == "crop"} == {
        crop.name for crop in crops.values()
    }


def test_a_catalogue_without_a_slip_passes(tmp_path: Path) -> None:
    assert found(tmp_path, POLISH) == []


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ('msgstr "Zrobione"', 'msgstr ""', "is not translated"),
        ('msgid "Done"', '#, fuzzy\nmsgid "Done"', "is marked fuzzy"),
        ('msgid "Done"\nmsgstr "Zrobione"', "", "is missing"),
        ('msgid "Done"\n', 'msgid "Gone"\nmsgstr "Nie ma"\n\nmsgid "Done"\n', "no longer said"),
        ('msgstr[2] "{n} konewek"\n', "", "not in every plural form"),
        ('"{n} konewek"', '"wiele konewek"', "other placeholders"),
        ('"jedna konewka"', '"jedna konewka z {where}"', "other placeholders"),
        ("Podlać: {where}.", "Podlać: {gdzie}.", "other placeholders"),
        ("Podlać: {where}.", "Podlać.", "other placeholders"),
        ("Podlać: {where}.", "Podlać: {where.", "no valid format"),
        ("Podlać: {where}.", "Podlać: {where.__class__}.", "no valid format"),
        ("Podlać: {where}.", "Podlać: {where}. ", "begins or ends with a space"),
        ("<b>mróz</b>", "mróz", "gains or loses a tag"),
        ("<b>mróz</b>", "<b>mróz</b> <i>zły</i>", "gains or loses a tag"),
        ("<b>mróz</b>", "<b>mróz</b> & wiatr", "gains or loses a tag"),
        ("Zrobione", "Wszystko już jest zrobione", "over 20 on a button"),
        ("początek;połowa;koniec", "początek;koniec", "number of parts between ;"),
        ("jeden/pierwszy|dwa", "jeden|pierwszy|dwa", "number of parts between |"),
        ("jeden/pierwszy|dwa", "jeden/|dwa", "empty alternative"),
        ("plural=(n==1 ? 0", "plural=(n==0 ? 0", "Plural-Forms should be"),
        ("Podlać:", "Podlać\u202e:", "turns the direction of writing"),
        ("# Checked by: nobody", "# By hand", "should say who has checked it"),
    ],
)
def test_each_kind_of_slip_is_refused(tmp_path: Path, right: str, wrong: str, said: str) -> None:
    assert right in POLISH
    (slip,) = found(tmp_path, POLISH.replace(right, wrong, 1))
    assert slip.startswith("pl: gatepost.po: ") and said in slip


def test_a_template_that_lags_behind_the_sources_is_refused(tmp_path: Path) -> None:
    said = found(tmp_path, POLISH, template=TEMPLATE.replace('"Done"', '"Gone"'))
    assert sorted(said) == [
        "gatepost.pot: no longer said; run task extract: 'Gone'",
        "gatepost.pot: not in the template; run task extract: 'Done'",
    ]


def test_a_missing_language_is_refused(tmp_path: Path) -> None:
    (tmp_path / "gatepost.pot").write_text(TEMPLATE, encoding="utf-8")
    said = list(slips(tmp_path, read_po(BytesIO(TEMPLATE.encode())), TEXTS))
    assert [slip.file[:2] for slip in said] == list(LANGUAGES)[1:] and all("is missing" in slip.what for slip in said)


@pytest.mark.parametrize("glued", [" (between {low} and {high})", "From "])
def test_a_glued_piece_of_a_sentence_is_refused(tmp_path: Path, glued: str) -> None:
    template, polish = (text.replace('"Done"', f'"{glued}"').replace('"Zrobione"', f'"{glued.strip()}"')
                        for text in (TEMPLATE, POLISH))  # fmt: skip
    (slip,) = found(tmp_path, polish, template, template)
    assert "begins or ends with a space" in slip


@pytest.mark.parametrize(
    ("line", "hidden"),
    [
        ('say.gettext("Water it.")', 0),
        ('say.gettext("Water " "it.")', 0),
        ('say.gettext(f"Water {it}.")', 1),
        ('say.gettext("Water " + it)', 1),
        ("say.ngettext('One', many, 3)", 1),
        ("say.pgettext('task', name)", 1),
        ("say.pgettext('crop', crop.name)", 0),
        ("words('verbs of sowing', english)", 1),
    ],
)
def test_a_text_that_extraction_cannot_see_is_told(tmp_path: Path, line: str, hidden: int) -> None:
    (tmp_path / "wording.py").write_text(line, encoding="utf-8")
    assert len(texts_in(tmp_path).hidden) == hidden


def test_the_labels_of_buttons_that_come_back_are_found(tmp_path: Path) -> None:
    code = 'rows = [[(say.gettext("Done"), f"done:{n}"), (say.gettext("Open"), address)]]'
    (tmp_path / "keyboards.py").write_text(code, encoding="utf-8")
    assert texts_in(tmp_path).labels == {"Done"}


def in_part(folder: Path, language: str, text: str) -> list[str]:
    """What the gate says about a catalogue of a language that may be there in part."""
    (folder / language / "LC_MESSAGES").mkdir(parents=True)
    (folder / "gatepost.pot").write_text(TEMPLATE, encoding="utf-8")
    (folder / language / "LC_MESSAGES" / "gatepost.po").write_text(text, encoding="utf-8")
    said = slips(folder, read_po(BytesIO(TEMPLATE.encode())), TEXTS)
    return [slip.what for slip in said if slip.file.startswith(language)]


# The words are Polish: only the shape is tried.
@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("", "", []),
        ('msgstr "Zrobione"', 'msgstr ""', []),
        ('msgid "Done"\nmsgstr "Zrobione"\n', "", []),
        ('msgstr[0] "jedna konewka"\nmsgstr[1] "{n} konewki"', 'msgstr[0] ""\nmsgstr[1] ""', []),
        ('msgstr[0] "jedna konewka"', 'msgstr[0] ""', ["not in every plural form"]),
        ("Podlać: {where}.", "Podlać: {gdzie}.", ["other placeholders"]),
        ('msgid "Done"\n', 'msgid "Gone"\nmsgstr "Nie ma"\n\nmsgid "Done"\n', ["no longer said"]),
        (
            "plural=(n != 1)",
            "plural=(n > 1)",
            ["Plural-Forms should be", "other placeholders"],
        ),  # 0 is in the form that spells out 1
    ],
)
def test_a_language_may_be_there_in_part_but_what_is_there_is_right(
    tmp_path: Path, right: str, wrong: str, said: list[str]
) -> None:
    assert right in PORTUGUESE
    found = in_part(tmp_path, "pt", PORTUGUESE.replace(right, wrong, 1))
    assert len(found) == len(said) and all(part in slip for part, slip in zip(said, found, strict=True))


def test_the_share_of_a_language_is_counted(tmp_path: Path) -> None:
    text = PORTUGUESE.replace('msgstr "Zrobione"', 'msgstr ""').replace("by: nobody", "by: Ana, of Lisbon")
    in_part(tmp_path, "pt", text.replace('msgstr[0] "jedna konewka"', 'msgstr[0] ""'))
    share = next(one for one in shares(tmp_path, read_po(BytesIO(TEMPLATE.encode()))) if one.language == "pt")
    assert (share.done_n, share.all_n, share.percent, share.checked_by) == (4, 6, 66, "Ana, of Lisbon")
    assert "| Português (pt) | 66 % | 0 of 0 | Ana, of Lisbon |" in table([share])


def test_the_longest_names_must_fit_where_the_platform_takes_little(tmp_path: Path) -> None:
    # Bot API 10.0: a command's description has 1 to 256 characters. A name has 80 (core/people/names.py).
    texts = Texts(hidden=(), labels=frozenset(), ordered=frozenset(), short={"Water: {where}.": 256})
    assert found(tmp_path / "a", POLISH.replace("Podlać:", "P" * 173 + ":"), texts=texts) == []
    (slip,) = found(tmp_path / "b", POLISH.replace("Podlać:", "P" * 174 + ":"), texts=texts)
    assert "is over 256 where the platform takes no more" in slip


def test_what_the_platform_wants_short_is_found_in_the_sources() -> None:
    short = texts_in(ROOT / "bot").short
    assert short["the language I speak with you"] == 256
    assert sorted(set(short.values())) == [256, 512]


def test_texts_about_safety_are_found_and_come_first() -> None:
    assert {"The leaves are poisonous.", "No ladders. Do not go in wind or thunder."} <= safety_texts()
    assert "From now on I speak English with you." not in safety_texts()
    catalogue = Catalog("pt")
    for english, other in (("Done", ""), ("The leaves are poisonous.", "x"), ("Are you safely home?", "")):
        catalogue.add(english, other)
    shown = [message.id for message in to_review(catalogue) if message.id]
    assert shown == ["Are you safely home?", "The leaves are poisonous."]


def test_what_a_catalogue_lacks_is_said_in_english(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = PORTUGUESE.replace('msgstr "Zrobione"', 'msgstr ""').replace("jedna konewka", "uma lata")
    text += '\nmsgid "{n} pot"\nmsgid_plural "{n} pots"\nmsgstr[0] ""\nmsgstr[1] ""\n'
    in_part(tmp_path / "locales", "pt", text)
    monkeypatch.setattr(i18n, "project_folder", lambda name: tmp_path / name)
    i18n._catalogue.cache_clear()
    try:
        voice = say("pt", "UTC")
        assert voice.gettext("Done") == "Done"
        assert voice.ngettext("{n} can", "{n} cans", 1) == "uma lata"
        assert voice.ngettext("{n} pot", "{n} pots", 5) == "5 pots"
        assert voice.pgettext("numbers", "one/first|two") == "jeden/pierwszy|dwa"
        assert voice.pgettext("numbers", "three|four") == "three|four"
    finally:
        i18n._catalogue.cache_clear()


def test_every_language_can_be_chosen_on_a_narrow_phone() -> None:
    rows = buttons("lang:", but="pl")
    assert [data for row in rows for _, data in row] == [f"lang:{code}" for code in LANGUAGES if code != "pl"]
    # Three to a row: at most 36 letters at 40 a line (common practice, no source).
    assert all(sum(len(label) + 2 for label, _ in row) <= 36 for row in rows)


def test_what_a_person_brings_in_is_taken_where_it_is_right() -> None:
    ours = read_po(BytesIO(PORTUGUESE.encode()), locale="pt")
    sent = """
        msgid ""
        msgstr "Content-Type: text/plain; charset=utf-8\\n"

        msgid "Done"
        msgstr "Feito"

        msgid "Water: {where}."
        msgstr "Regar."

        msgid "<b>Frost</b> tonight"
        msgstr ""

        msgid "The moon"
        msgstr "A lua"
    """
    taken_n, refused = bring(ours, read_po(BytesIO(dedent(sent).encode()), locale="pt"), TEXTS)
    said = {str(message.id): message.string for message in ours}
    assert taken_n == 1 and said["Done"] == "Feito"
    water, moon = refused
    assert "Water" in water and "placeholders" in water and "do not say" in moon
    assert said["Water: {where}."] == "Podlać: {where}." and "mróz" in str(said["<b>Frost</b> tonight"])


@pytest.mark.parametrize("language", LANGUAGES)
def test_choices_in_lists_of_phrases_are_written_out(
    language: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / language / "LC_MESSAGES"
    folder.mkdir(parents=True)
    (folder / "gatepost.po").write_text(
        'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'
        'msgctxt "verbs"\nmsgid "x"\nmsgstr "[have/has] [done/finished] it|plain|a [b/c]"\n',
        encoding="utf-8",
    )
    monkeypatch.setattr(i18n, "project_folder", lambda name: tmp_path)
    i18n._catalogue.cache_clear()
    try:
        assert say(language, "UTC").pgettext("verbs", "x").split("|") == [
            "have done it", "have finished it", "has done it", "has finished it", "plain", "a b", "a c"
        ]  # fmt: skip
    finally:
        i18n._catalogue.cache_clear()
