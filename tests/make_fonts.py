"""Makes the fonts of bot/pictures/fonts/: `python -m tests.make_fonts FOLDER`.

FOLDER holds the Noto Sans fonts, one a script, as Debian's package fonts-noto-core unpacks them. Pillow takes one font for
a line, and a line may have names of several scripts, so they are merged into one: the first font that has a letter gives
it. All of them are under the SIL Open Font License 1.1, and so is what comes of it, under a name of its own.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from tempfile import TemporaryDirectory

from fontTools import subset
from fontTools.merge import Merger, Options
from fontTools.ttLib import TTFont

from bot.pictures.sheet import BOLD, REGULAR

#: Those of Gatepost's languages first, then what else people's names are written in where it is at home.
_SCRIPTS = ("", "Arabic", "Bengali", "Hebrew", "Devanagari", "Gujarati", "Gurmukhi", "Tamil")
#: Arrows and ticks, which are the same in both weights.
_SIGNS = {"NotoSansMath-Regular.ttf": range(0x2190, 0x2194), "NotoSansSymbols2-Regular.ttf": (0x2610, 0x2611, 0x2713)}
_FAMILY = "Gatepost Sans"


def main() -> int:
    if len(sys.argv) != 2 or not Path(sys.argv[1]).is_dir():
        print("python -m tests.make_fonts FOLDER, of the package fonts-noto-core", file=sys.stderr)  # noqa: T201
        return 2
    source = Path(sys.argv[1])
    for weight, target in (("Regular", REGULAR), ("Bold", BOLD)):
        wanted = {f"NotoSans{script}-{weight}.ttf": None for script in _SCRIPTS} | _SIGNS
        with TemporaryDirectory() as folder:
            parts, had = [], set[int]()
            for n, (name, signs) in enumerate(wanted.items()):
                font = TTFont(source / name)
                letters = set(font.getBestCmap())
                _cut(font, (letters if signs is None else letters & set(signs)) - had)
                had |= letters if signs is None else set(signs)
                parts.append(str(Path(folder) / f"{n}.ttf"))
                font.save(parts[-1])
            whole = Merger(options=Options(drop_tables=["vmtx", "vhea", "MATH"])).merge(parts)
        _named(whole, weight)
        whole.save(target)
    return 0


def _cut(font: TTFont, letters: Iterable[int]) -> None:
    """Only some letters, with all their shapes."""
    cutter = subset.Subsetter(subset.Options(layout_features=["*"], hinting=False, notdef_outline=True))
    cutter.populate(unicodes=letters)
    cutter.subset(font)


def _named(font: TTFont, weight: str) -> None:
    names = font["name"]
    whole = f"{_FAMILY} {weight}"
    said = {1: _FAMILY, 2: weight, 3: whole, 4: whole, 6: whole.replace(" ", ""), 16: _FAMILY, 17: weight}
    for record in list(names.names):
        if record.nameID in said:
            names.setName(said[record.nameID], record.nameID, record.platformID, record.platEncID, record.langID)


if __name__ == "__main__":
    sys.exit(main())
