"""How many figures of the crop rules have a published source: `python -m tests.benchmarks.bench_sources`.

Prints the share that is marked as common practice, of all figures and without the two by which this program ranks
(`harvest.order`, `cold.weeks_lost`), which are no facts of the trade; then each kind of figure, most of them unsourced first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from bot.crops.loader import load
from bot.crops.reading import PRACTICE

RANKS = ("harvest.order", "cold.weeks_lost")


def figures() -> list[tuple[str, str]]:
    """(kind of figure, source) of every figure of every crop; seasons to watch in are one kind."""
    return [
        ("watch.season" if key.startswith("watch.") else key, source)
        for crop in load().values()
        for key, source in crop.sources.items()
    ]


def practice_share(found: Iterable[tuple[str, str]]) -> float:
    known = [source for _, source in found]
    return sum(source == PRACTICE for source in known) / len(known)


def main() -> None:
    found = figures()
    facts = [one for one in found if one[0] not in RANKS]
    for name, part in (("all figures", found), ("without ranks", facts)):
        print(f"{name}: {len(part)}, common practice {100 * practice_share(part):.1f} %")
    total = Counter(key for key, _ in found)
    unsourced = Counter(key for key, source in found if source == PRACTICE)
    for key, count in unsourced.most_common():
        print(f"  {key:<26} {count:>4} of {total[key]}")


if __name__ == "__main__":
    main()
