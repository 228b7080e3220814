"""The calendar: lines become drafts, drafts are published and pinned, the pin is edited, members only look."""

from __future__ import annotations

from dataclasses import replace

from icalendar import Calendar

from tests.support.paged import pages
from tests.support.rings import lines_of
from tests.support.talk import Talk

LINES = "/calendar 12-20 May plant out runner beans\nfirst Saturday of the month work day 10-12"


async def test_published_lines_are_pinned_once_and_the_pin_is_edited_afterwards(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    assert "runner beans" in preview.text and "work day" in preview.text
    assert not talk.group()
    await talk.press("Miriam", preview, "Publish the entries")
    (pinned,) = talk.group()
    assert "runner beans" in pinned.text
    more = await talk.said("Miriam", "/calendar 3 June seed swap")
    await talk.press("Miriam", more, "Publish the entries")
    (still_one,) = talk.group()
    assert "seed swap" in still_one.text and still_one.edits


async def test_publishing_twice_finds_nothing_the_second_time(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    first = await talk.press("Miriam", preview, "Publish the entries")
    assert any("2" in message.text for message in first)
    (second,) = await talk.press("Miriam", preview, "Publish the entries")
    assert "nothing left" in second.text


async def test_dropped_lines_never_reach_the_group(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    await talk.press("Miriam", preview, "Delete the entries")
    assert not talk.group()
    assert "runner beans" not in (await talk.said("Owen", "/calendar")).text


async def test_a_member_only_looks(talk: Talk) -> None:
    refused = await talk.said("Owen", LINES)
    assert "organisers" in refused.text and not refused.keyboard


async def test_the_file_opens_in_another_program_and_keeps_its_uids(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    await talk.press("Miriam", preview, "Publish the entries")

    async def uids() -> set[str]:
        sent = await talk.said("Owen", "/calendar file")
        data = talk.stage.api.files[sent.file_id or ""]
        return {str(event["UID"]) for event in Calendar.from_ical(data).walk("VEVENT")}

    first = await uids()
    assert len(first) == 2
    assert await uids() == first


async def test_the_picture_comes_with_words_for_those_who_can_not_see_it(talk: Talk) -> None:
    preview = await talk.said("Miriam", LINES)
    await talk.press("Miriam", preview, "Publish the entries")
    shown = await talk.said("Owen", "/calendar picture")
    assert shown.kind == "photo" and "runner beans" in shown.text


async def test_a_season_is_proposed_taken_and_published(talk: Talk) -> None:
    proposed = await talk.said("Miriam", "/calendar propose")
    assert "Tomatoes" in proposed.text
    (taken,) = await talk.press("Miriam", proposed, "All of these")
    (again,) = await talk.press("Miriam", proposed, "All of these")
    assert taken.text == again.text
    await talk.press("Miriam", taken, "Publish the entries")
    assert talk.group()
    refused = await talk.said("Owen", "/calendar propose")
    assert "organisers" in refused.text


async def test_planting_out_before_a_frost_is_flagged_once_and_moved_by_a_tap(talk: Talk) -> None:
    preview = await talk.said("Miriam", "/calendar 5 May plant out courgettes")
    await talk.press("Miriam", preview, "Publish the entries")
    list(talk.stage.fresh())
    await talk.stage.tick()
    await talk.stage.tick()
    miriam = talk.stage.user("Miriam")
    flagged = [one for one in talk.stage.fresh() if one.chat_id == miriam and "does not fit" in one.text]
    assert len(flagged) == 1
    labels = [key["text"] for row in flagged[0].keyboard for key in row]
    if "Move the entry" in labels:
        moved = await talk.press("Miriam", flagged[0], "Move the entry")
        assert any("Moved to" in one.text for one in moved)


async def test_why_the_proposed_days_are_what_they_are_is_one_tap_away(talk: Talk) -> None:
    proposed = await talk.said("Miriam", "/calendar propose")
    assert "Hardening takes" not in proposed.text
    (why,) = await talk.press("Miriam", proposed, "Why these days")
    assert "Hardening takes 10 to 14 days." in why.text and why.text.count("I don't know the frosts") == 1
    forged = replace(proposed, keyboard=[[{"text": "x", "callback_data": "cal:why:0-999"}]])
    (nothing,) = await talk.press("Miriam", forged, "x")
    assert "no longer in my plan" in nothing.text


async def test_a_long_calendar_shows_what_comes_first_and_all_by_a_tap(talk: Talk) -> None:
    preview = await talk.said("Miriam", "/calendar " + "\n".join(f"{day} May job number {day}" for day in range(6, 26)))
    await talk.press("Miriam", preview, "Publish the entries")
    first, everything = await pages(talk, "Owen", "/calendar")
    assert lines_of(first.text) <= 12 and "job number 6" in first.text and "job number 25" not in first.text
    assert "job number 6" in everything.text and "job number 25" in everything.text
