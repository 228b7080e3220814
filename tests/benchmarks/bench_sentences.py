"""How long a message of 4,096 signs takes to be read, whatever it holds: `python -m tests.benchmarks.bench_sentences`.

Prints the slowest of three readings for each kind of text, ms of processor time: by all readers together, and by each
(cries, sounds of a cry, fire, notes, answers, wishes, half a report, the nearest), without the database. Each text also cut
to 600 signs, the longest report. The texts are invented; several are made to be slow. As in `timeit`, nothing is collected
meanwhile: a full round of the collector takes as long as several messages, and falls on one in thousands.
"""

from __future__ import annotations

import gc
import random
import time
from collections.abc import Callable
from datetime import date

from bot.chat.language import Known, understand
from bot.chat.language.cries import cries, fire, sounds_like_a_cry
from bot.chat.language.replies import reply
from bot.chat.language.statements import half_said
from bot.chat.language.topics import nearest, wanted
from bot.core.garden.snapshot import Garden, Member, Place, PlaceKind
from bot.crops import loader
from bot.i18n import Say, say

SIGNS_N = 4096
TODAY = date(2026, 5, 5)


def texts() -> dict[str, str]:
    rng = random.Random(7)
    words = [
        "planted",
        "watered",
        "beans",
        "bed",
        "1",
        "and",
        "2",
        "not",
        "will",
        "frost",
        "key",
        "who",
        "put",
        "in",
        "pots",
    ]
    words += ["to", "for", "12", "kg", "slugs", "ate", "my", "no", "yes"]
    mixed = " ".join(rng.choice(words) for _ in range(SIGNS_N))
    letters = "".join(chr(rng.randrange(0x21, 0x2FA0)) for _ in range(SIGNS_N))
    found = {
        "one word again and again": "put " * SIGNS_N,
        "words of notes, mixed": mixed,
        "numbers": "1 2 3 4 5 6 7 8 9 10 " * SIGNS_N,
        "bed 1 and 2 and 3": "bed 1 and " + "2 and " * SIGNS_N,
        "from 9 May to": "from 9 May to " * SIGNS_N,
        "no full stop, misspelt": "wattered plantet tomatos cuccumbers " * SIGNS_N,
        "sentences of two words": "Watered beds. " * SIGNS_N,
        "one letter": "a" * SIGNS_N,
        "dashes": "- " * SIGNS_N,
        "signs of any script": letters,
        "emoji": "🍅🥕🌧️" * SIGNS_N,
        "Bengali": "আমি আজ টমেটো লাগিয়েছি " * SIGNS_N,
        "question": "when do i sow peas how deep " * SIGNS_N + "?",
    }
    whole = {name: text[:SIGNS_N] for name, text in found.items()}
    return whole | {f"{name}, 600": text[:600] for name, text in found.items()}


def readers(voice: Say, known: Known) -> list[Callable[[str], object]]:
    return [
        lambda text: cries(voice, text[:1000]),
        lambda text: sounds_like_a_cry(voice, text[:1000]),
        lambda text: fire(text[:1000], voice, to_us=True),
        lambda text: understand(text, voice, known, TODAY),
        lambda text: reply(voice, text),
        lambda text: wanted(text, voice, known),
        lambda text: half_said(text, voice, known),
        lambda text: nearest(text, voice),
    ]


def garden() -> Garden:
    places = [Place(n, f"Bed {n}", PlaceKind.BED, shared=True) for n in range(1, 31)]
    places += [Place(100 + n, f"Pot {n}", PlaceKind.CONTAINER, shared=True) for n in range(1, 31)]
    places += [Place(200, "Tunnel", PlaceKind.TUNNEL), Place(201, "Greenhouse", PlaceKind.GREENHOUSE)]
    members = (Member(1, "Miriam"), Member(2, "Tobias"))
    return Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", members=members, places=tuple(places))


def main() -> None:
    gc.disable()
    crops = loader.load()
    for language in ("en", "pl"):
        voice = say(language, "Europe/London")
        known = Known.of(voice, garden(), crops, ())
        for reader in readers(voice, known):
            reader("watered bed 1")  # lists are read once
        worst = 0.0
        for name, text in texts().items():
            gc.collect()
            slowest: list[float] = []
            for reader in readers(voice, known):
                times = []
                for _ in range(3):
                    began = time.process_time()
                    reader(text)
                    times.append(1000 * (time.process_time() - began))
                slowest.append(max(times))
            worst = max(worst, sum(slowest))
            print(f"{language} {name:<26} {sum(slowest):7.1f} ms  ({', '.join(f'{one:.1f}' for one in slowest)})")
        print(f"{language}: slowest {worst:.1f} ms")


if __name__ == "__main__":
    main()
