"""The calendar: lines become drafts, drafts are published and pinned, the pin is edited, members only look."""

from __future__ import annotations

from icalendar import Calendar

from tests.dialogues.talk import Talk

LINES = "/calendar 12-20 May plant out runner beans\nfirst Saturday of the month work day 10-12"


async def test_published_lines_are_pinned_once_and_the_pin_is_edited_afterwards(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    assert "runner beans" in preview.text and "work day" in preview.text
    assert not talk.group()
    await talk.press("Miriam", preview, "Publish")
    (pinned,) = talk.group()
    assert "runner beans" in pinned.text
    more = await talk.said("Miriam", "/calendar 3 June seed swap")
    await talk.press("Miriam", more, "Publish")
    (still_one,) = talk.group()
    assert "seed swap" in still_one.text and still_one.edits


async def test_publishing_twice_finds_nothing_the_second_time(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    first = await talk.press("Miriam", preview, "Publish")
    assert any("2" in message.text for message in first)
    (second,) = await talk.press("Miriam", preview, "Publish")
    assert "nothing left" in second.text


async def test_dropped_lines_never_reach_the_group(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    await talk.press("Miriam", preview, "Drop")
    assert not talk.group()
    assert "runner beans" not in (await talk.said("Owen", "/calendar")).text


async def test_a_member_only_looks(talk: Talk) -> None:
    refused = await talk.said("Owen", LINES)
    assert "organisers" in refused.text and not refused.keyboard


async def test_the_file_opens_in_another_program_and_keeps_its_uids(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    await talk.press("Miriam", preview, "Publish")

    async def uids() -> set[str]:
        sent = await talk.said("Owen", "/calendar file")
        data = talk.stage.api.files[sent.file_id or ""]
        return {str(event["UID"]) for event in Calendar.from_ical(data).walk("VEVENT")}

    first = await uids()
    assert len(first) == 2
    assert await uids() == first


async def test_the_picture_comes_with_words_for_those_who_can_not_see_it(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    await talk.press("Miriam", preview, "Publish")
    shown = await talk.said("Owen", "/calendar picture")
    assert shown.kind == "photo" and "runner beans" in shown.text
