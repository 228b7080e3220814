"""The words by which what is told was not done, not here, not this year, or only heard; fields of a vocabulary."""

from __future__ import annotations

from collections.abc import Callable

from bot.chat.language.tokens import Phrase

Phrases = tuple[Phrase, ...]
Words = Callable[[str, str], Phrases]


def doubts_of(words: Words, own_words: Words) -> dict[str, Phrases]:
    """words: the phrases of a context of the catalogue, with the English ones; own_words: in the language alone."""
    return {
        "blocked": words(
            "words that say it is not done, or is asked",
            "still to do|to do|yet to|still need|still needs|left to do|will|we'll|going to|gonna|should|shall|"
            "must|need to|needs to|needs|need|have to|has to|please|tomorrow|next week|tonight|later|want to|"
            "wants to|would|could|like to|plan to|planning to|hoping to|hope to|let's|not|don't|didn't|haven't|"
            "hasn't|won't|wasn't|weren't|isn't|aren't|never|forgot|forget|can you|can i|can we|can someone|"
            "can anyone|shall we|anyone|anybody|someone|somebody|who|when|how|why|what|where|which|if|unless|"
            "ready to|time to|about to|nearly|almost|remember to|remind|try to|supposed to|expected|forecast|"
            "everyone|everybody|todo|did you|did we|do i|do we|does|has anyone|looking forward|instead of|can't|"
            "cannot|couldn't|wouldn't|shouldn't|didnt|dont|havent|hasnt|wasnt|werent|wont|cant|couldnt|wish|hope|"
            "i'd|we'd|nobody|no one|in case|by rain|by the rain|itself|fancy|thinking|thought about|considering|"
            "how about|what about|why dont|why don't|ought|ought to|imagine|remember when|suppose|as soon as|"
            "meant to|failed to|no time to|should've|shouldve|could've|couldve|would've|wouldve|should of|could of|"
            "would of|i'll|ill be|off to|about time|hasn't been|not been|waiting to|due to be|want|wants|fancied|"
            "no time|gonna need|asap|on saturday i|i'm gonna|im gonna|on my way to|on way to|way to|just going|"
            "going down to|heading down to|heading over to|still not|yet|how deep|how far|how many|how often|"
            "in what|no ones|no-ones|nobodys|noone|none of us|nobody's|ran out of|run out of|out of time|"
            "short of time|not enough time|gave up on|given up on|skipped|left out|couldn't face|couldnt face|"
            "had to leave|pretend|pretending|lets say|let's say|just kidding|kidding|only joking|joking|whether|"
            "on the point of|meaning to|been meaning to|the plan is|plan is|plans to|aim to|aiming to|intend to|"
            "intending to|tempted to|wondering|wonder|trying to|tried to|try and|promise to|promised to|want us to|"
            "wants us to|asked me to|asked to|told to|due to|to be planted|to be sown|to be watered|to plant|"
            "to sow|to pot|before i|until i|to get round to|got round to it not|no chance to|hadn't|hadnt|nope|"
            "ideally|if only|wishing|failing that|stopped|quit|gave up|too wet to|too dry to|too cold to|"
            "too late to|too early to|left the other|left the rest|left the remaining|left some|left them|"
            "rest still|rest are still|rest is still|others still|others are still|rest stay|rest stays|"
            "the rest are in|the rest is in|the rest in|left two|left three|left a few|left a couple|left one|"
            "left most|left those|leaving the rest|leaving the other|leaving some|rain watered|rain has watered|"
            "rain will|the rain did|rain did|nature watered|takes ages|takes forever|whoever|whomever|"
            "thanks to whoever|the wrong bed|the wrong beds|the wrong pot|the wrong pots|the wrong one|the wrong ones|"
            "the wrong place|the wrong plot",
        ),
        "unreal": words(
            "words by which all that is told is a dream or a joke",
            "had a dream|had the dream|a dream that|a dream where|a dream about|the dream where|dreamt|dreamed|dreaming|"
            "in my dream|in my dreams|in a dream|in your dreams|dream on|nightmare|only joking|just joking|just kidding|"
            "only kidding|jk|j k|april fool|april fools|make believe|for a laugh|pull your leg|pulling your leg|"
            "only winding you up|just winding you up",
        ),
        "elsewhen": words(
            "words of another time",
            "last year|last season|last spring|last summer|last autumn|last fall|last winter|a year ago|years ago|"
                "year ago|months ago|month ago|ages ago|last month|used to|usually|normally|always|every year|each year|"
                "in the past|next year|next season|next month|as a kid|when i was|in the old days|always used|"
                "every easter|every may|by now last|two years ago|the year before|other years|most years|once upon a time|"
                "in 2020|in 2021|in 2022|in 2023|in 2024|in 2025|back in 2024|back in 2025|a couple of years|"
                "couple of years ago|few years|previous years|last time round|the other year|in previous years|"
                "in years gone by|years back|back in the day|when we first started|first year here|at the old plot|"
                "the old plot|our old plot|previous plot|old allotment",
        ),
        "elsewhere": words(
            "words of another place than the garden",
            "my sister|my sisters|my brother|my brothers|my neighbour|my neighbours|my mum|my mums|my dad|my dads|"
                "my friend|my friends|my mother|my aunt|my uncle|my gran|my nan|my daughter|my son|her allotment|his allotment|"
                "their allotment|own allotment|my allotment|other allotment|another allotment|her garden|his garden|"
                "their garden|my garden|our garden at|at the farm|farm shop|pick your own|farmers market|next door|"
                "down the road|across town|at my place|my place|my house|our house|my kitchen|my window sill|my windowsill|"
                "dreamt|dreamed|on telly|on tv|in the book|the book says|youtube|at home|balcony|my own garden|back garden|"
                "front garden|back yard|my mum's|my parents|neighbour's|at work|at school|supermarket|shop|shops|store|market|"
                "greengrocer|greengrocers|bought|in my dreams|in my dream|in a dream|at the neighbours|in the neighbour's|"
                "at the school|at hers|at his|at theirs|at mine|at ours|on my home patch|home patch|home garden|garden centre|"
                "kitchen table|at the plant sale|at the market|from the market|from lidl|from aldi|from tesco|in the shop|"
                "in the park|at the pub|in my yard|my patio|the patio|my shed at home|on my balcony|my balcony|our balcony|"
                "at the kids school|in her garden|in his garden|my cousin|my cousins|my husband|my husband's|my wife|my wifes|"
                "my wife's|my partner|my in laws|my mother in law|my granny|my grandad|my grandma|my colleague|a mate|my mate|"
                "my mates|a friend|friends of mine|my boss|my village|in my country|back home|my parents'|my flat|our flat|"
                "my conservatory|my back garden|my front garden|community centre|the school garden|at nursery|at church|"
                "in church|at college|the church|the hospital|care home|my landlord|the landlord|plot next|neighbouring plot|"
                "next plot|the plot opposite|another garden|another plot|other garden|other plot|sister's|brother's|friend's|"
                "mum's|dad's|nan's|gran's|aunt's|uncle's|in the film|in a film|in the game|on facebook|on instagram|"
                "on the radio|gardeners world|gardeners question time|in a magazine|in the paper|on the news|my daughters|"
                "my sons|my aunts|my uncles|my grans|my nans|my mothers|my partners|my husbands|my wives|my grandmas|"
                "my grandads|my grannys|my mother in laws|my bosss|my colleagues|a friends|a mates|his daughters|her sons|"
                "our neighbours|our neighbour|our friends|the neighbours|the neighbour's"
                "|my father|my fathers|my ma|my maw|my da|my pa|my papa|my mama|my mam|my mams|my nana|my nanna"
                "|my nonna|my oma|my opa|my baba|my dede|my abuela|my grandfather|my grandmother|my grandparents"
                "|my family|my folks|my stepdad|my stepmum|my nephew|my niece|my sister in law|my brother in law"
                "|my father in law|my girlfriend|my boyfriend|my fiance|my fiancee|my ex|my flatmate|my flatmates"
                "|my housemate|my housemates|my roommate|my classmate|my classmates|my teacher|my tutor"
                "|my professor|my manager|my supervisor|my carer|my neighbor|my neighbors|our neighbor"
                "|our neighbors|the neighbors|the guy next door|the man next door|the woman next door"
                "|the lady next door|the fella next door|a guy at|a lad at|a woman at|a man at|a lady at"
                "|a bloke at|a girl at|guy at work|lad at work|girl at work|in my town|in my city|in my home town"
                "|in my hometown|in the old country|in my village|my home country|at my uni"
                "|at the care home|on the ward|in the hospital|at the hospital|my own plot at|my other plot"
                "|my other allotment|my windowbox|my window box|my terrace|my roof|our roof|our terrace|my yard"
                "|our yard"
                "|my phone|phone says|phone shows|phone said|my app|the app|weather app|app says|app shows"
                "|my porch|porch thermometer|the porch|my car|car says|car thermometer|bbc says|met office"
                "|forecast says|forecast shows|my watch|my kitchen thermometer|on my windowsill thermometer",
        ),
        "doubted": words(
            "words of hearsay and doubt",
            "he|she|says|said|told|heard|apparently|according to|reckons|reckon|thinks|think|supposedly|they say|"
                "claims|maybe|perhaps|probably|possibly|must have|might have|may have|seems|looks like|i guess|not sure|"
                "reckoned|seemingly|i believe|supposed|someone else|somebody else|according|rumour|rumor|word is|i hear|"
                "i read|reading that|might be|could be|or so i|so they say|told me|was told|says that|i assume|presumably|"
                "not certain|cant remember|can't remember|don't remember|dont remember|no idea|don't know|dont know|dunno|"
                "not sure which|or maybe|or was it|if i remember|i suppose|i reckon|from memory|tells me|tell me that|"
                "told us|was saying|is saying|mentioned|mentions|claimed|swears|insists|seems to have|seem to have|"
                "appears to have|appear to have|looked like|i gather|i understand|word has it|allegedly|supposed to have|"
                "or something|sort of|hearsay|by mistake|in error|thanks to|but * put them back|but * put it back|"
                "and * put them back|popped them back|put them back in|replaced|replacing|to replace|i bet|surely|"
                "ought to have|pretty sure|fairly sure|almost sure|"
                "as far as i know|afaik|i wonder if",
        ),
        "noting": words(
            "words that ask to write down what follows",
            "please record|please note|please log|please add|please write down|please put down|can you record|can you note|"
                "can you log|can you add|can you write down|can you put down|can you put|could you record|could you note|"
                "could you log|could you add|could you put down|could you write down|will you put down|put down that|"
                "put me down for having|note down|note that|make a note|for the record|for the log|for the diary|for the book|"
                "this is to report|to report|just to say|just to let you know|just letting you know|to let you know|"
                "just so you know|forgot to say|forgot to mention|forgot to tell you|forgot to write|forgot to add|"
                "forgot to log|forgot to record|forgot to note|meant to say|should have said|should have told you|"
                "should have written|also need to say|i need to report|i want to report|i would like to report|"
                "i'd like to report|want to report|have to report|record that|log that|i can report|pleased to report|"
                "happy to report|sorry to report|sad to report|sorry to say|pleased to say|update for you",
        ),
        "no_plan": words(
            "words that look like a plan, a no or a question and are none",
            "i'd already|we'd already|i'd just|as well|very well|really well|quite well|so well|pretty well|well rotted|"
            "well watered|well weeded|well fed|"
                "well covered|well done|well and truly|well soaked|oh well|well then|well i|well ive|well we|well anyway|"
                "well today|well this|well that|well just|well now|well finally|well established|well up|well over|"
                "well under|growing well|doing well|no need to|no trouble|no problem|needed doing|that needed|"
                "what a|how lovely|how nice|what was left|what is left|what's left|where needed|where it was needed|"
                "when i got there|when i was there|when i arrived|when i came|while i was there|why not|not bad|"
                "not too bad|not many|not much|not a lot|not quite|could not resist|couldn't resist|better late than never",
        ),
        "roughly": words(
            "words before a number that is only about right",
            "about|around|roughly|maybe|perhaps|probably|possibly|say|approx|approximately|circa|nearly|almost|just under|"
                "just over|well over|not quite|must be|must have been|might be|could be|would say|i'd say|id say|not far off",
        ),
        "remaining": words(
            "words after a number of what is still there",
            "left|remaining|remain|survived|surviving|survivors|still alive|still standing|still there|still going|made it|"
                "are ok|are okay|are fine|are alive|look ok|to go",
        ),
        "before_verb": own_words(
            "words after which a verb reports nothing",
                "to|for|after|before|while|about|the|of|no|without|or|suggest|suggested|recommend|recommended|stopped|skipped|"
                "avoid|avoided|postponed|delayed|missed|consider|considered|planned|plan|start|keep|hate|love|enjoy|prefer|"
                "than|like|never|won't|don't|can't|cannot|not|didn't|haven't|hasn't|isn't|wasn't|"
                "cans|butt|butts|bins"
        ),
        "told_after": own_words(
            "where a verb's noun stands for the verb (as in Welsh): all words before it that leave it a report; else -", "-"
        ),
        "unlike": words(
            "words that only look like verbs of the plot",
            "mine|mines|thinking|think|thanks|showed|showered|slowed|towed|stowed|snowed|allowed|plants|plant|"
            "plated|printed|painted|"
                "pointed|panted|picket|ticked|kicked|packed|cleaned|clear|learned|leaned|heard|hoard|shifted|gifted|potter|"
                "pottery|pottering|wandered|waited|wasted|wanted|recovered|discovered|hovered|moved|treasured|last|cost|list|"
                "been|seen|mean|means|lean|peace|bread|there|their|these|trying|lasted|hosting|piled|lifter|planning|planned|"
                "cutlery|water|waters|dig|digs|feel|feet|feed|feeds|seeds|seed|cover|covers|pick|picks|potato|potatoes|shutter|"
                "shout|short|sweet|weeks|weekend|weekly|week|needed|needs|wedding|reading|leading|heading|bedding|wading|"
                "waving|fixing|mixing|taking|talking|walking|waking|making|cooking|looking|booking|picnic|packing|parking|"
                "lining|living|loving|losing|closing|hosing|housing|using",
        ),
        "no_harvest": words(
            "words that make picking or cutting no harvest",
            "cut back|cut down|cut out|cut them down|cut it down|cut them back|cut it back|picked up|picked out|"
            "picking up|picking out|pinched|dug over|dug in|weeds|weed|"
                "weeding|grass|hedge|compost|haulm|haulms|dead leaves|cuttings|phone|kids|pulled apart|dandelions|nettles|"
                "brambles|thistles|docks|bindweed|couch|slugs|snails|caterpillars|stones|rubbish|litter|string|twine|"
                "canes|wood|sticks|branches|comfrey|flowers off|nets|hoe|trench|holes|hole|path|bed over|soil|ground|keys|"
                "key|parcel|post|bus|child|dog|shirt|muscle|finger|thumb|hand|corner|corners|short",
        ),
    }  # fmt: skip
