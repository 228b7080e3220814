"""The words by which a wish is told: concepts, each a list of phrases, one language at a time."""

from __future__ import annotations

from functools import cache

from bot.chat.language.away_words import away_words
from bot.chat.language.cover_words import cover_words
from bot.chat.language.small_talk import small_talk
from bot.i18n import say


@cache
def concepts(language: str) -> dict[str, str]:
    voice = say(language, "UTC")
    return {
        "asks": voice.pgettext(
            "concept: it is a question",
            "show me|show|send me|what do|what does|what is|what are|what's|whats|what can|what should|"
            "what happens|who is|who has|who's|whos|whose|how do|how does|how deep|how far|how long|how much|"
            "how many|how often|how cold|how windy|how is|how's|when do|when does|when is|when can|when will|"
            "when should|where is|where are|where did|where do|is it|is there|are there|will it|can i|can we|"
            "can you|can they|should i|should we|shall i|shall we|do i|do we|do you|does it|have we|has anyone|"
            "did we|tell me|i wonder|wondering|any idea|do you know|need to know|want to know|or not|or kasias|pls|"
            "what time|which day|what day|what date|what's the|whats the|is the|are the|are my|is my|do the|"
            "does the|will the|can the|what will|how should|how big|how high|how tall|how wide|am i|have you|"
            "who do|who did|who will|who can|any chance|when would|where can|where should|how come|why is|why are|"
            "why did|how did|how will|what did|what if|how to|what about|is anyone|is anybody|are we|are you|"
            "were there|was there|was it|would it|will i|will we|is this|does anyone|does anybody|can you tell|"
            "could you tell|remind me when|u know|anyone know|anybody know|too early|too late|or is it|or should i|"
            "right time|good time|ok to|okay to|safe to|allowed to|best time|time to sow|whats happening|gonna|"
            "need to|do they|does she|which|did i|did you|did he|did she|did they|did anyone|did anybody|"
            "did someone|did somebody|chance of|chances of|odds of|is anything|how warm|how wet|how dry|how hot|"
            "how low|how strong|how bad|or take it|or leave it|on or off",
        ),
        "news": voice.pgettext(
            "concept: what has happened",
            "did i miss anything|miss anything|what happened|what's happened|whats happened|what did i miss|"
            "what have i missed|what's new|whats new|any news|what's going on|whats going on|what is going on|"
            "catch me up|fill me in|anything i should know|what's still open|whats still open|what is still open|"
            "still open|still to be done|what is outstanding|what's outstanding|whats outstanding|"
            "anything outstanding|what's still to do|whats still to do|what is still to do|what's not done|"
            "whats not done|what isn't done|what is not done|what isnt done",
        ),
        "comers": voice.pgettext(
            "concept: who else comes to a job",
            "who else is coming|whos coming|who's coming|who is coming|who else|who comes with me|anyone else coming|"
                "anybody else coming|anyone coming with me|who said yes|who has said yes|whos said yes|who's said yes|"
                "who will be there|who is helping|who's helping|whos helping|who am i doing it with|who am i with|"
                "am i on my own|am i alone|will i be alone|is anyone else doing it|is anybody else doing it|"
                "who hasn't answered|"
                "who hasnt answered|who has not answered|who still hasn't|who still hasnt|who hasn't said|"
                "who hasnt said|"
                "who hasn't replied|who hasnt replied",
        ),
        "undo": voice.pgettext(
            "concept: take the last back",
            "undo|scrap that|scrap my last|scrap the last|cancel that|cancel my last|delete that|delete my last|"
            "forget that|forget my last|ignore that|ignore my last|take that back|take it back|strike that|"
            "remove that|disregard that|disregard my last|that was wrong|that's wrong|thats wrong|that is wrong|"
            "never mind that|cancel|cancel it|scratch that|scrub that|scrap it|no scrap it|delete it|delete last|"
            "remove it|remove last|rub that out|rub it out|wasn't meant to send|sent by mistake|by mistake|undo it|"
            "undo last|undo my last|ctrl z|oops undo|revert|roll back|that didnt happen|that didn't happen|"
            "no thats not right|not right|delete the last|remove the last|cancel the last|undo the last|"
            "delete the entry|delete entry|delete my entry|delete that entry|wrong entry|take out the last|"
            "drop the last|drop my last|wipe that|wipe the last|forget the last|ignore the last|clear the last",
        ),
        "correct": voice.pgettext(
            "concept: it was otherwise",
            "i meant|meant to say|meant to write|meant to type|no wait|it was * not|wasn't * was|should be * not|"
                "should have been|should've been|sorry not|correction|i got that wrong|i made a mistake|typo|"
                "sorry meant|"
                "sorry i meant|meant|i mean|not * but|make that|should read|should say|wrong bed|wrong number|wrong one|"
                "wrong crop|wrong place|ment|i ment|edit|actually it was|it was actually|i put the wrong|mistyped|"
                "fat fingers|"
                "autocorrect|wrong date|wrong day|wrong plant|should have put|should have said|no i said|"
                "not what i said|"
                "misspelt|misread|change it to|change that to|correct that|correct it|it was only|it was just|"
                "was actually|"
                "actually that was|actually it's|actually its|put it down as|not yesterday|not today",
        ),
        "remind": voice.pgettext("concept: remind me", "remind me|reminder|give me a nudge|nudge me|set an alarm|ping me"
"|set a reminder|put a reminder|give me a shout|prod me|dont let me forget|don't let me forget|buzz me|message me|text me|wake me"
"|gis a nudge|gimme a nudge|give us a nudge|give us a shout|gis a shout|gimme a shout|give me a poke|poke me"
"|give me a bell|gimme a bell|give me a ping|gimme a ping|give me a buzz|gimme a buzz|nudge us|ping us|remind us"
"|jog my memory|set me a reminder|set me an alarm|can you remind|could you remind|prompt me|dinnae let me forget"
"|don't let me forget to|shout me|shout at me"
"|gies a shout|gies a nudge|gies a bell|gies a ring|gies a text|gie me a shout|gie us a shout|gie's a shout"
"|give me a ring|give me a text"),
        "supposed": voice.pgettext(
            "concept: what should be, and puts nothing right", "meant to be|meant to do|meant to|supposed to be|supposed to"
        ),
        "past_cold": voice.pgettext(
            "concept: how cold it was",
            "how cold did|how low did|how cold was|how cold it got|did it freeze|was it freezing|did we get a frost|"
            "did we have a frost|was there a frost|was there frost|did it get below|did it drop|did it go below",
        ),
        "locked": voice.pgettext(
            "concept: how to get in",
            "how do i get in|how do we get in|how do i get into|how do you get in|how can i get in|let me in|unlock|"
            "get the door open|locked out|its locked|it's locked|is locked",
        ),
        "did": voice.pgettext("concept: it was seen to", "did|done|seen to|been done"),
        "rhythm": voice.pgettext("concept: how often", "how often|how much water|how many times"),
        "key": voice.pgettext("concept: keys", "key|keys|padlock"),
        "misplaced": voice.pgettext(
            "concept: a key is lost",
            "lost|can't find|cant find|cannot find|misplaced|missing|dropped|snapped|doesn't fit|doesnt fit|"
            "won't turn|wont turn",
        ),
        "language": voice.pgettext("concept: another language", "speak polish|in polish|speak english|in english|po polsku|change language|"
            "other language|different language"),
        "picture": voice.pgettext("concept: a picture of the nights", "picture|chart|graph|as a picture|image"),
        "wishes": voice.pgettext(
            "concept: when somebody can come",
            "only do mornings|mornings only|only mornings|can only come|can only do|only come|only free|free on|"
                "weekends only|only weekends|once a week|ask me less|less often|not so often|too many turns|fewer turns|"
                "no more than|evenings only|just mornings|only in the mornings|just weekends|can't do evenings|"
                "cant do evenings|don't do evenings|no evenings|max once|not around mornings|not around evenings|"
                "not around weekends|never weekends|no weekends|no mornings|no sundays|not on sundays|not at weekends|"
                "not at the weekend ever|only after work|only after school|only in the evening|only in the evenings|"
                "only evenings|only at weekends|only on weekends|only on saturdays|only on sundays|can't do mornings|"
                "cant do mornings|can't do weekends|cant do weekends|once a fortnight|once a month",
        ),
        "tell": voice.pgettext(
            "concept: tell me",
            "tell me|explain|advise|know how|know when|know where|know what|know if|know why|remind me how|"
            "remind me what|"
            "remind me whats|remind me what's|remind me where|remind me who|remind me which|remind me why|"
            "remind me when the",
        ),
        "stock": voice.pgettext(
            "concept: how many there are",
            "how many * have we got|how many * are there|how many * do we have|how many * are left|how many * left|"
            "how many * are growing|how many * did we plant|how many * have we planted|how many * did we sow",
        ),
        "empty": voice.pgettext("concept: nothing grows there", "empty|free|spare|vacant|nothing in|unused|bare"),
        "watered": voice.pgettext("concept: it was watered", "watered|did the watering|been watered|watering done"),
        "given": voice.pgettext("concept: handed over",
            "given|gave|handed|passed|lent|has|have|got|took|taken|dropped|left * with|with|returned|now has"),
        "hose": voice.pgettext("concept: a hose ban",
            "hose ban|hosepipe ban|hose pipe ban|hosepipe * ban|ban on hoses|use the hose|use a hose|use hoses|"
            "hosepipe allowed|hose allowed|hoses allowed|ban on|watering ban|use the hosepipe|use a hosepipe|"
            "ban still|ban over"
            "|allowed the hose|allowed a hose|allowed to hose|allowed to use the hose|allowed to use a hose"
            "|can i hose|can we hose|ok to hose|hosing allowed|water restrictions|watering restrictions"
            "|drought order|sprinkler ban|sprinklers allowed|hosepipe restrictions"),
        "frost": voice.pgettext(
            "concept: frost and cold",
            "frost|frosts|frosty|freeze|freezes|freezing|ice|icy|below zero|under zero|minus|cold|coldest|how low|"
                "temperature|temp|temps|degrees|chilly|sub zero|subzero|warm|warmer|zero|low tonight|the low|lows|"
                "overnight low|mild|nippy|parky|bitter|brass monkeys|ground frost|air frost|freezin|frezing|frosst|"
                "coldest it|thermometer|chill|degress|celcius|lowest|low will|worse tonight|worse tomorrow|"
                "worse than last night|"
                "worse than yesterday|as bad tonight|as bad as last night|any better tonight|better tonight",
        ),
        "usual": voice.pgettext(
            "concept: as it usually comes",
            "last frost|first frost|last frosts|frost date|frost dates|usually|normally|average|typical|typically|"
            "end of frost|"
            "frosts end|frosts over|frost over|frost free|frosts stop|frosts finish|frosts start"
"|frost end|frost ends|frost stops|frost finish|frost free date|risk of frost end|when is it safe from|"
"safe from frost|last spring frost|past the frost|no more frost|end of the frost"
"|stop fretting about frost|stop worrying about frost|stop worrying about the frost"
"|worry about the frost|frosts done|frost done|done with frost|done with frosts|frost risk over|frost risk end"
"|frosts normally end|expect the last frost|end of the frosts|out of the frost|rid of frost",
        ),
        "lost": voice.pgettext(
            "concept: what was lost",
            "what did * eat|what did * get|did we lose|have we lost|did i lose|what did * take|what did * kill|"
            "what has * taken|lost to|losses|got lost|what died|what has died|how many died|how many * lost|"
            "was lost|did the frost get|did frost get|did the cold get|did the slugs get|did slugs get|did the snails get|"
            "did the pigeons get|did pigeons get|did the wind get|did the gale get|did the mice get|did the birds get|"
            "did anything get|did something get|anything damaged|any damage|what was damaged",
        ),
        "picked": voice.pgettext(
            "concept: what was picked",
            "pick|picked|harvest|harvested|had|crop|cropped|get|got|gathered|lift|lifted|yield|yielded|bring in|taken|"
                "take|dig|dug|grow|grown|produce|produced|so far|total|totals|tally|haul|weighed in",
        ),
        "much": voice.pgettext("concept: how much", "how much|how many|what weight|total|totals|altogether|kilos|so far|kg|weigh"
"|how many kilos|how many kg|what have we picked|weight of"
"|have we picked|did we pick|have we had|have we harvested|picked any|any picked|have i picked"),
        "swap": voice.pgettext(
            "concept: somebody else's turn",
            "swap|swaps|swapping|swop|trade|switch|exchange|take my turn|takes my turn|do my turn|instead of me|"
            "cover for me|"
            "stand in for me|fill in for me|take over",
        ),
        "turn": voice.pgettext(
            "concept: turns",
                "turn|turns|shift|shifts|rota|duty|duties|slot|on call|on duty|oncall|roster|on watering|"
                "go to water|down for|"
                "down to do|on the rota|the rota|whos on|who's on|who is on|on tonight|on today|on tomorrow|"
                "on this weekend|"
                "my go|do i next|i next have|need me|am i needed|am i wanted|am i required|want me|whose go|next job|my next|next turn|"
                "next on|am i on|am i next|i next on|my next go|next go|whose on|"
                "whos up|who's up|do i water|i have to water|am i watering|have to water next|my watering|i water next"
        ),
        "mine": voice.pgettext("concept: mine", "my|me|mine|i|am i|im"
"|myself|i've|ive|i'm|i am|do i|when do i|for me"),
        "can": voice.pgettext("concept: can somebody", "can|could|would|will"),
        "lifting": voice.pgettext(
            "concept: what somebody can't lift",
            "no lifting|no heavy lifting|not lift|can't lift|cant lift|cannot lift|shouldn't lift|shouldnt lift|"
            "no more lifting|"
            "nothing heavy|no heavy|not * heavy|light work|light jobs|light duties|bad back|my back is|my backs|"
            "my back's|my back hurts|back is bad|back pain|back trouble|no bending|can't carry|cant carry|"
            "no carrying|not allowed to lift|not to lift"
            "|nowt heavy|owt heavy|nothing too heavy|no heavy stuff|no heavy jobs|no heavy work|no humping"
            "|no hauling|light duties only|can't be lifting|cant be lifting|mustn't lift|mustnt lift|must not lift"
            "|don't want to lift|dont want to lift|off lifting|off heavy|no strain|not strain",
        ),
        "hands": voice.pgettext(
            "concept: help is wanted",
            "need two people|need * people|people to help|two people to|could do with a hand|could use a hand|"
            "need a hand|"
                "need help with|need some help|need help|give me a hand|lend a hand|anyone help|anybody help|"
                "someone help|"
                "somebody help|anyone free to|anybody free to|can someone|can somebody|could someone|could somebody|"
                "can anyone|"
                "can anybody|could anyone|could anybody|would someone|would somebody|volunteers|extra hands|more hands|"
                "pair of hands|need people|need someone|need somebody|look after my|water my",
        ),
        "broken": voice.pgettext(
            "concept: something is broken",
            "broken|broke|blew off|blown off|blew away|hole in|torn|ripped|jammed|stuck|leaking|leak|leaks|cracked|"
            "smashed|missing|stolen|nicked|vandalised|collapsed|fell down|fallen down|fell off|fallen off|snapped|"
            "won't open|wont open|won't lock|wont lock|won't shut|wont shut|flooded|burst|bent|come loose|came off|"
            "hanging off|damaged|rotten|rats|come off|off its hinges|off the hinges|hinges|wonky|busted|bust|"
            "knackered|kaput|not working|doesn't work|doesnt work|isn't working|isnt working|packed up|given up|"
            "in bits|in pieces|hole|split|splitting|slashed|damage|smashed up|wobbly|loose|blown|blown over|"
            "fell over|fallen over|down in the wind|been broken into|broken into|graffiti|dripping|drips|"
            "running all the time|seized|wont close|won't close|wont start|won't start|doesnt lock|doesn't lock|"
            "rusted|perished|are down|is down|blown down|blew down|come down|came down|flattened|knocked over|blew over|"
            "toppled|tipped over",
        ),
        "thing": voice.pgettext(
            "concept: things of a garden that break",
            "pot|door|doors|gate|lock|padlock|tunnel|polytunnel|greenhouse|shed|fence|hose|hosepipe|tap|water butt|butt|"
                "pipe|glass|pane|panes|cover|window|frame|bench|barrow|wheelbarrow|tool|tools|fork|spade|key|path|"
                "roof|staging|"
                "cane|canes|compost|compost bin|bin|table|sign|net|trellis|arch|pump|barrel|hinge|latch|step|steps|"
                "board|"
                "boards|raised bed|watering can|hinges|tunnel door|padlocks|taps|water|standpipe|cold frame|"
                "frame lid|lid|"
                "lean to|guttering|gutter|water tank|tank|hook|hooks|wheel|tyre|handle|secateurs|shears|strimmer|mower|"
                "lawnmower|ladder|chair|chairs|kettle|toilet|loo|notice board|noticeboard|fencing|panel|panels|post|"
                "posts|wire|"
                "chicken wire|light|lights|bulb|plot sign|sleeper|sleepers|plank|planks|pond|hotbox|polythene|"
                "plastic|sheeting",
        ),
        "who": voice.pgettext("concept: who", "who|who's|whos|whose|anyone|anybody|someone|which of us|who is|has anyone|has anybody"),
        "jobs": voice.pgettext(
            "concept: jobs of turns",
            "water*|doing|covering|cover|covers|opening|opens|open|closing|closes|close|venting|does|do|on today|"
            "on tonight|on tomorrow|on this week|on monday|on tuesday|on wednesday|on thursday|on friday|"
            "on saturday|on sunday|on call|looking after|responsible|in charge|coming|there today|locking|locks",
        ),
        "diary": voice.pgettext(
            "concept: the calendar",
            "work day|workday|work party|work parties|working day|working party|calendar|meeting|meet up|event|"
            "events|what's on|whats on|what is on|open day|agm|next dates|dates|diary|get together|bbq day|"
            "plant sale|seed swap",
        ),
        "safe": voice.pgettext(
            "concept: safe from the cold",
            "leave * in|leave * there|be left|safe|cover|covered|covering|cover up|fleece|protect|protecting|protection|"
                "bring in|bring * in|brought in|take in|take * in|carry in|indoors|inside|stay out|stay outside|"
                "stay * outside|"
                "left out|leave * out|leave * outside|put out|put * out|go out|go outside|plant out|outside|"
                "outdoors|survive|"
                "harden|harden off|hardening|hardening off|be ok|be alright|be all right|be fine|ok out|ok outside|"
                "ok tonight|"
                "alright tonight|too cold|risk|hurt by|harm|take frost|stand frost|stand the cold|need covering|"
                "need cover|"
                "wrap|at risk|in danger|need bringing in|needs bringing in|bringing in|come in tonight|bring them in|"
                "need to come in|take them in|put them out|out at night|outside at night|stay outdoors|cope|"
                "cope with|be okay|"
                "manage outside|make it through|hardy enough|hardy|tender|frost hardy|stand it|need fleece|fleecing|"
                "needs fleece|put fleece|cover them|cover it|covers on|need shelter",
        ),
        "depth": voice.pgettext("concept: how deep", "how deep|what depth|depth|deep"),
        "spacing": voice.pgettext("concept: how far apart",
            "how far apart|how far|far apart|spacing|space between|gap between|gap|how close|distance|apart|"
            "space out|how much room|how much space",
        ),
        "fit": voice.pgettext(
            "concept: how many fit",
            "how many fit|how many * fit|how many will|how many can|how many in|how many per|how many plants|"
            "how many * per|fit in|room for|how many do i need|how many should|how many do we need|for a family|"
            "for four|for two|for 4|for 2|how many * need",
        ),
        "neighbours": voice.pgettext(
            "concept: neighbours of a crop",
            "next to|beside|companion|companions|alongside|good neighbours|together with|go with|goes with|near",
        ),
        "keep": voice.pgettext(
            "concept: how it keeps", "store|stored|storing|keep|keeps|keeping|storage|how long do * last|last in store|freeze them"
        ),
        "feed": voice.pgettext("concept: feeding", "feed|feeding|fertiliser|fertilizer|fertilise|fertilize|manure|tomato feed|fed"),
        "problem": voice.pgettext(
            "concept: something is wrong with plants",
            "curling|curl|yellow|yellowing|brown|spots|spotty|holes|wilting|wilted|droopy|drooping|mildew|mould|blight|"
                "aphids|blackfly|greenfly|slugs|pest|pests|disease|black spots|bolting|bolted|dying|what's wrong|"
                "whats wrong|"
                "what is wrong|eating|going black|look black|looks black|rotting|leggy|pale|rust|split|splitting|"
                "sick|pigeon|"
                "pigeons|birds|snails|mice|rabbits|badgers|squirrels|voles|rats|deer|flea beetle|flea beetles|"
                "caterpillar|"
                "caterpillars|whitefly|white fly|red spider|spider mite|vine weevil|carrot fly|cabbage white|"
                "cabbage whites|"
                "butterflies|ants|earwigs|leaf miner|sawfly|thrips|wireworm|wireworms|eelworm|club root|clubroot|"
                "white rot|"
                "onion fly|downy|powdery|grey mould|botrytis|damping off|scab|canker|black leg|blackleg|mosaic|virus|"
                "blossom end rot|scorched|sunburn|sunburnt|stunted|limp|floppy|flopping|flopped|sulking|purple leaves|"
                "dropping leaves|nibbled|chewed|munched|been eaten|being eaten|white spots|white stuff|bugs|grubs|"
                "maggots|"
                "maggot|weevil|weevils|fungus|mouldy|look ill|looks ill|look unhappy|looks unhappy|not happy|gone soft|"
                "going soft|gone to seed|gone brown|gone yellow|going brown|going yellow|turning yellow|turning brown|"
                "turning purple|falling over|not growing|not thriving|poorly|been at|at them again|distorted|"
                "blotches|rusty|"
                "crispy|wilt|slug|slug trails|looking sorry|sorry for themselves|unhappy|ill",
        ),
        "ready": voice.pgettext(
            "concept: when it is ready",
            "ready|ripe|harvest|pick|lift|dig|dig up|cut|pull|eat|crop|be able to pick|first harvest|"
            "how long until|how long till|how long before|how long do * take|how long does * take",
        ),
        "sow": voice.pgettext(
            "concept: sowing and planting",
            "sow|sowing|sown|plant|planting|planted|start|start off|put in|go in|get in|too late|too early|too soon|"
            "still time|"
            "when do|prick out|pot on|chit|seeds|seed|seedlings|transplant",
        ),
        "water": voice.pgettext(
            "concept: watering", "water|watering|watered|need water|needs water|need a drink|dry|thirsty|give them a drink"
        ),
        "inside": voice.pgettext(
            "concept: what grows there",
            "what's in|whats in|what is in|what's growing|whats growing|what is growing|what do we have|"
            "what have we got|anything in|what was in|what's planted|whats planted|is planted|growing in|grows in|"
            "what are in|what's left in|empty|free|room in|space in|is there space|is there room|spare",
        ),
        "where": voice.pgettext("concept: where", "where|where's|wheres|which bed|what bed|whereabouts|which pot|what pot"),
        "whose": voice.pgettext("concept: whose it is", "whose|who has|who holds|who owns|who's got|whos got|belongs to|belong to|who looks after"),
        "plot": voice.pgettext("concept: a plot", "plot|plots|allotment"),
        "rain": voice.pgettext("concept: rain",
            "rain|rains|raining|rainy|shower|showers|wet|downpour|drizzle|umbrella|dry day|stay dry|chuck it down|"
            "chucking it down|chuckin it down|bucket down|bucketing|bucketing down|tip it down|tipping it down|"
            "tip down|tipping down|lash|lash down|lashing|pour|pours|pouring|pissing|piss down|pissing down|"
            "piss it down|pissing it down|throw it down|throwing it down|hammer down|hammering down|hammer it down|"
            "heavens open|brolly|brollies|raincoat|waterproofs|mizzle|deluge|cloudburst|due a soaking|"
            "get a soaking|in for a soaking|get soaked|get drenched|stair rods|cats and dogs|teeming|teem|spitting|"
            "spit with"),
        "wind": voice.pgettext(
            "concept: wind", "wind|windy|winds|gale|gales|gust|gusts|gusty|storm|storms|stormy|blow|blowing|breezy|blowy|breeze"
        ),
        "weather": voice.pgettext("concept: the weather", "weather|forecast|sunny|sun|hot|heat|heatwave|how warm"),
        "out": voice.pgettext("concept: what may go out", "go out yet|put out yet|plant out yet|harden off|what can go out|plant out"),
        "week": voice.pgettext(
            "concept: what to do",
            "supposed to do|asked to do|meant to do|supposed to be doing|meant to be doing|what do i have to do|what have i to do|do i have to do|should i be doing|"
            "down for|i can help|can help with|help with|what should i do|"
            "what shud i do|what should we do|what can i do|what to do|what needs doing|needs doing|"
            "what is there to do|what's to do|whats to do|what's left to do|whats left to do|what is left to do|"
            "left to do|anything to do|this week|my week|jobs|to do list|what next|what's next|whats next|"
            "what do you need|what can i help|how can i help|what needs|what's on today|what have i got to do|"
            "what do i need to do|any jobs|anything need doing|anything needs doing|what's urgent|most urgent|"
            "what should i|what do i do|where do i start|be useful|to be done|priority|priorities|want doing|"
            "wants doing|wanting doing|need to be done|have to be done|got to be done|any work|any tasks|tasks|"
            "anything for me|something to do|something i can do|where can i help|where do you need|use a hand with|"
            "need me to do|got an hour|got half an hour|what's needed|whats needed|what is needed|what now|"
            "whats the plan|what's the plan|on the list|job list|jobs list|list of jobs|whats on the agenda|"
            "what can we do|urgent|pressing|need urgent|anything urgent|jobs for me|anything i can do|any job|"
            "to be getting on with|needs seeing to|need seeing to|still to do|what remains|where should i start|"
            "where shall i start|where to start|where do we start|what wants doing|what can i be doing|"
            "what could i do|what could i be doing|what shall i do|wots to do|what jobs|which jobs|"
            "where am i needed|anything for us|make myself useful|what would help|what would be useful"
            "|what's on the list|whats on the list|what is on the list|on the to do list|on my list"
            "|what's on the cards|owt need doing|owt want doing|owt to do|owt i can do|anything i should do"
            "|anything i should be doing|what should we be doing|what first|what's first|whats first"
            "|the plan for today|what are we doing|what are we at|what's outstanding|whats outstanding"
            "|still outstanding"
            "|what's on this week|whats on this week|what is on this week|wots on this week|what's on this wk"
            "|whats on this wk",
        ),
        **away_words(voice),
        **cover_words(voice),
        **small_talk(voice),
    }  # fmt: skip
