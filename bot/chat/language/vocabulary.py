"""The words by which people say what they did, one language at a time, beside the English ones.

Each list is one text for translators: alternatives parted by "|", as people write them on a phone; "*" stands for up to
five words between ("potted * on"). Case, accents and apostrophes do not matter. Forms that differ by person, gender or
case are alternatives, too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache

from bot.chat.language.doubt_words import doubts_of
from bot.chat.language.number_words import number_words
from bot.chat.language.phrases import with_english
from bot.chat.language.tokens import Phrase
from bot.chat.language.verb_words import causes_of, hints_of, took_of, verbs_of
from bot.chat.language.word_lists import phrases_of, words_of
from bot.core.garden.snapshot import Cover, PlaceKind, Stage
from bot.crops.find import company
from bot.i18n import say
from bot.services.journal.note import Action, Cause, Container, Unit

Phrases = tuple[Phrase, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Vocabulary:
    """One of each language, told apart by being it, so that what is made of one can be kept with it.

    verbs: what was done. put: of plants alone, in any place. stand_in: beside pots, that they were carried in.
    numbered: words for places that a number follows; number_names: nouns that stand for both.
    tens, times: words of numbers that are added to, or multiplied with, the number beside them. nightly, daily: that something
    is done for one night, or by day. bounds: words after a number that it does not count, counting: that it does. alone: measures that count one without a number. ranging: from a number to another.
    unknown: what did it, where nobody knows what. took: only with a cause before it, or after one of `by`. blocked: not done, or a question.
    under, telling, framed, planted_in: see their contexts. unreal: dreamt. elsewhen, elsewhere: of another year, another
    garden. doubted: of hearsay, which is asked about. before_verb: words that make the verb after them no report; told_after: see there. unlike: words that only look like misspelt verbs.
    shows: how far a crop is said to have come, SEEDLING for come up; not_yet: that it is not. asking: first words of a
    question; shows_not_now: of what is only hoped for; seen_apart: of work, which is told by its verb.
    """

    verbs: Mapping[Action, Phrases]
    put: Phrases
    stand_in: Phrases
    took: Phrases
    unknown: Phrases
    hints: Mapping[Action, Phrases]
    spoilt: Phrases
    shows_after: Mapping[Stage, Phrases]
    by: Phrases
    under: Phrases
    telling: Phrases
    framed: Phrases
    planted_in: Phrases
    causes: Mapping[Cause, Phrases]
    blocked: Phrases
    unreal: Phrases
    elsewhen: Phrases
    elsewhere: Phrases
    doubted: Phrases
    noting: Phrases
    no_plan: Phrases
    roughly: Phrases
    remaining: Phrases
    before_verb: Phrases
    told_after: Phrases
    unlike: Phrases
    no_harvest: Phrases
    seeds: Phrases
    vague: Phrases
    excepted: Phrases
    each: Phrases
    every: Phrases
    half: Phrases
    articles: Phrases
    numbers: Mapping[Phrase, int]
    tens: Mapping[Phrase, int]
    times: Mapping[Phrase, int]
    daily: Phrases
    nightly: Phrases
    bounds: frozenset[str]
    counting: frozenset[str]
    ranging: Phrases
    and_half: Phrases
    alone: Phrases
    fractions: tuple[tuple[float, Phrases], ...]
    clock: Phrases
    clock_before: Phrases
    did: Phrases
    side: Phrases
    minus: Phrases
    units: Mapping[Unit, Phrases]
    decagrams: Phrases
    inches: Phrases
    metres: Phrases
    feet: Phrases
    containers: Mapping[Container, Phrases]
    cells: Phrases
    covers: Mapping[Cover, Phrases]
    kinds: Mapping[PlaceKind, Phrases]
    numbered: Mapping[PlaceKind, Phrases]
    number_names: tuple[Phrases, ...]
    where: Phrases
    whence: Phrases
    linking: Phrases
    turning: Phrases
    denying: Phrases
    because: Phrases
    wavering: Phrases
    on: Phrases
    degrees: Phrases
    fahrenheit: Phrases
    thermometer: Phrases
    filler: Phrases
    apart: Phrases
    undo: Phrases
    shows: Mapping[Stage, Phrases]
    not_yet: Phrases
    asking: Phrases
    shows_not_now: Phrases
    seen_apart: Phrases
    rule_not: Phrases
    rule_before: Phrases
    rule_after: Phrases
    rule_out: Phrases
    rule_indoors: Phrases
    rule_under_cover: Phrases
    rule_sow: Phrases


@cache
def vocabulary(language: str) -> Vocabulary:
    """The words of one language."""
    own = say(language, "UTC")

    def words(context: str, english: str) -> Phrases:
        """In the language and in English: many write both."""
        return phrases_of(with_english(language, own.pgettext(context, english), english))

    def own_words(context: str, english: str) -> Phrases:
        """In the language alone, for words so short that they mean something else in another."""
        return phrases_of(own.pgettext(context, english))

    def in_order(context: str, english: str) -> tuple[Phrases, ...]:
        """Meanings in a fixed order, parted by "|", each of alternatives parted by "/"."""
        return tuple(phrases_of(part, "/") for part in own.pgettext(context, english).split("|"))

    numbers, tens, times = number_words(own, in_order)
    return Vocabulary(
        verbs=verbs_of(words),
        put=words(
            "verbs of putting plants anywhere",
            "put in|put * in|put * into|got * in|popped in|popped * in|stuck in|stuck * in|bunged in|bunged * in|set * in|got * into",
        ),
        stand_in=words(
            "words that say that pots stand in a house",
            "are in|are all in|is in|are inside|are all inside|is inside|are back in|are in again|stand in|"
            "stand inside|still inside|still in|all inside|inside now|safe inside|are still in|is still in|"
            "are still inside|is still inside|are safe in|are safely in",
        ),
        took=took_of(words),
        unknown=words(
            "what takes plants: nobody knows what",
            "something|summat|sth|some animal|an animal|animals|a fox|fox|foxes|badger|badgers|deer|cat|cats|dog|dogs|"
                "hens|chickens|ducks|sheep|pests|creatures|somethings|something's|summats|sod|sods|bugger|buggers|beggar|"
                "beggars|blighter|blighters|thief|thieves|kids|vandals|yobs|vandal|lads|passers by|the neighbours cat|"
                "next doors cat|hedgehog|hedgehogs|mole|moles|ants|a ball|the football|the strimmer|the mower",
        ),
        hints=hints_of(words),
        spoilt=words(
            "words of spoilt plants: what is pulled then is no harvest",
            "bolted|bolting|gone to seed|run to seed|gone over|blight|blighted|mould|mouldy|mildew|rot|rotten|rotting|rotted|"
                "disease|diseased|club root|clubroot|rust|virus|mosaic|canker|dead|dying|gone slimy|woody",
        ),
        shows_after={
            Stage.SEEDLING: words("words right after a crop that say it has come up", "up|through|showing"),
            Stage.FLOWERING: words("words right after a crop that say it is in flower", "flowering|in flower"),
            Stage.READY: words("words right after a crop that say it may be harvested", "ready"),
        },
        by=own_words("before what took the plants", "by|to|from"),
        under=own_words("under, before a cover", "under"),
        telling=own_words(
            "between a crop and a verb that only tells which is meant",
            "that i had|that we had|that i'd|that we'd|that i|that we|that you|which i|which we|i had|we had|i'd|"
            "we'd|i've|ive|we've|i|we|you|that|which",
        ),
        framed=own_words("a frame for plants to climb, right after their name", "frame|frames"),
        planted_in=own_words("that it was planted, right after a crop", "in|all in|are in|are all in|now in|finally in"),
        causes=causes_of(words),
        **doubts_of(words, own_words),
        seeds=words("seeds", "seed|seeds"),
        vague=words(
            "amounts of seed that are no number",
            "packet|packets|pack|packs|packet of|pinch|handful of seed|sachet|sachets|lots|loads|load|bit|bits",
        ),
        excepted=words(
            "words that leave something out",
            "all but|except|except for|apart from|besides|but not|bar the|other than|minus the|everything but|everywhere but|"
            "everything bar|everywhere bar|all bar|all of them but|all of it but|every bed but|every pot but|all beds but|"
            "all pots but|all the beds but|all the pots but|all the beds bar|all the pots bar|aside from|excluding",
        ),
        each=words("each, after a number", "each|apiece|per pot|per bed|in each"),
        every=words("all of the plants", "all|every|whole|the lot|everything"),
        half=own_words("half", "half|half a|half of|half the|half an"),
        articles=own_words("one before a measure", "a|an|one"),
        numbers=numbers,
        tens=tens,
        times=times,
        daily=words(
            "words for: only by day",
            "for the day|during the day|for a few hours|for an hour|for some air|for some sun|for the afternoon|"
            "by day|to harden|to harden off|to get used to it|for a couple of hours|for a bit|for a bit of sun|"
            "in the sun|to get some sun|getting some sun|to catch some sun|for the sun|for an airing|for a while|"
            "this afternoon for a bit",
        ),
        nightly=words(
            "words for: only this night",
            "for the night|for tonight|over night|for the frost|for tonights frost|out of the cold|out of the frost|"
            "because of the frost|before the frost|again tonight|ready for tonight"
"|just in case|overnight|for over night|against the frost|just in case of frost|because of frost|for tomorrow morning|in case of frost|in case it freezes|against the cold|because its going to freeze|tonight",
        ),
        ranging=own_words("to, between two numbers of places", "to|till|through|thru|up to"),
        and_half=own_words("and a half, after a number", "and a half"),
        alone=own_words(
            "measures that are one of them where no number stands before",
            "armful|bowlful|bucketful|bagful|basketful|handful|bunch|trugful|fistful|colanderful",
        ),
        fractions=(
            *zip(
                (0.75, 2 / 3, 0.25, 1 / 3),
                in_order(
                    "three quarters, two thirds, a quarter, a third",
                    "three quarters of a/three quarters of/three quarters|two thirds of/two thirds|"
                    "a quarter of a/a quarter of/quarter of a/quarter of/a quarter/quarter|a third of/third of/a third",
                ),
                strict=True,
            ),
            (1.5, own_words("one and a half, in one word", "one and a half")),
        ),
        clock=words("hours and minutes", "minute|minutes|min|mins|hour|hours|hr|hrs|oclock|o'clock|am|pm"),
        clock_before=own_words("at, before a time of the clock", "at|by|until|till|before|after|since"),
        did=own_words("did, before the name of some work", "did|done|finished"),
        side=words(
            "words beside what was weighed that add nothing",
            "big|small|large|little|huge|good|full|massive|tiny|some|more|first|last|another|extra|now|today|"
            "lovely|nice|fresh|our|my|the|of|about|around|roughly|so far|in total|total|altogether|this|morning|"
            "evening|afternoon|and|plus|also|from|for|off|with|at|in|just|a|an|well|hi|hello|yum|wow|yay|got|had|"
            "have|we|i|ive|i've|we've|us|me|down|down there|back|of the year|of the season|of this year|this year|"
            "this season|year|season",
        ),
        minus=words("below zero", "minus"),
        units={
            Unit.KG: words("units: kilogram", "kg|kgs|kilo|kilos|kilogram|kilograms"),
            Unit.G: words("units: gram", "g|gr|gram|grams|gramme|grammes|grm|grms|gms|gm"),
            Unit.LB: words("units: pound", "lb|lbs|pound|pounds"),
            Unit.OZ: words("units: ounce", "oz|ounce|ounces"),
            Unit.BUNCH: words("units: bunch", "bunch|bunches|bundle|bundles|handful|handfuls|armful|armfuls|fistful|posy"),
            Unit.PUNNET: words("units: punnet", "punnet|punnets|bowl|bowls|tub of|tubs of|box of|boxes of|box|boxes|colander|colanders|bowlful|"
                "colanderful|bowl full|dish|tubful|tupperware|basin"),
            Unit.BAG: words("units: bag", "bag|bags|carrier bag|sack|sacks|carrier|carrier bags|bagful"),
            Unit.BUCKET: words("units: bucket", "bucket|buckets|trug|trugs|basket|baskets|crate|crates|bucketful|wheelbarrow|barrow|barrow load|basketful|"
                "bucket full|bucketload|trugful|barrowload|trug full|wheelbarrow load"),
            Unit.PIECE: words("units: piece", "piece|pieces|head|heads|plant|plants|seedling|seedlings|of them|bulb|bulbs|ear|ears|pod|pods|stick|"
                "sticks|stalk|stalks|fruit|fruits|root|roots|tuber|tubers|clove|cloves|cob|cobs|of em|seeds|small ones|"
                "big ones|stem|stems|spear|spears|sprig|sprigs"),
            Unit.LITRE: words("units: litre", "l|litre|litres|liter|liters"),
            Unit.CM: words("units: centimetre", "cm|cms|centimetre|centimetres"),
        },
        decagrams=words("units: ten grams", "dag|dkg"),
        inches=words("units: inch", "inch|inches|ins"),
        feet=words("units: foot", "ft|foot|feet"),
        metres=words("units: metre", "m|metre|metres|meter|meters"),
        containers={
            Container.TRAY: words("trays for seed", "tray|trays|seed tray|seed trays|module tray|module trays"),
            Container.POT: words("small pots for seed", "pot|pots|root trainers|roottrainers"),
            Container.ROW: words("rows of a bed", "row|rows|drill|drills"),
        },
        cells=words("cells of a seed tray", "cell|cells|hole|holes|cell tray|cell trays|module|modules|plug|plugs"),
        covers={
            Cover.DOUBLE_FLEECE: words("covers: double fleece", "double fleece|two layers of fleece|2 layers of fleece|fleece doubled"),
            Cover.FLEECE: words("covers: fleece", "fleece|fleeced|fleeces"),
            Cover.CLOCHE: words("covers: cloche", "cloche|cloches|bell|bells|bottle|bottles|bell jar|bell jars|glass jar"),
            Cover.NET: words("covers: net", "net|nets|netting|netted|mesh|enviromesh|pea net"),
        },
        kinds={
            PlaceKind.TUNNEL: words("words for a tunnel", "tunnel|polytunnel|poly tunnel"),
            PlaceKind.FRAME: words("words for a cold frame", "cold frame|frame"),
            PlaceKind.GREENHOUSE: words("words for a greenhouse", "greenhouse|glasshouse|glass house|gh"),
            PlaceKind.INDOORS: words("words for a room", "indoors|inside|windowsill|window sill|house"),
        },
        numbered={
            PlaceKind.BED: words("words for a bed with a number", "bed|beds|raised bed|raised beds|border"),
            PlaceKind.CONTAINER: words("words for a pot with a number", "pot|pots|container|containers|tub|tubs|planter"),
        },
        number_names=in_order(
            "places called by their number alone, from one to twelve",
            "number one/no one/first bed/in 1/on 1|number two/no two/second bed/in 2/on 2|"
            "number three/no three/third bed/in 3/on 3|number four/fourth bed/in 4/on 4|"
            "number five/fifth bed/in 5/on 5|number six/sixth bed/in 6/on 6|number seven/seventh bed/in 7/on 7|"
            "number eight/eighth bed/in 8/on 8|number nine/ninth bed/in 9/on 9|number ten/tenth bed/in 10/on 10|"
            "number eleven/eleventh bed/in 11/on 11|number twelve/twelfth bed/in 12/on 12",
        ),
        where=own_words("before a place", "in|into|on|at|to|onto|inside|under|by"),
        whence=own_words("before a place that things come from", "from|out of"),
        linking=own_words("and, between two things", "and|plus|then|n"),
        turning=own_words("but, before another statement", "but|though|although|however|anyway|oh|also"),
        denying=own_words("not, before what it was not", "not|instead of|rather than|wasn't|isn't"),
        because=own_words("because, before a reason, or so, before what followed", "because|cos|coz|cuz|so|since|as it|as its|as there"),
        wavering=own_words(
            "words by which what stands before them is doubtful", "if|unless|would|could|should|might|or|wish|hope|imagine"
        ),
        on=own_words("before a weekday", "on|last|since"),
        degrees=words("degrees", "degrees|degree|deg|°|c|celsius|degrees celsius|degrees c"),
        fahrenheit=words("degrees Fahrenheit", "f|fahrenheit|degrees f|degrees fahrenheit"),
        thermometer=words(
            "words for a thermometer",
            "thermometer|thermo|temp|temperature|minimum|min|min temp|minimum temperature|low|coldest",
        ),
        bounds=company(language).bounds,
        counting=frozenset(word for phrase in own_words("of, after a number of things", "of") for word in phrase),
        filler=own_words(
            "words beside a temperature that add nothing",
            "it|it's|its|is|was|says|said|shows|showed|read|reads|reading|down|only|just|about|at|night|overnight|"
            "this|last|the|in|on|by|went|got|of|our|my|was|were|brr|here|a|to",
        ),
        apart=words("words after a length that is no height", "apart|spacing|deep|wide|between"),
        undo=words("words that take the last note back", "undo|undo that|undo it|take that back|take it back|scrap that"),
        shows={
            Stage.READY: words(
                "words that say that a crop may be harvested",
                "ready to pick|ready to lift|ready to eat|ready to harvest|ready for picking|ready for lifting|ripe|"
                "are ready|is ready|all ready|ready now|aren't ready|isn't ready|not ready|ready yet"
"|is ready now|are ready now|ready for|ready at last|ready to go in the pot|good to pick|can be picked|want picking|needs picking|need picking|started to ripen|starting to ripen|ripening",
            ),
            Stage.FLOWERING: words(
                "words that say that a crop is in flower",
                "in flower|in full flower|in bloom|in blossom|flowering|blooming|have flowers|has flowers|flowers on|"
                "flowered|come into flower|coming into flower|came into flower"
"|first flowers|flowers already|starting to flower|started flowering|started to flower|have started flowering|in bud|first blossom|blossoming",
            ),
            Stage.SEEDLING: words(
                "words that say that seed has come up",
                "are up|is up|up now|up already|have come up|has come up|came up|come up|coming up|"
                "are through|is through|come through|came through|coming through|germinated|sprouted|emerged|"
                "have sprouted|showing through|poking through|not up|aren't up|isn't up|up yet"
"|no sign of|any sign of|are showing|is showing|starting to show|starting to come up|start coming up|popping up|popped up|have popped up|peeping through|are sprouting|sprouting|have emerged|pushing through|breaking through|have appeared|appeared",
            ),
        },
        not_yet=words(
            "words that say that it is not so far yet",
            "not|aren't|isn't|haven't|hasn't|didn't|no sign|still no|nothing|never"
"|no sign of|still nothing|still no sign|nothing yet|nowt|not a sign",
        ),
        asking=own_words("first words of a question", "are|is|have|has|did|do|does|when|will|why|what|which|how|who|where"),
        shows_not_now=words(
            "words that say that a crop is not there yet but hoped for",
            "will|soon|should|when|if|hope|hoping|nearly|almost|next week|tomorrow|waiting|before|until|once|as soon as",
        ),
        seen_apart=words(
            "words of work beside a crop that is ready",
            "ready to plant|ready to go|ready to pot|ready to be|ready to harden|ready to move|sow|up to|up the|up their",
        ),
        rule_not=words(
            "rule: not", "not|no|never|nothing|none|don't|do not|hold|keep|only|mustn't|shouldn't|should not"
        ),
        rule_before=words("rule: before a day", "before|until|till|earlier than|sooner than"),
        rule_after=words("rule: after a day", "after|later than"),
        rule_out=words(
            "rule: out of doors", "out|outside|planted out|plant out|planting out|out of doors|planted|plant|go out"
        ),
        rule_indoors=words("rule: sown indoors", "indoors|inside|in the warm"),
        rule_under_cover=words("rule: sown under cover", "under cover|undercover|in the tunnel|in the greenhouse"),
        rule_sow=words("rule: sown", "sow|sown|sowed|sowing"),
    )  # fmt: skip


@cache
def words_in(language: str) -> frozenset[str]:
    """Every word of its phrases, folded."""
    words = vocabulary(language)
    return frozenset(word for field in fields(words) for word in words_of(getattr(words, field.name)))
