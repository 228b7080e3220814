"""The verbs by which people say what they did, by what each means."""

from __future__ import annotations

from collections.abc import Callable

from bot.chat.language.tokens import Phrase
from bot.services.journal.note import Action, Cause

Phrases = tuple[Phrase, ...]


def verbs_of(words: Callable[[str, str], Phrases]) -> dict[Action, Phrases]:
    """words: the phrases of a context of the catalogue, with the English ones."""
    return {
        Action.SOWED: words(
            "verbs of sowing",
            "sowed|sown|sow|sowing|seeded|sowed seeds|got * sown|scattered|broadcast|resowed|resown|re sowed|"
            "have sown|sewn|sprinkled * seed|started off|started some|started * off from seed|drilled|drilled in|"
            "station sowed|direct sowed|direct sown|sowed direct|put * seed in|put * seeds in|chucked * seed|"
            "chucked * seeds|planted seed|planted seeds|chitted and sown|started * in modules|got * germinating",
        ),
        Action.POTTED_ON: words(
            "verbs of potting on",
            "potted on|pot on|potting on|potted * on|potted up|potting up|potted * up|repotted|pricked out|pricking out|"
            "pricked * out|into bigger pots"
            "|moved on|moved * on into|moved * into bigger|moved up a pot|up potted|put * into bigger|repot|bigger pots|"
            "into 9cm|into 9 cm",
        ),
        Action.HARDENING: words(
            "verbs of starting to harden off",
            "started hardening off|started hardening|started to harden off|hardening off|hardening|harden off|"
            "began hardening off|begun hardening off|started hardening * off|hardening * off"
            "|moved outside to harden|put out to harden|outside to harden off|started putting * out",
        ),
        Action.HARDENED: words("verbs of having hardened off", "hardened off|hardened|finished hardening off"),
        Action.PLANTED_OUT: words(
            "verbs of planting out",
            "planted out|plant out|planting out|planted * out|put out|put * out|set out|transplanted|transplanting|"
            "planted|planting|planted up|got * planted|dibbed in|bedded out|set * out|went into|gone into|"
            "popped * into|heeled in|filled * with|planted * up|have planted|stuck * into|whacked in|dibbed * in|"
            "got * in the ground|in the ground|went in|put in the ground|put in the last|put to bed in|tucked * into|"
            "tucked * in beside|slotted * in|slotted in|squeezed * in|squeezed in|shoved * in|plonked * in|bedded in|"
            "interplanted|underplanted|replanted|transplanted * to",
        ),
        Action.COVERED: words(
            "verbs of covering",
            "covered|covering|covered up|fleeced|netted|put fleece|put the fleece|put a fleece|layers of fleece on|"
            "layer of fleece on|layers of fleece over|layer of fleece over|"
            "tucked * up in fleece|tucked * up|put double fleece|"
            "fleece on|fleece over|fleece is on|fleece is back on|fleece back on|fleece is over|nets on|net on|"
            "net over|netting over|cloches on|cloches over|cloche over|cloched|wrapped|wrapped up|under fleece|"
            "threw fleece|chucked fleece|tucked up|tucked in|put cloches|put the cloches|put a cloche|put a net|"
            "put the net|put netting|fleece * over|fleece * on|put * fleece back|put the fleece back|fleece back|"
            "under the fleece|under a fleece|under the blanket|put the blanket|put a blanket|put blankets|blanket on|"
            "blankets on|blanket over|under mesh|under netting|under a net|under the net|under fleece now|under cloches|mesh on|mesh over|"
            "netting on|covers on|cover on|cover back on|covers back on|net back on|nets back on|netting back on|mesh back on|"
            "cloches back on|cloche back on|nets up over|net up over|netting up over|netting up|nets up|has fleece on|"
            "have fleece on|got fleece on|"
            "re covered|recovered with fleece|covered * over|sheeted|net is on|nets are on|mesh is on|netting is on|"
            "fleeces on|fleeces are on|fleeces over|cover is on|covers are on|cloches are on|cloche is on|"
            "bubble wrapped|enviromesh on|enviromesh over|netted over|netted off|put * under fleece|put * under mesh|"
            "put * under a net|put * under netting|threw * fleece|laid fleece|laid the fleece|draped fleece|"
            "draped * fleece|fleece draped|covered * with",
        ),
        Action.UNCOVERED: words(
            "verbs of uncovering",
            "uncovered|uncovering|took the fleece off|took fleece off|took * off|fleece off|removed the fleece|"
            "removed fleece|removed the cloches|removed the net|took off|fleece is off|whipped * off|"
            "lifted the fleece|pulled the fleece off|fleece came off|unfleeced|unwrapped|nets off|net off|"
            "took the cover off|took cover off|covers off|cover off|cloches off|cloche off|took the covers off|"
            "took the net off|pulled off the fleece|folded * back|folded back|fleece rolled back|fleece is off now|"
            "un covered|fleeces off|fleeces are off|fleeces are all off|fleece is all off|fleece all off|"
            "covers are off|covers all off|nets are off|net is off|mesh off|mesh is off|rolled back the fleece|"
            "pulled * fleece back off|took * fleece back off|lifted * fleece back off|"
            "rolled * fleece back|peeled * fleece|pulled * fleece off|lifted * fleece|removed * fleece|removed * net|"
            "took * fleece off|took * net off|took * cloches off|taken * fleece off|taken * net off|taken * cover off|"
            "taken * covers off|taken * cloches off|taken the fleece off|"
            "cloches are off",
        ),
        Action.BROUGHT_IN: words(
            "verbs of carrying pots into a house",
            "brought in|brought * in|brought inside|brought * inside|brought * into|carried in|carried * in|"
            "carried inside|carried * inside|carried * into|took * in|took * inside|took * into|moved * inside|"
            "moved * into|got * inside|lugged * in|lugged * inside|put * inside|put * in for the night|"
            "fetched * in|fetched in|shifted * inside|bunged * inside|taken inside|taken * inside|taken in|"
            "put inside|got in for the night|got * in for the night|moved inside|moved indoors|moved * indoors|"
            "took * indoors|brought * indoors|are indoors|wheeled * in|dragged * in|came in|came back in|"
            "come in for the night|are back in|back in for the night|came inside|went inside|gone inside|"
            "went back in|have come in|were brought in|back indoors|back inside|is back in|are indoors for|"
            "is indoors for|are in for the night|is in for the night|all in for the night|is indoors|"
            "tucked indoors|tucked inside|safely indoors|safely inside|under glass for the night|plants are in for|"
            "stuff is in for|everything is in for"
            "|brought indoors|carried indoors|carried * indoors|taken indoors|taken * indoors|took indoors"
            "|lugged * indoors|put indoors|put * indoors|got * indoors|fetched indoors|fetched * indoors"
            "|shifted indoors|shifted * indoors|hauled in|hauled * in|hauled * inside|humphed * in|humphed in"
            "|lugged in|lugged inside|dragged in|dragged inside|dragged * inside|wheeled in|wheeled inside"
            "|wheeled * inside|rolled * in|rolled * inside|stowed * inside|stashed * inside"
            "|carried into|brought into|taken into|moved into|wheeled into|lugged into|dragged into|shifted into"
            "|got into the greenhouse|got into the tunnel|went into the greenhouse|went into the tunnel"
            "|gone into the greenhouse|gone into the tunnel",
        ),
        Action.PUT_BACK: words(
            "verbs of putting pots back outside",
            "put * back out|put back out|out for the day|out for the afternoon|out for some sun|"
            "out for a few hours|out for an airing|put * back outside|put back outside|carried * out|"
            "carried * outside|brought * out|moved * outside|took * back out|took * out|took * outside|"
            "took * outdoors|back outside|are outside|back out|moved outside|moved outdoors|moved * outdoors|"
            "put outside|put * outside|taken outside|taken * outside|put * out again|put out again|out again|"
            "put * out for|back outdoors|outside again|popped * outside|stood * outside|sat * outside|"
            "stuck * outside|set * outside|plonked * outside|popped * outdoors|stood * outdoors|"
            "put * out in the sun|popped * out in the sun|put * in the sun|popped * in the sun|stood * in the sun|"
            "is outside|is outdoors|are outdoors|outside getting|outside for the day|outside for some|"
            "outside for a bit|out for some air|out for a bit of sun|out in the sun|got some sun|getting some sun",
        ),
        Action.WATERED: words(
            "verbs of watering",
            "watered|watering|gave water|gave * water|soaked|irrigated|gave * a drink|given a drink|"
            "given * a drink|gave * a soak|gave * a good soak|had a drink|hosed|did the watering|done the watering|"
            "watering done|given water|wet down|watered in|gave * drink|gave * good drink|gave * soak|"
            "gave * soaking|gave * watering|gave * sprinkle|given * water|given * soak|given * watering|"
            "got a drink|got a water|got a soaking|got watered|had water|had a water|had a soak|had a good drink|"
            "done with the hose|watering can on|did * watering|done * watering|finished watering|drenched|"
            "topped up with water|water butt emptied on|quenched|and a water|and a drink|and a soak|gave * a water|"
            "had a watering|good watering|a can each|sprinkler on|soaker hose on|drip on|irrigation on|hose on|"
            "had the hose on|gave * a can|gave * cans|poured * water|cans on|can on|cans of water|can of water|"
            "buckets of water|bucket of water|tipped * water|topped up the water|rewatered|re watered|wetted|"
            "doused|misted|sprinkled water|sprinkled * with water|quick water of|quick water for|quick water on|"
            "gave * quick water",
        ),
        Action.FED: words(
            "verbs of feeding",
            "fed|feeding|fertilised|fertilized|gave * feed|gave * manure|gave * compost|given * feed|liquid feed|"
            "tomato feed|had a feed|manured|tomorite on|tomorite|gave * a feed|gave * some feed|had their feed|"
            "had feed|got a feed|got fed|comfrey feed|comfrey tea|nettle feed|seaweed feed|liquid fed|plant food|"
            "bonemeal on|chicken pellets|growmore|blood fish and bone|and a feed|feed on|gave * tomorite|"
            "gave * seaweed|gave * fertiliser|gave * fertilizer|gave * a handful of|put * pellets|put * growmore|"
            "put growmore|put fertiliser|sprinkled growmore|sprinkled pellets|sprinkled bonemeal|spread pellets|dosed|"
            "maxicrop|miracle gro|worm tea|gave * nettle|gave * comfrey|bit of tomorite|nettle tea|seaweed on|"
            "pellets on|fish blood and bone",
        ),
        Action.SUPPORTED: words(
            "verbs of tying and supporting",
            "tied in|tied up|tied|tying in|tying up|tying|staked|staking|caned|supported|put canes|put up canes|"
            "put the canes|put up supports|put stakes|canes up|put sticks|pea sticks|strung up|put strings|"
            "trellised|strings up|string up|strung|put up pea sticks|sticks in|canes in|canes are up|"
            "got their sticks|got their canes|clipped in|clipped up|trained up|wound round|wound up the string|"
            "poles up|wigwam up|wigwams up|put up a wigwam|put netting up for|retied|re tied|put * canes|"
            "put * sticks|put * stakes|put * strings|put * supports|put sticks in|strung * up|tied * up|tied * in|"
            "twiggy sticks|twigged|wigwammed|propped up|propped * up|pea netting up|pea net up|netting up for|"
            "obelisk up|arch up|put up * frame|put a frame|put the frame|pea frame up|bean frame up|frame up for|"
            "built * frame|made * frame",
        ),
        Action.EARTHED_UP: words(
            "verbs of earthing up",
            "earthed up|earthing up|earthed * up|earthed|hilled up|hilled|mounded up"
            "|ridged up|ridged|ridging up|drew soil|drew up soil|drew the soil|drew earth|heaped soil|banked up|"
            "piled soil|soil up round|soil pulled up|pulled soil up|pulled * soil up|drew * soil up|drew * earth up|"
            "earthing done",
        ),
        Action.HARVESTED: words(
            "verbs of harvesting",
            "harvested|harvesting|picked|picking|lifted|lifting|dug|dug up|digging up|cut|cutting|pulled|gathered|"
            "gathering|collected|cropped|snipped|brought home|took home"
            "|took * home|had * home|pulled * for tea|plucked|bagged|bagged up|picked up a|cut and come|got * off|"
            "got * from the|came home with|grabbed|nabbed|weighed|weighed in|weighed in at|dug * up|had a picking|"
            "for the food bank|harvest|first picking"
            "|had our first|had us first|had my first|had the first|got our first|got the first|had a feed of"
            "|had a feast of",
        ),
        Action.LOST: words(
            "verbs of losing plants",
            "lost|losing|died|have died|has died|dead|dying|are dead|killed off|perished|rotted|rotted off|damped off|"
            "has had it|have had it|had it|got eaten|been eaten|was eaten|were eaten|all eaten|got nibbled|trampled|"
            "squashed|snuffed it|conked out|given up the ghost|kicked the bucket|gone to mush|keeled over|"
            "didn't make it|didnt make it|not made it|binned|goners|snapped off|snapped|gone over|is gone|are gone|"
            "all gone|have gone|has gone|dead as|withered|shrivelled|shriveled|wilted and died|drowned|flattened|"
            "damping off|gave up|copped it|popped their clogs|no more|rotted away|gone mouldy|chomped|munched|"
            "devoured|eaten|nibbled off|eaten off|pinched by|dug up by|had died|passed away|popped its clogs|"
            "karked it|carked it|is no more|gone to the great compost|didn't survive|didnt survive|did not survive|"
            "not survived|did not make it|not make it|haven't made it|havent made it|hasn't made it|failed to make it|"
            "gone west|finished off by|has packed up|turned to mush|turned up its toes|gone to slime|bit the dust|"
            "pegged out|croaked|wiped out|decimated|demolished|massacred|frosted|frazzled|scorched to death|"
            "cooked to death|rotted in the ground|damped|collapsed and died|killed|were killed|was killed|got killed|"
            "was lost|were lost|been lost|got frosted|got trampled|got blown over|got snapped|snapped in the wind|"
            "got smashed|stolen|been stolen|nicked|been nicked|gone missing|someone trod on|somebody trod on|"
            "someone has trodden on|someone trampled|somebody trampled|someone stood on|somebody stood on|"
            "someone knocked over|somebody knocked over|someone stole|somebody stole|someone has stolen|"
            "somebody has stolen|someone nicked|somebody nicked|someone has nicked|someone has pinched|"
            "someone pinched|somebody pinched|someone broke|somebody broke|won't recover|wont recover|"
            "won't make it|wont make it|past saving|beyond saving|beyond hope|written off|a write off",
        ),
        Action.CLEARED: words(
            "verbs of clearing a bed",
            "cleared|clearing|cleared out|pulled up|pulled out|pulled * up|pulled * out|composted|ripped out|grubbed up"
            "|took out|dug out|pulled them out|ripped * out|cleared * out|stripped out|emptied",
        ),
        Action.MEASURED: words("verbs of measuring plants", "measured|measuring"),
        Action.MOVED: words(
            "verbs of moving plants",
            "moved|moving|shifted|relocated|transferred|swapped * to|taken * to|carried * to"
            "|rehomed|repositioned|now in|live in|are now in|is now in|carried * over to|put * over in",
        ),
        Action.OPENED: words(
            "verbs of opening a house",
            "opened|opened up|opened * up|aired|vented|propped open|doors open|vents open|door open|is open|let some air in"
            "|opened the doors|opened the door|opened the vents|vents are open|doors are open|flaps up|sides up|"
            "rolled up the sides|lid off|lids off|lid is off|lids are off|lid up|lids up|propped * open|ends open|"
            "unlocked|unzipped|is opened|have opened|airing"
            "|tied back|tied * back|pinned back|pinned * back|hooked back|hooked * back|pegged back|clipped back"
            "|wedged open|wedged * open|flaps tied|doors back",
        ),
        Action.SHUT: words(
            "verbs of shutting a house",
            "shut|shut up|closed|closed up|closed * up|locked up|doors shut|door shut|doors closed|zipped up|is shut|is closed"
            "|vents shut|vents closed|doors are shut|doors are closed|all shut|all closed|battened down|locked|"
            "buttoned up|shut * up|closed * down|flaps down|sides down|lid on|lids on|lid is on|lids are on|lid back on|"
            "lid down|lids down",
        ),
        Action.WEEDED: words(
            "verbs of weeding",
            "weeded|weeding|hoed|hoeing|pulled weeds|cleared the weeds|hand weeded|weeds out of|weeds out|weed free|"
            "weeds gone|pulled the weeds|pulled out weeds|pulled * weeds|dug out * bindweed|dug * bindweed|"
            "dug out the weeds|dug out dandelions|dug out docks|weeding done|did * weeding|done * weeding|"
            "cleared weeds|tidied up|hand weeding|hoed round|hoe round|hoed through|had a weed|de weeded|"
            "blitzed the weeds|weeds are out|free of weeds|no more weeds|gave * a weed|gave * a hoe|and a weed|"
            "and a hoe|ran the hoe|ran a hoe|hoe through|hoe over|hoe around|hoed between|took the hoe|took a hoe|"
            "weeded round|weeded between|weeds pulled|weed pulled|onion hoe|forked out|hooked out|got the weeds|"
            "got rid of * weeds|got rid of the weeds|cleared * weeds|cleared * of weeds|handweeded|hand pulled|"
            "weed session|weed blitz|did the edges|edges done|strimmed round"
            "|took the weeds out|took weeds out|took out the weeds|had the weeds out|have the weeds out"
            "|dug the weeds out|ripped the weeds out|ripped out the weeds|weeds all out|weeded out|weeds cleared"
            "|weeds are gone|pulled all the weeds|weeded thoroughly|gave * a good weed|gave * a good hoe",
        ),
        Action.THINNED: words(
            "verbs of thinning",
            "thinned|thinning|thinned out|singled|thin out|thinned * out|thinnings out|thinned down|spaced out|"
            "did * thinning|thinned to|thinned * to|pulled the thinnings|took out every other|took every other",
        ),
        Action.MULCHED: words(
            "verbs of mulching",
            "mulched|mulching|strawed|put straw|put compost|top dressed|composted round|straw under|compost on|"
            "straw on|straw down|straw round|strawed up|mulch on|mulch round|mulch down|put mulch|spread compost|"
            "spread manure|compost spread|put down straw|put down mulch|laid straw|wood chip on|wood chips on|bark on|"
            "leaf mould on|topdressed|put * straw|put a mulch|put * mulch|a mulch of|gave * a mulch|gave * mulch|"
            "manure on|manure spread|put manure|put * manure|put * compost on|put * compost round|put bark|"
            "put wood chip|put leaf mould|spread straw|spread mulch|cardboard down|cardboard on|sheet mulched|"
            "straw is down|spread * compost|spread * manure|spread * mulch|spread * straw|barrows of compost|barrow of compost|"
            "straw mulch on|mulch of straw|mulch of compost|grass clippings on|grass clippings round",
        ),
        Action.PRUNED: words(
            "verbs of pinching out and pruning",
            "pinched out|pinching out|pinched * out|pruned|pruning|side shooted|sideshooted|took * side shoots|"
            "took the sideshoots|took * sideshoots|removed * side shoots|deadheaded|nipped out|took the tips|trimmed|"
            "sideshoots off|side shoots off|sideshoots out|side shoots out|pinched off|tips out|tops out|tips pinched|"
            "tops pinched|took out the tips|took off the tops|cut the runners off|removed runners|"
            "took off the runners|taken out the sideshoots|dead headed|leaves off|took the tops off|took the tops|"
            "tops off|took * tips off|took * tops off|pinched the tops|pinched the tips|pinched * tops|pinched * tips|"
            "pinched * side shoots|pinched * sideshoots|pinched the side shoots|nipped * tips|nipped * tops|"
            "nipped the tops|nipped the tips|nipped off|nipped * out|took * side shoots out|took the side shoots|"
            "deshooted|de shooted|sideshooting|side shooting|desuckered|stopped out|cut * runners off|"
            "snipped * runners|took off * leaves|took the lower leaves|took * lower leaves|removed the lower leaves|"
            "removed * leaves|took the flowers off|picked off the flowers|removed the flowers|took * flower stalk|"
            "cut * flower stalk|gave * a trim|gave * a haircut|and a trim",
        ),
    }


def hints_of(words: Callable[[str, str], Phrases]) -> dict[Action, Phrases]:
    """Nouns and the like by which it may be guessed what was done, where no verb says so; to be asked about."""
    return {
        Action.WATERED: words(
            "hints of watering", "water|can of water|cans of water|drink|soak|soaking|sprinkle|sprinkling|hosepipe|hose"
        ),
        Action.FED: words(
            "hints of feeding",
            "feed|fertiliser|fertilizer|seaweed|nettle tea|comfrey|manure tea|pellets|plant food|bonemeal",
        ),
        Action.WEEDED: words(
            "hints of weeding",
            "weeds|weed|bindweed|couch grass|dandelions|docks|hoe|nettles|thistles|chickweed|groundsel|ground elder|"
            "mares tail|marestail|horsetail|brambles|buttercups|cleavers|goosegrass|grass|dock|dandelion|thistle|couch",
        ),
        Action.MULCHED: words("hints of mulching", "mulch|straw|compost|manure|wood chip|wood chips|bark|leaf mould"),
        Action.SUPPORTED: words(
            "hints of supporting",
            "canes|cane|sticks|strings|string|stakes|twine|ties|trellis|wigwam|wigwams|poles|supports",
        ),
        Action.COVERED: words("hints of covering", "fleece|mesh|net|netting|cloche|cloches|covers|cover|bubble wrap"),
        Action.SOWED: words("hints of sowing", "seed|seeds|seedlings in modules|drill|drills"),
        Action.PRUNED: words(
            "hints of pruning",
            "side shoots|sideshoots|suckers|haircut|trim|tips|pinched|flower stalks|flower stalk|lower leaves",
        ),
        Action.EARTHED_UP: words("hints of earthing up", "soil|earth|ridge|ridges"),
        Action.OPENED: words("hints of opening", "open|airing|vents"),
        Action.SHUT: words("hints of shutting", "to bed"),
        Action.BROUGHT_IN: words("hints of carrying in", "in for the night|in tonight|in again|indoors|inside"),
        Action.HARVESTED: words(
            "hints of harvesting",
            "in the shed|in store|in the store|into store|stored|stored away|in the freezer|hung up|hung to dry|"
            "for tea|for dinner|for lunch|for supper|for the pot|harvest|crop|picking|basketful|home with me|"
            "for a crumble|for crumble|for a pie|for salad|for a salad|for the kitchen|for jam|for soup|"
            "for sunday lunch|for the cafe|for my tea|for our tea|for pudding|for the table|for supper tonight|"
            "for mum|for the neighbours",
        ),
        Action.LOST: words("hints of losses", "gone|goner|casualties|casualty|rip|carnage|massacre|massacred|disaster"),
    }


def causes_of(words: Callable[[str, str], Phrases]) -> dict[Cause, Phrases]:
    """What takes plants."""
    return {
        Cause.FROST: words("what takes plants: frost", "frost|frosts|frosted|cold|freeze|ice"),
        Cause.SLUGS: words("what takes plants: slugs", "slug|slugs|snail|snails"),
        Cause.WIND: words("what takes plants: wind", "wind|winds|gale|gales|storm|gusts|gust|storms|the breeze"),
        Cause.BLIGHT: words(
            "what takes plants: blight",
            "blight|mildew|rot|rust|damping off|white rot|club root|clubroot|botrytis|grey mould|mould|canker|scab|"
            "black leg|blackleg|blossom end rot|virus|mosaic|fusarium|wilt|disease|diseased|fungus",
        ),
        Cause.BIRDS: words(
            "what takes plants: birds",
            "bird|birds|pigeon|pigeons|pidgeons|blackbirds|magpies|crows|pheasants|sparrows|crow|jackdaw|jackdaws|"
            "rooks|rook|pheasant|blackbird|magpie|sparrow|woodpigeons|wood pigeons|wood pigeon|starlings|geese|"
            "chickens",
        ),
        Cause.MICE: words(
            "what takes plants: mice",
            "mice|mouse|rat|rats|vole|voles|squirrel|squirrels|rabbits|rabbit|hare|hares|mole|moles|gerbils|rodents|"
            "rodent|field mice",
        ),
        Cause.DROUGHT: words(
            "what takes plants: drought",
            "drought|heat|heatwave|dried out|sun|drying out|the heat|sunburn|dry spell|scorch",
        ),
        Cause.RAIN: words("what takes plants: rain", "flood|flooding|waterlogging|rain|hail"),
        Cause.INSECTS: words(
            "what takes plants: insects",
            "aphids|blackfly|greenfly|caterpillars|carrot fly|flea beetle|vine weevil|caterpillar|flea beetles|"
            "whitefly|cabbage whites|cabbage white|red spider mite|spider mite|leaf miner|leaf miners|sawfly|thrips|"
            "ants|earwigs|cutworm|cutworms|leatherjackets|wireworm|wireworms|chafer grubs|grubs|maggots|bean weevil|"
            "weevils|onion fly|pea moth|asparagus beetle|beetles|beetle|butterflies"
            "|bugs|bug|creepy crawlies|beasties|insects|insect",
        ),
    }


def took_of(words: Callable[[str, str], Phrases]) -> Phrases:
    """What is said of pests and the weather, beside what did it."""
    return words(
        "verbs for what a pest or the weather did",
        "got|gotten|took|taken|ate|eaten|eating|nibbled|been at|have been at|has been at|demolished|devoured|"
        "had a go at|bitten|chewed|trashed|battered|bashed|dug up|broke|broken|knocked over|mullered|decimated|"
        "savaged|smashed|had|has had|killed|flattened|finished|finished off|hit|munched|blew over|snapped|"
        "wiped out|destroyed|ruined|stripped|scorched|nipped|eat|had all|have had|shredded|scoffed|polished off|"
        "gobbled|chomped|chewed up|pulled up|pulled out|scratched up|dug over|trampled|squashed|sat on|nicked|"
        "pinched|damaged|blew away|blown over|blown down|drowned|rotted|cooked|fried|frazzled|caught|zapped|"
        "nobbled|done for|did for|nuked|stole|stolen|pinch|has pinched|have pinched|wrecked|finished them|"
        "taken out|took out|mangled|uprooted|dug|rooted up|toppled|blasted|singed|burnt|burned|stunted|pecked|"
        "pecked at|pecked out|sheared off|mown|mowed|strimmed|snipped off|cut off|felled|floored|whacked|clobbered|"
        "crushed|stamped on|walked on|trodden on|trod on|defoliated|skeletonised|skeletonized|grazed|brought down|"
        "brought * down|blew down|blew * down|knocked down|knocked * down|knocked * over|took down|pulled down|"
        "pulled * down|torn down|tore down|ripped up|ripped down|ripped off|ripped out|laid flat|laid * flat|"
        "blew * over|blew * away|snapped off|broke off|bent over|bent double|beaten down|beat down|washed out|"
        "washed away|washed * away|swept away|buried|levelled|leveled|thrashed|shattered|splintered|split|had away|"
        "made off with|run off with|ran off with|helped themselves to|feasted on|gnawed|gnawed at|grubbed up|"
        "tunnelled under|rolled on|rolled in|lay on|laid on|slept on|weed on|peed on|knackered|banjaxed|"
        "wrecked all|cut|cut down|cut back",
    )
