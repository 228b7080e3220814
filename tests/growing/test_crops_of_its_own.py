"""A plant without a rule is kept and protected; organisers say what it is like; one file takes it to another garden."""

from __future__ import annotations

import base64
import tomllib

import pytest
from sqlalchemy import select

from bot.core.garden.snapshot import Stage
from bot.core.growing.crop import NOT_FOOD, Hardiness
from bot.crops.loader import load
from bot.crops.own import Frost, OwnCrop, built, from_toml, key_for, to_toml
from bot.services.growing import rules
from bot.storage.garden import gardens
from bot.storage.models import Outbox, Planting
from bot.storage.models import OwnCrop as Row
from tests.support.talk import Talk


async def _rules(talk: Talk) -> dict[str, object]:
    async with talk.stage.app.database.begin() as session:
        (garden,) = await gardens.all_gardens(session)
        return dict(await rules.of_garden(session, garden.id))


async def test_a_plant_without_a_rule_is_asked_about_kept_and_protected_as_tender(talk: Talk) -> None:
    asked = await talk.said("Miriam", "planted 4 yacon in Bed 1")
    assert "I don't know “yacon”" in asked.text and "poisonous" in asked.text
    kept = await talk.press("Miriam", asked, "Yes, save the crop")
    assert any("yacon" in one.text.casefold() for one in kept), [one.text for one in kept]
    async with talk.stage.app.database.begin() as session:
        (planting,) = await session.scalars(select(Planting).where(Planting.crop == "own-yacon"))
        assert planting.count == 4
        (garden,) = await gardens.all_gardens(session)
        rule = (await rules.of_garden(session, garden.id))["own-yacon"]
    assert rule.hardiness is Hardiness.TENDER and rule.kind in NOT_FOOD
    assert rule.cold.damage_c(Stage.GROWING) == load()["tomato"].cold.damage_c(Stage.GROWING)
    assert set(rule.sources.values()) == {"garden"}


@pytest.mark.parametrize(
    "said",
    ["planted everything in Bed 1", "we planted out more stuff in Bed 1 yesterday", "sowed some seeds in Bed 1",
     "planted all day in Bed 1", "sowed the rest in Bed 1"],
)  # fmt: skip
async def test_words_that_name_no_plant_are_not_taken_for_one(talk: Talk, said: str) -> None:
    assert "I don't know “" not in (await talk.said("Miriam", said)).text


async def test_a_plant_that_is_not_to_be_kept_is_not(talk: Talk) -> None:
    asked = await talk.said("Miriam", "planted 4 yacon in Bed 1")
    await talk.press("Miriam", asked, "No")
    assert "own-yacon" not in await _rules(talk)


async def test_a_known_namesake_is_refused_as_before(talk: Talk) -> None:
    told = await talk.said("Miriam", "planted 4 cow parsley in Bed 1")
    assert "poisonous" in told.text
    assert not any(key.startswith("own-") for key in await _rules(talk))


async def test_an_organiser_says_that_it_is_as_another_crop(talk: Talk) -> None:
    told = await talk.said("Miriam", "/own yacon as oca")
    assert "like Oca" in told.text and "This garden said so" in told.text
    async with talk.stage.app.database.begin() as session:
        (garden,) = await gardens.all_gardens(session)
        crops = await rules.of_garden(session, garden.id)
    mine, like = crops["own-yacon"], crops["oca"]
    assert (mine.cold, mine.harvest, mine.safety) == (like.cold, like.harvest, like.safety)
    assert set(mine.sources.values()) == {"garden"}
    about = await talk.said("Tobias", "/crop yacon")
    assert "yacon" in about.text


async def test_five_questions_are_asked_one_after_the_other_in_one_message(talk: Talk) -> None:
    asked = await talk.said("Miriam", "/own cosmos flowers")
    for answer, then in (
        ("No", "2 of 5"), ("Frost kills it", "3 of 5"), ("May", "4 of 5"), ("Jul", "stop picking"), ("Oct", "5 of 5"),
    ):  # fmt: skip
        (asked,) = await talk.press("Miriam", asked, answer)
        assert then in asked.text
    (told,) = await talk.press("Miriam", asked, "30")
    assert "frost kills it" in told.text and "not food" in told.text and "July to October" in told.text
    async with talk.stage.app.database.begin() as session:
        (garden,) = await gardens.all_gardens(session)
        own = (await rules.own_crops_of(session, garden.id))["own-cosmo-flower"]
    assert own == OwnCrop("cosmos flowers", "", False, Frost.KILLS, 5, (7, 10), 30)


async def test_only_organisers_say_what_a_crop_is_like(talk: Talk) -> None:
    asked = await talk.said("Miriam", "/own yacon")
    assert "one of the organisers" in (await talk.said("Tobias", "/own yacon as oca")).text
    assert await talk.press("Tobias", asked, "Yes")
    async with talk.stage.app.database.begin() as session:
        (garden,) = await gardens.all_gardens(session)
        assert (await rules.own_crops_of(session, garden.id))["own-yacon"].eaten is None


async def test_the_file_takes_them_to_another_garden(talk: Talk) -> None:
    await talk.said("Miriam", "/own yacon as oca")
    await talk.write("Miriam", "/own file")
    async with talk.stage.app.database.begin() as session:
        rows = await session.scalars(select(Outbox).where(Outbox.method == "sendDocument"))
        data = base64.b64decode(list(rows)[-1].payload["document"]["file"])
        (garden,) = await gardens.all_gardens(session)
        for own in await session.scalars(select(Row).where(Row.garden_id == garden.id)):
            await session.delete(own)
    assert tomllib.loads(data.decode())["yacon"] == {"name": "yacon", "like": "oca"}
    (shown,) = await talk.send_file("Miriam", "crops.toml", data)
    assert "yacon" in shown.text
    await talk.press("Miriam", shown, "Save the changes")
    assert "own-yacon" in await _rules(talk)


def test_the_file_is_read_as_the_standard_library_reads_it_and_comes_back_the_same() -> None:
    mine = {
        "own-dahlia": OwnCrop(
            "Dahlia's – “Bishop”".replace("–", "-").replace("“", "").replace("”", ""), "potato-maincrop"
        ),
        key_for("Żywokost"): OwnCrop("Żywokost", "", True, Frost.STANDS, 4, (5, 9), 60),
    }
    text = to_toml(mine)
    assert {row["name"] for row in tomllib.loads(text).values()} == {own.name for own in mine.values()}
    assert {own.name: own for own in from_toml(text.encode()).values()} == {own.name: own for own in mine.values()}


def test_every_answer_about_frost_is_a_hardiness_of_the_shared_rules() -> None:
    crops = load()
    for frost, like in ((Frost.KILLS, "tomato"), (Frost.STANDS, "broad-bean")):
        found = built("own-x", OwnCrop("x", frost=frost), crops)
        assert found.cold.hardened_c == crops[like].cold.hardened_c and found.hardiness is crops[like].hardiness
