"""Nobody is told to harvest what they never planted: plants that share a name with a crop, in the chat."""

from __future__ import annotations

from sqlalchemy import select

from bot.storage.models import Planting
from tests.support.paged import whole
from tests.support.talk import Talk


async def growing(talk: Talk, crop: str) -> list[tuple[str, int]]:
    """(variety, count) of every batch of a crop, as stored."""
    async with talk.stage.app.database.begin() as session:
        rows = await session.execute(
            select(Planting.variety, Planting.count).where(Planting.crop == crop).order_by(Planting.id)
        )
        return [(variety, count) for variety, count in rows]


async def test_everlasting_peas_are_not_written_down_as_peas(talk: Talk) -> None:
    before = await growing(talk, "pea")
    told = await talk.said("Miriam", "planted 20 everlasting peas in Bed 1")
    assert "I don't know the crop “everlasting peas”, so I saved nothing." in told.text
    assert "poisonous" in told.text and not told.keyboard
    assert await growing(talk, "pea") == before


async def test_castor_beans_are_not_offered_as_four_edible_ones(talk: Talk) -> None:
    told = await talk.said("Miriam", "planted 3 castor beans in Bed 1")
    assert not told.keyboard and "Runner beans" not in told.text


async def test_an_unknown_sort_is_asked_about_once_and_then_known(talk: Talk) -> None:
    asked = await talk.said("Miriam", "planted 4 Mortgage Lifter tomatoes in Bed 1")
    assert "I don't know “Mortgage Lifter”." in asked.text and "poisonous" in asked.text
    assert ("Mortgage Lifter", 4) not in await growing(talk, "tomato")
    (kept,) = await talk.press("Miriam", asked, "Yes")
    assert "Planted out: Tomatoes" in kept.text
    assert ("Mortgage Lifter", 4) in await growing(talk, "tomato")
    again = await talk.said("Miriam", "sowed 6 mortgage lifter tomatoes in Bed 1")
    assert "Sown: Tomatoes" in again.text


async def test_no_to_an_unknown_sort_writes_nothing_down(talk: Talk) -> None:
    before = await growing(talk, "sage")
    asked = await talk.said("Miriam", "planted 4 blurry sages in Bed 1")
    (told,) = await talk.press("Miriam", asked, "No")
    assert "did not save it" in told.text and await growing(talk, "sage") == before


async def test_a_harvest_of_everlasting_peas_is_none_of_peas(talk: Talk) -> None:
    assert (
        "I don't know the crop “everlasting peas”"
        in (await talk.said("Miriam", "picked 2 kg of everlasting peas")).text
    )


async def test_the_page_of_a_crop_is_not_shown_for_its_namesake(talk: Talk) -> None:
    for asked in ("everlasting peas", "cow parsley", "wild garlic", "castor beans", "strawberry trees"):
        assert "I don't know that crop" in (await talk.said("Miriam", f"/crop {asked}")).text
    assert "Which one do you mean" in (await talk.said("Miriam", "/crop blurry tomatoes")).text
    assert "Tomatoes" in (await talk.said("Miriam", "/crop 20 red Sungold tomatoes")).text


async def test_in_the_group_a_namesake_is_named_and_small_talk_of_flowers_goes_unremarked(talk: Talk) -> None:
    (told,) = await talk.write("Miriam", "@gatepost_bot planted 20 everlasting peas", group=True)
    assert "I don't know the crop “everlasting peas”" in told.text
    assert await talk.write("Miriam", "planted 20 foxgloves", group=True) == []
    (told,) = await talk.write("Miriam", "@gatepost_bot planted 20 foxgloves", group=True)
    assert "I don't know the crop “foxgloves”" in told.text and "poisonous" in told.text


async def test_sweet_peas_are_flowers_for_the_vase_and_never_food(talk: Talk) -> None:
    before = await growing(talk, "pea")
    told = await talk.said("Miriam", "planted 20 sweet peas in Bed 1")
    assert "Sweet peas" in told.text
    assert await growing(talk, "pea") == before and [n for _, n in await growing(talk, "sweet-pea")] == [20]
    assert "Not food: poisonous." in (await talk.said("Miriam", "/crop sweet peas")).text
    assert "Not food: sweet peas are poisonous" in await whole(talk, "Miriam", "/crop sweet peas")
