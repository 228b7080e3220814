"""The loader finds every slip in a crop file, all of them at once, and says file, key, value and what is expected."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest

from bot.crops.loader import PACKAGED, load, load_rules
from bot.crops.mistakes import CropRulesError
from bot.crops.reading import FIELDS, LIMITS


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of rules with the tomato alone, and only the sources that it cites."""
    rules = tmp_path / "crops"
    rules.mkdir()
    shutil.copy(PACKAGED / "tomato.toml", rules)
    tomato = (rules / "tomato.toml").read_text("utf-8")
    blocks = (PACKAGED / "sources.toml").read_text("utf-8").split("\n[")
    kept = [f"[{block}" for block in blocks[1:] if f'"{block.partition("]")[0]}"]' in tomato]
    (rules / "sources.toml").write_text("\n".join(kept), "utf-8")
    return rules


def changed(folder: Path, old: str, new: str) -> None:
    text = (folder / "tomato.toml").read_text("utf-8")
    assert text.count(old) >= 1, old
    (folder / "tomato.toml").write_text(text.replace(old, new, 1), "utf-8")


def lines(folder: Path) -> list[str]:
    with pytest.raises(CropRulesError) as caught:
        load(folder)
    return str(caught.value).splitlines()


def test_a_good_folder_loads(folder: Path) -> None:
    assert list(load(folder)) == ["tomato"]


def test_all_mistakes_of_all_files_are_told_at_once(folder: Path) -> None:
    shutil.copy(folder / "tomato.toml", folder / "oca.toml")
    (folder / "yam.toml").write_text("name = [", "utf-8")
    changed(folder, "tender_c = [0.0", "tender_c = [31")
    changed(folder, 'life = "annual"', 'life = "anual"')
    told = "\n".join(lines(folder))
    assert "crops/tomato.toml: cold.tender_c is 31, expected -30 to 10" in told
    assert "crops/tomato.toml: life is anual, expected annual?" in told
    assert "crops/tomato.toml: aliases is Tomatoes, expected a name that crops/oca.toml has not" in told
    assert "crops/yam.toml: file is " in told


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            'weeks_lost = [8, "practice"]',
            'weeks_lots = [8, "practice"]',
            "cold.weeks_lots is unknown, expected cold.weeks_lost?",
        ),
        ('weeks_lost = [8, "practice"]', "", "cold.weeks_lost is missing, expected [value, source]"),
        ('weeks_lost = [8, "practice"]', "weeks_lost = 8", "cold.weeks_lost is 8, expected [value, source]"),
        (
            'weeks_lost = [8, "practice"]',
            'weeks_lost = [8.5, "practice"]',
            "cold.weeks_lost is 8.5, expected a whole number",
        ),
        (
            'weeks_lost = [8, "practice"]',
            'weeks_lost = [true, "practice"]',
            "cold.weeks_lost is True, expected a whole number",
        ),
        (
            '[10.0, "hennepin2014"]',
            '[-1.0, "hennepin2014"]',
            "cold.tender_c is 0, expected at most cold.chilling_c, which is -1",
        ),
        ("hardened_c = [0.0", "hardened_c = [2.0", "cold.hardened_c is 2, expected at most cold.tender_c, which is 0"),
        (
            'soil_min_c = [10.0, "harrington2013"]',
            'soil_min_c = [10.0, "harington2013"]',
            "sowing.soil_min_c is from harington2013, expected a source: harrington2013?",
        ),
        (
            '["02-20", "04-15"]',
            '["02-30", "04-15"]',
            "sowing.indoors is ['02-30', '04-15'], expected days of the year, as \"MM-DD\"",
        ),
        ('["02-20", "04-15"]', '["02-20"]', 'sowing.indoors is [\'02-20\'], expected two days, as ["MM-DD", "MM-DD"]'),
        (
            "[[10, 43], [15, 14], [20, 8]]",
            "[[15, 14], [10, 43]]",
            "expected degrees ascending, with days that do not rise",
        ),
        ("[8, 9]", "[9, 8]", "raising.ready_weeks is [9, 8], expected the lower first"),
        ('ready = "full-colour"', 'ready = "full-color"', "harvest.ready is full-color, expected full-colour?"),
        (
            '["tomato-potato-foliage"]',
            '["tomato-foliage"]',
            "safety is tomato-foliage, expected tomato-potato-foliage?",
        ),
        ('what = "blight"', 'what = "blite"', "watch.blite.what is blite, expected blight?"),
        (
            "damaged = true",
            "damaged = false",
            "examples is 3 read, expected one [[examples]] that fires and one that does not",
        ),
        (
            'out = [["05-15", "06-20"], "fowler2021"]',
            "",
            "planting.out is missing, expected a value, since it is sown indoors",
        ),
        ("keeps = false", "keeps = 0", "harvest.keeps is 0, expected true or false"),
        ("kc = [[0.6, 1.15, 0.8]", "kc = [[0.6, 1.15]", "care.kc is [0.6, 1.15], expected 3 values"),
        ("soil_c = 12.0", "", "examples.soil_c is missing, expected a value"),
    ],
)
def test_each_slip_is_told_in_one_line(folder: Path, old: str, new: str, told: str) -> None:
    changed(folder, old, new)
    assert any(line.startswith("crops/tomato.toml: ") and told in line for line in lines(folder)), lines(folder)


def test_a_source_that_nothing_cites_is_a_mistake(folder: Path) -> None:
    with (folder / "sources.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n[idle2001]\nauthor = "A"\nyear = "2001"\ntitle = "T"\nwhere = "p. 1"\nread_on = 2026-11-25\nvia = "x"\n'
        )
        file.write('\n[idle2002]\nauthor = "A"\nyear = 2002\ntitle = "T"\nwhere = "p. 1"\nread_on = 2026-11-25\n')
    assert lines(folder) == [
        "crops/sources.toml: idle2001.year is 2001, expected a year",
        "crops/sources.toml: idle2002 is cited by no crop, expected a source that a figure cites",
    ]


def test_a_table_that_is_missing_is_told_once_and_not_key_by_key(folder: Path) -> None:
    text = (folder / "tomato.toml").read_text("utf-8")
    start, end = text.index("[cold]"), text.index("[sowing]")
    (folder / "tomato.toml").write_text(text[:start] + text[end:], "utf-8")
    about_tomato = [line for line in lines(folder) if "tomato" in line]
    assert about_tomato == ["crops/tomato.toml: cold is missing, expected a table"]


def test_every_number_has_a_limit_and_every_limit_a_number() -> None:
    days = {
        "sowing.indoors", "sowing.under_cover", "sowing.outdoors", "sowing.autumn", "sowing.chit", "planting.out",
        "cold.shoots",
        "harvest.window", "harvest.flowering",
    }  # fmt: skip
    assert {key for key, one in FIELDS.items() if one.figure} - days == set(LIMITS)


def test_every_figure_of_every_crop_has_a_source() -> None:
    crops, sources, _ = load_rules()
    for crop in crops.values():
        assert "cold.tender_c" in crop.sources and "care.kc" in crop.sources, crop.key
        assert set(crop.sources.values()) <= {*sources, "practice"}, crop.key
        assert all(f"watch.{watch.what.value}.season" in crop.sources for watch in crop.watch), crop.key


def test_loading_all_rules_is_quick(tmp_path: Path) -> None:
    shutil.copytree(PACKAGED, tmp_path / "crops")
    started = time.process_time()
    assert len(load(tmp_path / "crops")) > 30
    assert time.process_time() - started < 0.5  # some 75 ms on one slow core; the bound only catches a blunder


def test_what_load_gives_can_be_changed_without_harm_to_the_next() -> None:
    load().clear()
    assert load()
