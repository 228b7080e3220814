"""The sets of sentences, held to what they were read with; the counts of each: `python -m tests.understanding.play`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.understanding.play import counts, judged, learn, on_lane, read_set

#: Least share that is right, and most that is taken wrongly. Of the kept sets, to which nobody tunes, as measured less
#: two in a hundred.
BOUNDS = {
    "en_tune": (0.95, 0.005), "pl_tune": (0.95, 0.005), "en_second": (0.94, 0.01),
    "en_opened": (0.95, 0.005), "pl_opened": (0.95, 0.005), "ar_opened": (0.95, 0.005),
    **dict.fromkeys(("cy_second", "pt_second", "bn_second", "uk_second", "ar_second"), (0.95, 0.008)),
    **dict.fromkeys(("cy_third", "bn_third", "ar_third", "en_third", "pl_third", "pt_third", "uk_third"), (0.88, 0.015)),
    **dict.fromkeys(("en_fourth", "cy_fourth", "bn_fourth", "ar_fourth", "pt_fourth", "uk_fourth"), (0.86, 0.015)),
    **dict.fromkeys(("en_fifth", "cy_fifth", "bn_fifth", "ar_fifth"), (0.87, 0.015)),
    "en_kept": (0.89, 0.03), "pl_kept": (0.94, 0.02), "ar_kept": (0.94, 0.03),
    "cy_kept": (0.91, 0.04), "uk_kept": (0.93, 0.02), "pt_kept": (0.92, 0.02), "bn_kept": (0.94, 0.03),
    "en_last": (0.91, 0.02), "pl_last": (0.94, 0.04), "uk_last": (0.87, 0.02), "pt_last": (0.89, 0.02),
    "ar_last": (0.84, 0.04), "cy_last": (0.81, 0.075), "bn_last": (0.80, 0.04),
}  # fmt: skip


@pytest.mark.parametrize("name", BOUNDS)
async def test_sentences_are_taken_as_meant(name: str, tmp_path: Path) -> None:
    least, most = BOUNDS[name]
    async with on_lane(tmp_path) as lane:
        await learn(lane)
        verdicts = [await judged(lane, line) for line in read_set(name)]
    found = counts(verdicts)["all"]
    total = sum(found.values()) - found["not put"]
    assert found["right"] >= least * total, found
    assert found["wrong"] <= most * total, found
    assert found["obeyed"] == 0


@pytest.mark.parametrize(
    ("name", "least"),
    [
        ("en_tune", 200),
        ("en_kept", 200),
        ("pl_tune", 125),
        ("pl_kept", 125),
        *((f"{code}_kept", 60) for code in ("cy", "uk", "ar", "pt", "bn")),
    ],
)
def test_the_sets_are_large_and_apart(name: str, least: int) -> None:
    texts = {line["text"] for line in read_set(name)}
    others = {line["text"] for other in BOUNDS if other != name for line in read_set(other)}
    assert len(texts) >= least
    assert not texts & others
