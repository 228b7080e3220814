"""The platform's HTML. Tags, references and UTF-16 offsets: Bot API 10.0, "Formatting options" and MessageEntity."""

from __future__ import annotations

from html import escape

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.chat.wire.markup import MarkupError, mark_plain, parse_html, strip_tags


def test_the_examples_of_the_published_page_are_read() -> None:
    # Bot API, "HTML style": nested entities and links.
    text, entities = parse_html('<b>bold <i>italic</i></b> <a href="http://www.example.com/">inline URL</a>')
    assert text == "bold italic inline URL"
    assert [(entity["type"], entity["offset"], entity["length"]) for entity in entities] == [
        ("bold", 0, 11),
        ("italic", 5, 6),
        ("text_link", 12, 10),
    ]


def test_offsets_count_utf16_code_units() -> None:
    # MessageEntity: "Offset in UTF-16 code units"; a seedling is one character and two units (Unicode, U+1F331).
    _, entities = parse_html("🌱 <b>peas</b>")
    assert (entities[0]["offset"], entities[0]["length"]) == (3, 4)


@pytest.mark.parametrize(
    ("html", "words"),
    [
        ("I <3 & co", "Unsupported start tag"),
        ("<b>peas", "Can't find end tag"),
        ("peas</b>", "Unexpected end tag"),
        ("<b><i>peas</b></i>", "Unmatched end tag"),
        ("<table>peas</table>", 'Unsupported start tag "table"'),
        ("<a>peas</a>", "must have attribute href"),
    ],
)
def test_bad_html_is_refused_in_the_platforms_words(html: str, words: str) -> None:
    with pytest.raises(MarkupError, match=words):
        parse_html(html)


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=40))
@settings(max_examples=60)
def test_escaped_text_of_any_kind_arrives_as_written(text: str) -> None:
    assert parse_html(f"<b>{escape(text)}</b>")[0] == text


def test_stripping_keeps_what_only_looks_like_a_tag() -> None:
    assert strip_tags("<b>Sow</b> <i>if</i> I <3 peas &amp; beans") == "Sow if I <3 peas & beans"


def test_commands_and_mentions_are_marked_in_what_people_write() -> None:
    marks = [(mark["type"], mark["offset"], mark["length"]) for mark in mark_plain("🌱 /week@gatepost_bot ask @amira")]
    assert marks == [("bot_command", 3, 18), ("mention", 26, 6)]
    assert mark_plain("3/4 full, mail me@example.org") == []
