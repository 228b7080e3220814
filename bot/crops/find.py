"""Which crop a person means: finds the names of crops in written phrases. Pure text, no rules needed.

The words beside a crop's name: what changes nothing, and what makes of it another plant, which may be poisonous.

Everlasting peas are no peas, and cow parsley is no parsley. So a name is sure only when every word beside it, up to
where the name of a plant begins or ends, is an ordinary one or of a known variety. Plants on the list `others` are never
taken for a crop, and neither is any crop's name with one of the words of `elsewhere` beside it.

Named as poisonous, and in the list for that: Lathyrus (but the sweet pea, which is a crop), castor bean (NSW DPI, Garden
plants poisonous to people; Encyclopaedia Britannica, Toxic Tuesdays, 2010); lily of the valley and autumn crocus taken
for wild garlic (BfR, 2023; ANSES, 2023); foxglove for comfrey (Wilcox, Mother Earth Living, 2011); monkshood for
horseradish (Canadian Food Inspection Agency, 2001, read via CSANews 38); potato and wild plants in Tokyo
Metropolitan Government, Poisonous plants easily mistaken for harmless ones; Polish ones: PSSE Choszczno, gov.pl,
19 July 2023. The rest of the list is from memory: other plants by a crop's name, many of them of no harm.
"""

from __future__ import annotations

import unicodedata
from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cache, lru_cache

import regex
from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.i18n import say

# What NFKD does not take apart, and the apostrophe, which people leave out.
# Arabic: ends of words that people write in two ways, letters of other keyboards, and the stroke that stretches a word;
# letters that are two in writing and one in the speech of cities, and those of Iraq and the Gulf.
_LETTERS = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "æ": "ae", "œ": "oe", "’": "", "'": ""}
    | {"ة": "ه", "ى": "ي", "ی": "ي", "ک": "ك", "\N{ARABIC TATWEEL}": ""}
    | {"ذ": "د", "ظ": "ض", "گ": "ق", "چ": "ك", "پ": "ب", "ڤ": "ف"}
)
_NEAR = 0.75  # share of letters right (optimal string alignment) from which a misspelt name is worth asking about
#: Between words: neither a letter nor a mark that belongs to one (a vowel sign is part of its cluster), nor a number.
_BETWEEN = regex.compile(r"[^\p{L}\p{M}\p{N}]+")
#: Combining classes of marks that people leave out: accents, and the vowel points of Hebrew and Arabic.
_ACCENTS = frozenset({*range(10, 37), *range(200, 241)})
_NOT_CROPS = frozenset(
    {"bulb", "bush", "crown", "leave", "plant", "root", "set", "tree", "tuber", "vine"}
)  # they end several names, but name no crop
# Crops that are no kind of what their names end with: "potatoes" are no sweet potatoes, "beans" no field beans.
_WHOLE_ONLY = frozenset({"chinese-cabbage", "field-bean", "sweet-potato", "yardlong-bean"})
_PLURAL_ONLY = frozenset({"early", "green"})  # "earlies" and "greens" are crops, "early" and "green" only adjectives
_SHORT = 4  # shorter words are too like each other to guess from
_ARABIC = regex.compile(r"\p{Arabic}")
#: One of those letters, but in what would be another word: "then" and "done", "a third" and "three", "dung" and "she watered".
_TH = regex.compile(r"(?<!ثل|\bرو)ث(?!م\b|لث)")
#: A letter that is drawn out ("tamaaam"), and the silent last letter of "they did", which people leave off.
_DRAWN_OUT = regex.compile(r"(\p{Arabic})\1\1+")
_SILENT = regex.compile(r"\b(?![وف]?(?:[بعكله]?ال|لل))(\w{3,}و)ا\b")
_STEM, _ENDING, _LEAST = 4, 3, 3  # letters of a word that declension leaves, may put on or take off, leaves at least

Words = tuple[str, ...]
_Index = tuple[dict[Words, set[str]], dict[Words, set[str]], int]  # whole names, ends of several, words of the longest
#: The last mappings with their index; never changed once they are asked with.
_MADE: deque[tuple[Mapping[str, Sequence[str]], Mapping[str, str], _Index]] = deque(maxlen=4)
_NONE: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Found:
    """keys: of the crops that it can be, sorted; more than one when the words are ambiguous ("beans"); none for another
    plant, which is no crop at all ("sweet peas").

    words: the part of the phrase that named them. sure: False for a guess at a misspelling, which must be asked about.
    """

    keys: tuple[str, ...]
    words: str
    sure: bool = True


def match(
    text: str,
    names: Mapping[str, Sequence[str]],
    local: Mapping[str, str] | None = None,
    others: Set[Words] = frozenset(),
    *,
    guess: bool = True,
) -> Found | None:
    """The crop that an English phrase names, or one in the reader's language; None when there is nothing like one.

    names: crop key -> its English names and aliases. local: localised name -> crop keys, parted by spaces. The longest
    name wins, then the earliest. Case, accents, hyphens, and singular or plural do not matter. Words that end the names of
    several crops ("beans" of "runner beans") name all of those, unless they are a whole name themselves. others: names of plants
    that are no crops, folded and in the singular; where one stands, it is found and no crop within it. guess: whether to
    look for a misspelling, too.
    """
    said = fold(text).split()
    whole, ends, longest = _index(names, local or _NONE)
    for gram, plain in _grams(said, max(longest, *map(len, others), 0)):
        if gram[-1] in _PLURAL_ONLY:
            continue
        if keys := whole.get(gram) or whole.get(plain):
            return Found(tuple(sorted(keys)), " ".join(gram))
        if plain in others:
            return Found((), " ".join(gram))
        if keys := ends.get(plain):
            return Found(tuple(sorted(keys)), " ".join(gram))
    return None if not guess else _near(said, {**{name: set[str]() for name in others}, **whole})


def alike(left: str, right: str) -> bool:
    """The same word in another case or gender: alike up to an ending. Arabic does not decline: there, the very word."""
    if _ARABIC.match(left):
        return left == right
    common = next((n for n, (a, b) in enumerate(zip(left, right, strict=False)) if a != b), min(len(left), len(right)))
    rest = max(len(left), len(right)) - common
    if common == min(len(left), len(right)) == _LEAST:
        return rest < _ENDING
    return common >= _STEM and rest <= _ENDING


def stem(word: str) -> str:
    """What all words that are `alike` have in common."""
    return word[: min(_LEAST, _STEM)]


def is_plural(word: str) -> bool:
    """Whether an English word stands in the plural by its look; asparagus does not."""
    return _one(word) != word and not word.endswith("us")


def singular(words: Sequence[str]) -> Words:
    """Regular English plurals cut back, word by word."""
    return tuple(map(_one, words))


@lru_cache(4096)  # every name of every crop is asked for at each message
def fold(text: str) -> str:
    """Lower case without accents, every run of other signs one space."""
    lower = unicodedata.normalize("NFKD", text).casefold().translate(_LETTERS)
    apart = unicodedata.normalize("NFKD", lower)
    bare = "".join(sign for sign in apart if unicodedata.combining(sign) not in _ACCENTS)
    plain = _BETWEEN.sub(" ", bare).strip()
    if not _ARABIC.search(plain):
        return plain
    return _SILENT.sub(r"\1", _DRAWN_OUT.sub(r"\1", _TH.sub("ت", plain)))


def _index(names: Mapping[str, Sequence[str]], local: Mapping[str, str]) -> _Index:
    """As made for the same two mappings before: they are asked for with every run of words of a message."""
    for given, others, index in _MADE:
        if given is names and others is local:
            return index
    index = _indexed(names, local)
    _MADE.append((names, local, index))
    return index


def _indexed(names: Mapping[str, Sequence[str]], local: Mapping[str, str]) -> _Index:
    """Whole names, and the ends that several English ones share, each to the crops that they can mean."""
    whole: dict[Words, set[str]] = defaultdict(set)
    ends: dict[Words, set[str]] = defaultdict(set)
    for key, own in names.items():
        for name in own:
            words = singular(fold(name).split())
            whole[words].add(key)
            for start in range(1, len(words) if key not in _WHOLE_ONLY else 0):
                ends[words[start:]].add(key)
    for name, key in local.items():
        whole[tuple(fold(name).split())].update(key.split())
    several = {words: keys for words, keys in ends.items() if len(keys) > 1 and words[-1] not in _NOT_CROPS}
    return whole, several, max(map(len, whole), default=0)


def _grams(said: Sequence[str], longest: int) -> Iterator[tuple[Words, Words]]:
    """Runs of words, the longest first and then the earliest, as they stand and in the singular."""
    for length in range(min(longest, len(said)), 0, -1):
        for start in range(len(said) - length + 1):
            gram = tuple(said[start : start + length])
            yield gram, singular(gram)


def _one(word: str) -> str:
    """A regular English plural cut back; both sides are cut alike, so a word that only looks plural still fits."""
    for plural, one in (("ies", "y"), ("oes", "o"), ("shes", "sh"), ("ches", "ch")):
        if word.endswith(plural) and len(word) > len(plural) + 1:
            return word.removesuffix(plural) + one
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def _near(said: Sequence[str], whole: Mapping[Words, set[str]]) -> Found | None:
    spelt = {" ".join(words): keys for words, keys in whole.items()}
    for gram, plain in _grams(said, max(map(len, whole), default=0)):
        phrase = " ".join(plain)
        near = process.extractOne(phrase, spelt.keys(), scorer=OSA.normalized_similarity, score_cutoff=_NEAR)
        if near is not None and len(phrase) >= _SHORT:
            return Found(tuple(sorted(spelt[near[0]])), " ".join(gram), sure=False)
    return None


@dataclass(frozen=True, slots=True)
class Company:
    """others: names of plants that are no crops, folded and in the singular; declined: those of a language with cases.

    elsewhere: words that make another plant of any crop. plain: words that change nothing. bounds: where a plant's name
    ends or begins. nameless: words that stand where a plant's name would, or before it, and name none. cased: those of
    them that may have other endings; None in a language without cases.
    """

    others: frozenset[Words]
    declined: tuple[Words, ...]
    elsewhere: frozenset[str]
    plain: frozenset[str]
    bounds: frozenset[str]
    cased: frozenset[str] | None = None
    nameless: frozenset[str] = frozenset()

    def is_elsewhere(self, words: Iterable[str]) -> bool:
        """Whether one of them makes another plant; an ordinary word is not taken for a form of one that does."""
        ordinary = self.plain | self.bounds
        return any(
            word in self.elsewhere or (word not in ordinary and self._among(word, self.elsewhere)) for word in words
        )

    def unknown(
        self, before: Sequence[str], name: Sequence[str], after: Sequence[str], varieties: frozenset[str]
    ) -> tuple[str, ...]:
        """The words before and after a name that may change what it means: neither plain nor of `varieties`.

        before, after: the folded words beside the name, as far as they may belong to it. After an English plural
        begins something else ("tomatoes look well"); after a singular the name may go on ("strawberry trees").
        """
        front = self._strange(before[::-1], varieties)[::-1]
        plural = bool(name) and self.cased is None and is_plural(name[-1])
        return front if plural else (*front, *self._strange(after, varieties))

    def _strange(self, words: Sequence[str], varieties: frozenset[str]) -> tuple[str, ...]:
        found = []
        for word in words:
            if word in self.bounds:
                break
            if not self._among(word, self.plain) and word not in varieties:
                found.append(word)
        return tuple(found)

    def _among(self, word: str, known: frozenset[str]) -> bool:
        if word in known or singular([word])[0] in known:
            return True
        return self.cased is not None and any(
            alike(word, one) for one in _likely(known, self.cased).get(stem(word), ())
        )


@cache
def _likely(known: frozenset[str], cased: frozenset[str]) -> dict[str, list[str]]:
    """Words that may have other endings, by what all that are alike share."""
    found: dict[str, list[str]] = {}
    for word in known & cased:
        found.setdefault(stem(word), []).append(word)
    return found


@cache
def company(language: str) -> Company:
    """The lists of one language with the English ones: many write both."""
    own, english = _Lists.of(language), _Lists.of("en")
    return Company(
        others=frozenset(singular(name) for name in own.others + english.others),
        declined=tuple(name for name in own.others if name not in english.others),
        elsewhere=own.elsewhere | english.elsewhere,
        plain=own.plain | english.plain,
        bounds=own.bounds | english.bounds,
        nameless=_nameless(language) | _nameless("en"),
        cased=None if language == "en" else (own.elsewhere | own.plain) - (english.elsewhere | english.plain),
    )


@dataclass(frozen=True, slots=True)
class _Lists:
    others: tuple[Words, ...]
    elsewhere: frozenset[str]
    plain: frozenset[str]
    bounds: frozenset[str]

    @classmethod
    def of(cls, language: str) -> _Lists:
        return cls(_others(language), _elsewhere(language), _plain(language), _bounds(language))


def _others(language: str) -> tuple[Words, ...]:
    text = say(language, "UTC").pgettext(
        "plants that are no crops, though their names or looks are like one",
        # Lathyrus and other poisonous peas and beans
        "everlasting pea|perennial pea|grass pea|chickling pea|rosary pea|crabs eye pea|precatory pea|"
        "golden pea|darling pea|glory pea|coral pea|butterfly pea|flat pea|black pea|marsh pea|tangier pea|scurfy pea|"
        "pea shrub|pea tree|castor bean|castor oil bean|"
        "castor oil plant|jequirity|jequirity bean|jack bean|sword bean|calabar bean|ordeal bean|mescal bean|coral bean|"
        "lucky bean|"
        "black bean tree|bean tree|buck bean|bog bean|indian bean|st ignatius bean|yam bean|velvet bean|"
        # of the carrot family, and by its names
        "cow parsley|fools parsley|hemlock parsley|hedge parsley|spotted parsley|"
        "poison parsley|parsley fern|cow parsnip|water parsnip|"
        "meadow parsnip|hemlock|water hemlock|water dropwort|hemlock water dropwort|giant hogweed|hogweed|water celery|"
        "giant fennel|hogs fennel|dog fennel|"
        # of the onion family, and what is taken for it
        "wild garlic|bears garlic|crow garlic|false garlic|society garlic|garlic mustard|garlic chives|sea onion|"
        "climbing onion|house leek|houseleek|lily of the valley|autumn crocus|colchicum|bluebell|"
        # of the potato family, and by its names
        "deadly nightshade|black nightshade|woody nightshade|nightshade|thorn apple|angels trumpet|henbane|"
        "jerusalem cherry|winter cherry|potato vine|potato tree|potato bush|potato creeper|air potato|"
        "duck potato|black pepper|water pepper|wall pepper|szechuan pepper|pepper dulse|pepper tree|pepper bush|"
        # other namesakes
        "jerusalem sage|russian sage|blue sage|diviners sage|"
        "red sage|yellow sage|wood sage|bog rosemary|marsh rosemary|bog myrtle|cat thyme|"
        "skunk cabbage|cabbage palm|cabbage tree|sea kale|yellow rocket|dames rocket|sweet rocket|indian turnip|"
        "devils turnip|giant rhubarb|squirting cucumber|cucumber tree|strawberry tree|mock strawberry|"
        "barren strawberry|flowering currant|cape gooseberry|asparagus fern|mint bush|"
        "corn cockle|corncockle|corn lily|corn poppy|"
        "corn marigold|cornflower|opium lettuce|prickly lettuce|water lettuce|opium poppy|poppy|horse radish|horseradish|"
        "wild carrot|"
        # poisonous plants of gardens, never food
        "monkshood|aconite|wolfs bane|wolfsbane|foxglove|laburnum|yew|oleander|lords and ladies|arum|hellebore|"
        "false hellebore|bryony|white bryony|black bryony|ornamental gourd|lupin|delphinium|larkspur",
    )  # fmt: skip
    return tuple(tuple(fold(name).split()) for name in text.split("|"))


def _elsewhere(language: str) -> frozenset[str]:
    return _words(
        say(language, "UTC").pgettext(
            "words that make another plant of any crop's name",
            "wild|false|fools|mock|poison|poisonous|deadly|ornamental|devils|snake|crow|dog|hemlock|castor|everlasting|"
            "marsh|bog|sea|skunk|weed|nightshade",
        )
    )


def _plain(language: str) -> frozenset[str]:
    return _words(
        say(language, "UTC").pgettext(
            "words beside a crop's name that change nothing",
            "new|old|young|little|small|tiny|big|bigger|large|largest|huge|giant|tall|short|long|round|flat|thin|thick|fat|"
            "pointed|pointy|mini|baby|midi|dwarf|bush|bushy|climbing|trailing|creeping|cordon|curly|curled|smooth|hot|mild|"
            "early|earlier|earliest|late|later|latest|first|second|third|last|main|maincrop|spring|summer|autumn|winter|"
            "overwintering|overwintered|hardy|tender|red|green|yellow|white|black|purple|orange|golden|gold|pink|brown|blue|"
            "cream|scarlet|bronze|rainbow|striped|stripy|stripey|mottled|mixed|assorted|dark|pale|bright|fresh|ripe|unripe|"
            "good|best|better|lovely|nice|beautiful|great|gorgeous|fine|tasty|delicious|perfect|healthy|strong|sturdy|weak|"
            "leggy|spindly|sad|poor|sick|wilted|wilting|thirsty|dry|surviving|remaining|leftover|spare|extra|more|many|few|"
            "several|other|next|same|enough|organic|grafted|rooted|potted|chitted|chitting|sprouted|bare|root|rooted|own|"
            "home|grown|homegrown|saved|bought|shop|donated|free|certified|virus|thornless|seed|seedling|seedlings|plant|"
            "plants|plantlet|plantlets|plug|plugs|start|starts|set|sets|tuber|tubers|bulb|bulbs|clove|cloves|crown|crowns|"
            "cane|canes|bush|bushes|runner|runners|cutting|cuttings|sprout|sprouts|root|roots|slip|stick|sticks|head|heads|"
            "pod|pods|leaf|leaves|spear|spears|stalk|stalks|flower|flowers|fruit|fruits|berry|berries|"
            "hardneck|softneck|sprouting|heritage|heirloom|f1|hybrid|dear|wonderful|amazing|"
            "pathetic|overgrown|spent|ready|half|whole|whopping|juicy|plump|crunchy|glossy|bed|beds|row|rows|patch|pot|pots|"
            "crop|crops|harvest|variety|varieties|type|types|kind|kinds",
        )
    )


def _bounds(language: str) -> frozenset[str]:
    return _words(
        say(language, "UTC").pgettext(
            "words at which the name of a plant begins or ends",
            "a|an|the|this|that|these|those|my|our|your|his|her|their|its|some|any|all|both|each|every|another|no|not|of|"
            "in|into|on|onto|at|to|from|out|off|up|down|over|under|by|with|without|for|near|behind|beside|between|among|"
            "around|along|after|before|since|until|during|and|or|but|so|then|plus|also|too|as|than|like|i|we|you|he|she|"
            "they|it|me|us|them|who|which|what|there|here|everywhere|outside|inside|outdoors|indoors|home|now|today|"
            "yesterday|tomorrow|tonight|again|already|just|only|still|yet|finally|well|very|really|quite|rather|soon|"
            "at last|morning|afternoon|evening|night|week|weekend|month|year|monday|tuesday|wednesday|thursday|friday|"
            "saturday|sunday|together|instead|once|twice|is|are|am|was|were|be|been|being|has|have|had|do|does|did|done|"
            "will|would|can|could|should|shall|may|might|must|go|goes|going|went|gone|come|comes|coming|came|get|gets|"
            "getting|got|look|looks|looking|looked|seem|seems|grow|grows|growing|grew|need|needs|needed|want|wants|make|"
            "makes|made|put|puts|take|took|taken|give|gave|given|bring|brought|find|found|see|saw|seen|sow|sown|sowed|"
            "plant out|planted|planting|pick|picked|picking|harvested|lifted|watered|watering|fed|weeded|weighed|"
            "twenty|thirty|forty|fifty|sixty|hundred|hundreds|dozen|dozens|couple|pair|lots|lot|load|loads|"
            "yay|hurray|hooray|hurrah|hello|hi|thanks|thank|please|sorry|update|news|because|while|when|where|if|"
            "children|kids|grandchildren|son|daughter|wife|husband|partner|friend|friends|volunteers|class|scouts|team|"
            "kg|g|lb|lbs|oz|litre|litres|bunch|bunches|bag|bags|tray|trays|handful|handfuls|punnet|punnets|bucket|buckets|"
            "cm|m|cell|cells|module|modules|pack|packs|packet|packets|box|boxes|x|about|around|roughly|nearly|almost",
        )
    )


def _nameless(language: str) -> frozenset[str]:
    return _words(
        say(language, "UTC").pgettext(
            "words that name no plant",
            "everything|something|anything|nothing|stuff|things|thing|rest|ones|one|lots|ours|theirs|mine|others|"
            "new|more|extra|other|few|several|many|spare|last|first|next|remaining|day|days|weather|work|time|rain|"
            "compost|soil|manure|mulch|ground|everybody|everyone|nobody|somebody|someone|people|kids|children|together",
        )
    )


def _words(text: str) -> frozenset[str]:
    return frozenset(word for one in text.split("|") for word in fold(one).split())
