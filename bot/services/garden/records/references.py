"""Names that one file uses and another, or the garden itself, must have; crops by any of their names."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from bot.core.growing.crop import Crop
from bot.crops.company import company
from bot.crops.find import fold, match
from bot.crops.own import PREFIX, OwnCrop, key_for, named
from bot.i18n import Say
from bot.services.garden.records.files import Tables
from bot.services.garden.records.problems import Problems, near, shown
from bot.services.garden.records.rows import Row, Rows, same

__all__ = ["check_names", "with_crop_keys"]

_SLIP = 0.75  # difflib ratio of a slip of the pen: "tomatoe" is one of "tomato"; less like, it is another plant

# (file, column) -> the table whose names it uses.
_USES = {
    ("members", "plots"): "plots",
    ("members", "helper"): "members",
    ("plots", "holders"): "members",
    ("places", "plot"): "plots",
    ("supports", "place"): "places",
    ("plantings", "place"): "places",
    ("thermometers", "place"): "places",
    ("free_times", "member"): "members",
    ("aways", "member"): "members",
}


def check_names(tables: Tables, stored: Mapping[str, Iterable[str]], problems: Problems) -> None:
    """Adds each name that nothing has. stored: names of the garden as it is, by table."""
    _check_helpers(tables, problems)
    known = {of: [*stored.get(of, ()), *_named(tables, of)] for of in ("members", "plots", "places")}
    for (file, column), of in _USES.items():
        # Without plots.csv the members' own column makes the plots; a broken file would make every name unknown.
        if of in tables.broken or file not in tables.rows or (column == "plots" and "plots" not in tables.rows):
            continue
        spelt = {same(name) for name in known[of]}
        for row in tables.rows[file].rows:
            for name in _listed(row.values.get(column)):
                if same(name) not in spelt:
                    what = _nobody(of, name, known[of], problems.say)
                    problems.add(what, tables.rows[file].file, row.line, column)


def _check_helpers(tables: Tables, problems: Problems) -> None:
    members = tables.rows.get("members")
    for row in members.rows if members is not None else ():
        name, helper = row.values.get("name"), row.values.get("helper")
        if members is not None and name and helper and same(name) == same(helper):
            what = problems.say.gettext("nobody can be their own helper; write another name, or leave it empty")
            problems.add(what, members.file, row.line, "helper")


def with_crop_keys(
    plantings: Rows, crops: Mapping[str, Crop], own: Mapping[str, OwnCrop], problems: Problems
) -> tuple[Rows, dict[str, str]]:
    """The plantings with each crop as its key; adds each crop that cannot be told. own: by key, of crops.toml.

    Also the plants that no rule is known for, key to name as written: they become crops of the garden's own.
    """
    find = _finder(crops, problems.say)
    rows: list[Row] = []
    unknown: dict[str, str] = {}
    for row in plantings.rows:
        written = row.values.get("crop", "")
        key = key_for(written) if written else ""
        found, wrong = (
            (key, "") if key in own or written.startswith(PREFIX) else find(written) if written else (None, "")
        )
        if found is None and not wrong and written:
            found = key
        if found is not None and found.startswith(PREFIX) and found not in own:
            unknown.setdefault(
                found, named(written.removeprefix(PREFIX).replace("-", " ") if key == written else written)
            )
        if wrong:
            problems.add(wrong, plantings.file, row.line, "crop")
        rows.append(Row(row.line, {**row.values, "crop": found}) if found else row)
    return replace(plantings, rows=tuple(rows)), unknown


def _named(tables: Tables, of: str) -> list[str]:
    names = [row.values["name"] for row in tables.rows[of].rows if "name" in row.values] if of in tables.rows else []
    if of == "plots" and "plots" not in tables.rows and "members" in tables.rows:
        names += [name for row in tables.rows["members"].rows for name in row.values.get("plots", ())]
    return names


def _listed(value: Any) -> tuple[str, ...]:
    return value if isinstance(value, tuple) else (value,) if value else ()


def _nobody(of: str, name: str, known: Iterable[str], say: Say) -> str:
    likely, value = near(name, known), shown(name)
    if likely:
        return {
            "members": say.gettext(
                "no member is called '{value}'; did you mean '{likely}'?", value=value, likely=likely
            ),
            "plots": say.gettext("no plot is called '{value}'; did you mean '{likely}'?", value=value, likely=likely),
            "places": say.gettext("no place is called '{value}'; did you mean '{likely}'?", value=value, likely=likely),
        }[of]
    return {
        "members": say.gettext("no member is called '{value}'; add a line to members.csv", value=value),
        "plots": say.gettext("no plot is called '{value}'; add a line to plots.csv", value=value),
        "places": say.gettext("no place is called '{value}'; add a line to places.csv", value=value),
    }[of]


def _finder(crops: Mapping[str, Crop], say: Say) -> Callable[[str], tuple[str | None, str]]:
    """A function from what a cell says to the crop's key, or to what is wrong with it; neither for an unknown plant."""
    exact = {fold(key): key for key in crops}
    names = {key: (crop.name, *crop.aliases) for key, crop in crops.items()}
    local = {} if say.language == "en" else {say.pgettext("crop", crop.name): key for key, crop in crops.items()}

    def find(word: str) -> tuple[str | None, str]:
        if key := exact.get(fold(word)):
            return key, ""
        found = match(word, names, local, company(say.language).others)
        if found is None:
            likely = near(word, [*crops, *(crop.name for crop in crops.values())], _SLIP)
            return None, _no_crop(word, likely, say) if likely or not key_for(word).removeprefix(PREFIX) else ""
        if not found.keys:
            return None, _no_crop(word, None, say)
        if len(found.keys) > 1:
            known = say.or_list([shown(key) for key in found.keys])
            return None, say.gettext(
                "'{value}' may mean different crops; write {known}", value=shown(word), known=known
            )
        whole = found.sure and found.words == fold(word)
        return (found.keys[0], "") if whole else (None, _no_crop(word, found.keys[0], say))

    return find


def _no_crop(word: str, likely: str | None, say: Say) -> str:
    if likely:
        return say.gettext("'{value}' is not a crop; did you mean '{likely}'?", value=shown(word), likely=likely)
    return say.gettext("'{value}' is not a crop that Gatepost knows; write its usual English name", value=shown(word))
