"""The cues by which an answer is told, one language at a time: can't, yes, will, done, only partly, not known yet, if."""

from __future__ import annotations

from bot.i18n import Say


def cues_of(voice: Say) -> dict[str, str]:
    """Phrases by what they mean; longer ones win, so that "no problem" is no "no"."""
    return {
        "nothing": voice.pgettext(
            "words that look like an answer and are none",
            "it will|it'll|itll|that will|that'll|thatll|they will|they'll|theyll|she will|he will|there will|"
            "will it|will there|will be fine|no doubt|no matter|no wonder|no rush|no hurry|no offence|yes and no|"
            "no news|no sign|no one|no more|i said yes|i said i would|said i would|i said id do it|i said ok|"
            "half one|half two|half three|half four|half five|half six|half seven|half eight|half nine|half ten|"
            "half eleven|half twelve|half 1|half 2|half 3|half 4|half 5|half 6|half 7|half 8|half 9|half 10|"
            "half 11|half 12|half past|half an hour|half hour|can't find|cant find|cannot find|couldn't find|"
            "couldnt find|can't get in|cant get in|couldn't get in|couldnt get in|can't get the|cant get the|"
            "only just seen|only just saw|only just read|only just got|just seen this|"
            "only this once|just this once|won't be late|wont be late|not be late|not late|never late|not too late|"
            "fleece is on the floor|fleece is on the ground|fleece is on the bench|fleece is on the table|"
            "fleece is on the shelf|fleece is on its way|fleece on the floor|fleece on the ground|fleece on the bench|"
            "can't see the|cant see the|can't open|cant open|couldn't open|couldnt open|can't reach the|"
            "cant reach the|can't wait|cant wait|can't remember where|cant remember where|can't lift the|"
            "cant lift the"
            "|no need to ask anyone|no need to ask anybody|no need to ask others|no need to ask anyone else"
            "|no need to ask anybody else|no need to ask someone else|no need to ask somebody else"
            "|no need to find anyone|no need to find someone|no need to get anyone|no need to tell anyone"
            "|no need to worry|no need to remind|don't ask anyone else|dont ask anyone else"
            "|dont need to ask anyone|don't need to ask anyone|without being asked|wont i|won't i|wont we|won't we"
            "|dont i|don't i|cant i|can't i|didnt i|didn't i|havent i|haven't i|nobody else about"
            "|nobody else around|no one else about|no one else around|noone else about|nobody else to"
            "|no one else to|nobody else can|no one else can|no one else will|nobody else will|i know i said yes"
            "|i know i said i would|know i said yes|know i said i would|never forgot|not forgotten"
            "|i've not forgotten|ive not forgotten|not a moment too soon|not before time|no later than"
            "|not later than"
            "|the noo|right noo|just noo|here noo|oot noo|up noo|doon noo|keep yer heid on|keep your hair on"
            "|keep your shirt on|hold your horses|haud yer wheesht"
            "|sick of|been sick of|sick and tired|sick to death"
            "|brought them back out|brought it back out|brought back out|put them back out|put it back out"
            "|put back out|took them back out|took it back out|taken back out|carried them back out"
            "|moved them back out",
        ),
        "cannot": voice.pgettext(
            "cues that somebody can't",
            "let someone|let somebody|let another|instead of me|in my place|rather than me|not a hope|no hope|not a chance|"
            "not up to it|nowhere near|not till|not til|not until|won't manage|wont manage|have to say no|decline|"
            "sit this one out|give it a miss|can't|cannot|can not|can t|won't|wont|not able|unable|not me|"
            "no chance|no way|no can do|not today|not tonight|not tonite|not this time|not this week|"
            "not this evening|not in|not available|not possible|not going to make|not gonna make|don't think i can|"
            "dont think i can|don't think so|doubt i|doubt it|i'd rather not|rather not|would but|"
            "would love to but|would if i could|love to but|like to but|wish i could|afraid not|ask someone|"
            "ask somebody|ask another|someone else|somebody else|anyone else|find someone|find somebody|"
            "try someone|get someone|to pass|pass|i'll pass|ill pass|count me out|leave me out|opt out|drop out|"
            "pull out|back out|bail|no longer|after all|no go|carnt|cnt|wrong day|no good for me|no use|impossible|"
            "someone will|somebody will|hopefully someone|hope someone|maybe someone|cry off|crying off|bow out|"
            "bowing out|have to cancel|got to cancel|need to cancel|have to drop|can no longer|let you down|"
            "letting you down|not on this occasion|not on tonight|some other time|another time|next time maybe|"
            "maybe next time|rain check|raincheck|ask a different person|give it to|not going to happen|"
            "not gonna happen|not going to be able|couldn't possibly|won't work for me|wont work for me|"
            "doesn't work for me|doesnt work for me|doesn't suit|doesnt suit|i'm out of|have to refuse|must refuse|"
            "must decline|regret|anybody else|someone else's turn|somebody else's turn|someone elses turn|"
            "somebody elses turn|not my turn|times this week|times already|twice this week|twice already|"
            "put someone else|put somebody else|nothing doing|hands full|must be joking|on second thoughts|shan't|"
            "shant|night off|someone elses go|someone else's go|somebody elses go|somebody else's go|"
            "can someone else|can somebody else|could someone else|could somebody else|can someone do|"
            "can somebody do|could someone do|could somebody do|can someone take|can somebody take|"
            "could someone take|could somebody take|can someone cover for|can somebody cover for|"
            "could someone cover for|could somebody cover for|can someone swap|can somebody swap|"
            "could someone swap|could somebody swap|can someone step in|can somebody step in|could someone step in|"
            "could somebody step in|can someone fill in|could someone fill in|can someone stand in|"
            "could someone stand in|can anyone else|could anyone else"
            "|cannae|cannie|canna|couldnae|willnae|winnae|dinnae think|didnae|cant make it|can't make it"
            "|cannot make it|couldnt make it|couldn't make it|not happening|aint happening|ain't happening"
            "|isnt happening|isn't happening|wont be happening|won't be happening|bailing|bailing out|bail out"
            "|have to bail|gonna have to bail|need to bail|gonna bail|pulling out|duck out|ducking out"
            "|have to skip|gonna skip|going to have to skip|need to skip|skip me|give me a miss|miss me out"
            "|leave me off|leave me off it|take me off|take me off it|not free|no time for|got no time"
            "|shall have to decline|will have to decline|have to decline|obliged to decline|shall have to say no"
            "|will have to say no|shall have to pass|will have to pass|i'll have to pass|ill have to pass"
            "|i shall have to cancel"
            "|someone else will have to|somebody else will have to|someone else has to|somebody else has to"
            "|someone else needs to|kindly excuse me|please excuse me|excuse me for|have to be excused"
            "|could you try|can you try|would you try|not be finished in time|not finished in time"
            "|won't be back in time|wont be back in time|not be back in time|not back in time|shall not be"
            "|not possible for me|is not possible for me|it's not possible|its not possible|not feasible"
            "|not doable|no joy|no luck tonight",
        ),
        "favour": voice.pgettext(
            "cues of a wish beside an answer, that others do something",
            "can someone|can somebody|could someone|could somebody|can anyone|can anybody|could anyone|could anybody|"
            "would someone|would somebody",
        ),
        "excuse": voice.pgettext(
            "cues of what keeps somebody away",
            "exhausted|knackered|shattered|miles away|not around|not at home|not well|not feeling|not free|poorly|"
            "i'm ill|im ill|am ill|feeling ill|been ill|sick|in hospital|at work|i'm working|im working|"
            "working tonight|work late|working late|late shift|night shift|stuck|i'm away|im away|away tonight|"
            "away till|away until|on holiday|on hols|in bed|out of town|out of action|back's gone|backs gone|"
            "back is gone|bad back|my back is|my back hurts|my back has|my knee|my knees|too tired|too busy|"
            "too far|too late|busy|double booked|other plans|other commitments|something's come up|"
            "somethings come up|something came up|cropped up|change of plan|hurt my|broken down|injured|"
            "out tonight|i'm out|im out|out this evening|out all day|out for the day|tied up|on nights|on lates|"
            "on shift|on call at work|covid|appointment|appt|hospital|doctors|dentist|dentists|no car|wedding|"
            "funeral|birthday|childcare|the kids|babysitting|flat tyre|puncture|stranded|train|no lift|hungover|"
            "migraine|missed the bus|unfortunately|no time|haven't got time|havent got time|don't have time|"
            "dont have time|will be away|ill be away|be away|be out|be asleep|be at work|still at work|be working|"
            "in leeds|in london|in manchester|in birmingham|in spain|in france|down south|up north|on a train|"
            "on the motorway|at my mums|at my mum's|at a gig|at the pub|been drinking|no transport|got guests|"
            "got visitors|visitors|kids tonight|got the kids|the baby|shift|work till|at work till|theatre|match|"
            "rehearsal|choir|parents evening|in a meeting|flu|sprained|poorly kids|no babysitter|at my sons|"
            "at my son's|at my daughters|at my daughter's|far for me|playing up|im not there|i'm not there|meeting|"
            "a meeting|meetings|school run|night class|evening class|lesson|football|swimming|yoga|gym|party|"
            "concert|cinema|dinner|out for dinner|out for a meal|out for tea|late at the office|at the office|"
            "overtime|double shift|early shift|at college|at uni|at school|at church|at the vets|at the vet|vets|"
            "at a funeral|at a wedding|at the airport|at the station|at the seaside|at the coast|at my sisters|"
            "at my sister's|at my brothers|at my brother's|at my parents|at my dads|at my dad's|at my nans|"
            "at my nan's|at my girlfriends|at my boyfriends|in ireland|in poland|in scotland|in wales|abroad|"
            "off sick|got a cold|got flu|got a bug|stomach bug|feel rough|feeling rough|feel sick|unwell|"
            "not very well|under the weather|put my back out|done my back|my hip|my shoulder|my arm|my foot|"
            "my ankle|broke my|broken my|headache|wiped out|dead on my feet|run off my feet|rushed off my feet|"
            "snowed under|swamped|no sitter|kids are|kid is|kids in bed|child is|looking after|grandkids|"
            "grandchildren|car in|car's in|cars in|car is in|car broke|car broken|no buses|no bus|late notice|"
            "short notice|something has come up|something's cropped up|emergency|power cut|locked out|leaving town|"
            "halfway to|miles from|just got in|only just got|just got home|other side of|far side of|side of town|"
            "too dark|too cold for me|getting dark|too wet for me|too icy|too slippery|away from home"
            "|at ma|at me mams|at my mams|at ma maws|at me nans|at my grans|at my gran's|at my mates|at a mates"
            "|at my partners|been sick|being sick|throwing up|not sleeping|no sleep|on a late|on a night"
            "|on an early|on a long day|on earlies|on call tonight|working nights|at the match|at training"
            "|at practice|at a party|at a concert|at the cinema|at the hospital|at the doctors"
            "|at the doctor's|having an operation|an op|had an op|crutches|on crutches|in plaster"
            "|no way of getting there|cant get there|can't get there|cant get away|can't get away|cant get out"
            "|can't get out|cant leave|can't leave|cant get off work|can't get off work|locked in|waiting in for"
            "|plumber|electrician|delivery coming|exam|exams|revision|deadline|interview|parents evening tonight"
            "|already in bed|already in my pyjamas|in my pjs|in my pyjamas"
            "|on duty|having fever|has fever|has a fever|fever|a temperature|running a temperature|chicken pox"
            "|chickenpox|vomiting|tummy bug|stomach ache|toothache|my son is|my daughter is|my child is"
            "|my husband is|my wife is|my mum is|my dad is|parents' evening|open evening|governors meeting"
            "|in bradford|in dublin|at the in laws",
        ),
        "no": voice.pgettext("cues that say no",
                "wrong|incorrect|that's wrong|thats wrong|no|noo|nooo|nope|nah|nay|no thanks|no thank you|no sorry|"
                "sorry no|negative|not really|nop"
                "|naw|nae|nuh|nuh uh|uh uh|yeah no|yeh no|yea no|aye no|no no|hell no|no ta|no cheers|no can't"
                "|no cant|no chance mate"),
        "yes": voice.pgettext(
            "cues that say yes",
            "cool|fab|brill|deal|indeed|shall do|i shall|easy|glad to help|happy to help|roger that|affirmative|"
            "any time|anytime|correct|that's right|thats right|exactly|spot on|that's it exactly|true|do it|yes|"
            "yess|yesss|y|yh|ya|go for it|sounds like a plan|sounds fine|spose so|suppose so|i guess so|will try|"
            "i'll try|ill try|try my best|do my best|yea|yeah|yeh|yep|yup|ye|aye|ok|okay|okey|oki|okey dokey|k|kk|"
            "sure|sure thing|of course|course|certainly|absolutely|definitely|defo|deffo|gladly|happy to|glad to|"
            "no problem|no problems|no prob|no probs|no bother|no worries|not a problem|no trouble|"
            "leave it with me|leave it to me|put me down|count me in|why not|go on then|go on|go ahead|got it|"
            "got this|will do|can do|can do it|on it|on to it|i'm on it|fine|fine by me|that's fine|consider it|"
            "consider it done|i can|we can|all right|alright|righto|right o|rightio|roger|yes please|you bet|"
            "my pleasure|with pleasure|suits me|works for me|sounds good|i'm free|im free|will be there|be there|"
            "happy with that|haven't forgotten|havent forgotten|don't worry|dont worry|no need to ask|see to it|"
            "take it|i'll take|count on me|sorted for tonight|i'm your man|volunteer|me please|leave it w me|"
            "i'll sort it|ill sort it|will sort|i got this|ok boss|on way|be right there|yes mate|yes m8|yh sure|"
            "aye ok|you got it|np|consider done|bring it on|happy 2|ok 👍|mine|i'll have it|ill have it|ok then|"
            "i dont mind|i don't mind|up there anyway|down there anyway|not a bother|not an issue|no issue|"
            "no issues|no drama|no dramas|no hassle|no sweat|not a worry|not a bad idea|nae bother|nae problem|"
            "nae prob|nae probs|ay ay|aye aye|still on for|all good for tonight|all good for later|"
            "no bovver|consider it watered|consider it covered|consider it sorted|consider it opened|"
            "consider it shut|consider it closed|consider it in|leave that one to me|leave that to me|"
            "leave this to me|leave this one to me|leave this one with me|leave that with me|"
            "leave that one with me|leave them to me|leave them with me|i go now|i am coming|i'm coming|im coming|"
            "will come|i am free|i'm able|im able|i am able|if i must|as you wish|with joy|you can rely on me|"
            "rely on me|you can count on me|i volunteer|ill volunteer|by all means|if you like|right you are|"
            "copy that|10 4|ten four|agreed|of corse|im down for it|i'm down for it|i'm up for it|im up for it|"
            "up for it|i'm game|im game|happily|willingly|be delighted|delighted to|it would be a pleasure|"
            "my turn anyway|already on my way|already there|i'm there|im there now|i'm there now|am there|"
            "already here|be up at|ill be up at|i'll be up at|ill see to|i'll see to|will see to|see to that|"
            "see to them|seeing to it|i will see to|ill get on to it|i'll get onto it|ill get onto it|onto it|"
            "on the case|can't see why not|cant see why not|can't think why not|cant think why not|"
            "don't see why not|dont see why not|won't say no|wont say no|wouldn't miss it|wouldnt miss it|"
            "can't complain|cant complain|don't mind if i do|dont mind if i do|can't say no|cant say no|"
            "never say no|no reason not to|no objection|no objections|wilco|willco|rightyo|righty ho|righty oh|"
            "okeydoke|okey doke|sure ting"
            "|sound|sound as a pound|grand|grand so|that's grand|thats grand|tis grand|bet|say less|no bothers"
            "|nae worries|och aye|aye grand|aye sure|aye no bother|aye can do|dead on|happy days|lovely jubbly"
            "|you're on|youre on|ur on|suppose i'll have to|suppose ill have to|spose ill have to"
            "|spose i'll have to|guess i'll have to|guess ill have to|looks like it's me|looks like its me"
            "|better be me then|no need to ask anyone else i'll do it|easy peasy|go on so|why wouldn't i"
            "|why wouldnt i|too right|rightly|game on|yuppers|yah|yas|yass|mhm|mm hm|mmhm|uh huh|uhuh|yes chef"
            "|yes boss|yes sir|yes ma'am|yes maam|fair enough|fair dos|alrighty|alrite|awrite"
            "|got it covered|got this covered|got that covered|have it covered|have this covered|got you covered"
            "|got all that covered",
        ),
        "last": voice.pgettext("cues that say yes as the last words",
                "i'm in|im in|i am in|we're in|were in|i am|i do|i could|i could do"),
        "will": voice.pgettext(
            "cues that somebody will",
            "i'll|ill|i will|we'll|we will|will|gonna|going to|i'm going|im going|going at|going down|going over|"
            "on my way|on the way|heading there|heading down|heading over|heading up|popping|pop by|pop in|"
            "got it in hand|got this in hand|have it in hand|is in hand|in hand|under control|omw|setting off|"
            "just leaving|leaving now|just got here|just arrived|getting started|starting now|"
            "pop down|pop over|about to|swing by|nip over|nip down|doing it now|doing it|doing that now|"
            "doing them now|at it now|i'm doing|im doing|pop by later|pop in later|pop down later|pop over later|"
            "come by later|come later|come down later|go later|be there later|get to it later|be down later|"
            "be up later|head down later|head over later|swing by later|nip down later|nip over later|"
            "get down later|get there later"
            "|i shall be|we shall|i'ma|am gonna|am going to|am goin|i'm away to|im away to"
            "|away up now|away down now|heading out now|just heading|walking up now|walking down now|cycling up"
            "|cycling down|driving over|be there in|there in 5|there in 10"
            "|there by|there at"
            "|i'm away down|im away down|i'm away up|im away up|i'm away over|im away over|away doon|away doun"
            "|away oot|im away there|i'm away there|headin doon|headin doun|goin doon|gaun doon|gan doon"
            "|comin doon"
            "|im away doon|i'm away doon|im away doun|i'm away doun|im awa doon|i'm awa doon|am away doon"
            "|am away down|am awa doon",
        ),
        "housed": voice.pgettext(
            "cues that a house, a door or a gate was opened or shut",
            "opened|opened up|is open|shut|closed|closed up|locked up|it's open|its open|they're open|theyre open|"
            "open already|tunnel open|tunnels open|greenhouse open|greenhouses open|frame open|frames open|doors open|"
            "door open|vents open|lid up|lids up|tunnel shut|tunnels shut|greenhouse shut|greenhouses shut|frame shut|"
            "door shut|doors shut|tunnel closed|greenhouse closed|frame closed|gate shut|gate closed|gate locked|locked"
            "|tied back|pinned back|hooked back|propped open|wedged open|pegged open|doors back|rolled up|flaps up"
            "|doors are open|door is open|doors wide open|wide open|both ends open|one end open|doors tied back"
            "|opened her up|opened him up",
        ),
        "when": voice.pgettext(
            "words before a done that only says when",
            "when|once|after|before|until|till|what time|by the time|whenever|as soon as",
        ),
        "earlier": voice.pgettext(
            "words beside a done that say that it was another day's",
            "last night|yesterday|last week|last weekend|last time|the night before|the day before|last month|last year|"
            "the other day|the other night|last 2|last two|last 3|last three|last 4|last four|last 5|last five|last few|"
            "last couple|past few|past three|past two|nights running|days running|times running|weeks running|"
            "nights in a row|days in a row|times in a row|weeks in a row|every night this|every day this|all week",
        ),
        "done": voice.pgettext(
            "cues that it is done",
            "finito|off the list|off my list|did the needful|did the job|did the work|did the deed|did the lot|"
            "took care of it|took care of that|took care of them|back from doing|done and done|job's a goodun|"
            "got its drink|got their drink|had its drink|had their drink|had its water|been sorted|got sorted|"
            "safe inside|safe indoors|lot in|snuggled up|snuggled in|is tucked|are tucked|its tucked|it's tucked|"
            "did the honours|fleece went on|cover went on|covers went on|safe now|already finish|i have finish|have finish|"
            "nailed it|in the bag|over and done|sorted out|they're in|theyre in|on now|in now|its on|it's on|done|"
            "did mine|done mine|mine's in|mines in|mine is in|mine are in|got mine in|did ours|ours are in|did my bit|"
            "did our bit|did my part|all done|dun|it's done|its done|did it|did that|did them|did those|did this|"
            "done it|"
            "done that|"
            "done them|done and dusted|finished|sorted|all sorted|completed|complete|job done|job's done|covered|"
            "is covered|covered up|tucked up|tucked in|all tucked|fleece on|fleece is on|fleece is back on|fleeced|"
            "pegged down|weighed down|wrapped up|watered|had a drink|given a drink|a soak|a good soak|brought in|"
            "carried in|taken in|moved in|got them in|got it in|all in|are in|safely in|inside now|already did|"
            "already done|beat me to it|taken care of|seen to|has been done|been done|that's that|thats that|"
            "thats it|that's it|ticked off|mission accomplished|put to bed|snug|all good now|all set|"
            "consider it done already|gave them water|gave it water|had their water|all watered|under fleece|"
            "under cover|under wraps|all covered|everything covered|all wrapped|all of it is done|every bit|"
            "as good as done|i have done|ive done|i've done|have finished|ive finished|i've finished|all finished|"
            "all complete|done already|been and done|been and covered|been and watered|all shipshape|signed off|"
            "crossed off|made safe|safe and sound|put away|all away|gave them a|gave it a|given them a|"
            "gave everything a|on and weighed|on and pegged|job jobbed|jobs jobbed|jobs done|jobs a good un|"
            "job's a good un|jobs a goodun|jobs a good one|gave * can|gave * cans|had * can|had * cans|"
            "a good drink|good drink|gave * a drink|gave * drink|gave * a soak|all back in|all indoors|all inside|"
            "are inside|are indoors|safely inside|safely indoors|carried * into|took * into|brought * into|"
            "moved * into|got * into|been taken in|been brought in"
            "|just finished|just finishd|finishd|finnished|finsihed|finishing off now|happed up|happit|bedded down"
            "|bedded in|put down for the night|down for the night|up for the night|that's bed * done|thats me done"
            "|that's me done|all happed|all snug|all cosy|cosy now|cosied up|already on|already covered|already in"
            "|already watered|already open|already shut|still on from|never took it off|never took them off"
            "|didn't take it off|didnt take it off|didn't take them off|didnt take them off|left it on"
            "|left them on|hadn't taken it off|hadnt taken it off|is on from|jobs a good'un|sorted that|sorted it"
            "|sorted them|sorted the|thats sorted|that's sorted"
            "|got that done|got it done|got them done|got round to it|managed it|managed that"
            "|managed to get it done|managed to do it|managed to cover|managed to water"
            "|had a right good|right good soak|a proper soak|a right soak|had a proper|gave it a right"
            "|gave them a right|right good drink|given it what for"
            "|everythings in|everything's in|everything is in|everythings covered|everything's covered"
            "|everythings done|everything's done|covers back on|cover's back on|cover back on|fleece back on"
            "|fleeces back on|back on now|lids back on|net's back on|nets back on|all back on"
            "|got it covered already|already got it covered|got it covered now|got it covered this"
            "|got them covered now",
        ),
        "doubted": voice.pgettext(
            "words before a done by which it is only believed, or still to come",
            "should be|ought to be|supposed to be|looks|looks like|looks as if|think it's|think its|think it is|i think|"
            "said it's|said its|said it is|says it's|says its|says it is|told me it's|told me its|apparently|supposedly|"
            "i guess|i reckon|presumably|hopefully|must be|might be|could be|seems",
        ),
        "soon": voice.pgettext(
            "words beside a done by which it is still to come",
            "in 2 mins|in 5 mins|in 10 mins|in 15 mins|in 20 mins|in 30 mins|in 5 minutes|in 10 minutes|in 15 minutes|"
            "in 20 minutes|in 5 min|in 10 min|in 15 min|in 20 min|in 5|in 10|in 15|in 20|in a minute|in a min|in a mo",
        ),
        "part": voice.pgettext(
            "cues that only some of it is done, or can be",
            "done what i can|done what i could|did what i could|done what we can|done what we could|did what we could|"
            "done my best|did my best|as much as i could|as far as i could|best i could|best i can|"
            "can't finish|cant finish|cannot finish|couldn't finish|couldnt finish|didn't finish|didnt finish|"
            "couldn't|couldnt|could not|half|only|nearly|almost|not all|not quite|not finished|some of|most of|most|"
                "part of|partly|one left|two left|left to do|to go|still to do|still need|except|apart from|all but|"
                "ran out|run out|the rest|not three|not both|halfway|half way|one of|two of|three of|just the|all apart|"
                "bar the|bar one|apart from the|missed one|missed a bit|got as far as|more to do|not everything|"
                "not the whole|not all of it|another half|the other half|three quarters|two thirds|a third|ran short|"
                "short of|run short|not enough|unfinished|half done|part done|partially|a bit left|some left|bit left|"
                "few left|a few left|some still|one still|two still|still got"
                "|one side|one end|one door|only one|just one|just the one|just half|the other end|other end"
                "|other side|other door|other one still|as far as|bits left|bit to do|bit more to do|some to do"
                "|ran outa|ran outta|no more fleece|wasnt enough|wasn't enough|weren't enough|werent enough"
                "|wasnae enough|all bar|all apart from|everything but|everything except|everything apart",
        ),
        "wait": voice.pgettext(
            "cues that ask to wait a moment",
            "hang on|hold on|bear with me|wait|one sec|one second|one moment|just a sec|just a moment|wait a minute|"
            "wait a sec|"
            "hmm|before that|first tell me",
        ),
        "later": voice.pgettext(
            "cues that somebody does not know yet",
            "ill be in|i'll be in|will be in|ill be at|i'll be at|will be at|will see|we'll see|ill see|i'll see|"
            "ill ask|i'll ask|will ask|ill check|i'll check|ill think|i'll think|ill let you|i'll let you|"
            "ill get back|i'll get back|will get back|later|not now|not yet|ask me again|ask again|ask me later|"
            "try me later|in an hour|in a bit|in a while|maybe|perhaps|might|possibly|probably|not sure|unsure|"
            "dunno|don't know|dont know|do not know|no idea|will know|let you know|lyk|see how|depends|we'll see|"
            "well see|have to see|have to check|need to check|will check|let me check|get back to you|give me|"
            "remind me|undecided|thinking about it|50 50|ill tell you|i'll tell you|will tell you|tell you later|"
            "ill message|i'll message|will message|ill text|i'll text|will text|ill confirm|i'll confirm|"
            "will confirm|ill ring|i'll ring|will ring|ill phone|ill call|i'll call|have a look at my|"
            "ill have a look|i'll have a look|ill find out|i'll find out|need to ask|have to ask|got to ask|"
            "check with|not certain|can't say|cant say|cannot say|can't promise|cant promise|no promises|"
            "could go either way|hard to say|too early to say|waiting to hear|wait and see|get back|"
            "come back to you|up in the air|touch and go|ask me at|ask me in|ask me tonight|ask me after|"
            "ask me tomorrow|wait a|wait until|give me until|give me till|give me an hour|give me a|when i know|"
            "once i know|as soon as i know|running late|bit late|abit late|be late|i'm late|im late|running behind|"
            "stuck in traffic|in traffic|delayed|"
            ""
            "make it half|make it 1|make it 2|make it 3|make it 4|make it 5|make it 6|make it 7|make it 8|make it 9|"
            "make it 10|make it 11|make it 12|make it later|make that 6|make that 7|make that 8|make that 9|more like 5|"
            "more like 6|more like 7|more like 8|more like 9|more like half"
            "|gimme ten|gimme 10|gimme five|gimme 5|gimme a|gimme an|gimme till|gimme until|gies a|gis a|gie me"
            "|gimmie a|in ten mins|in ten minutes|in two ticks|two ticks|two secs|two mins|bear with us|bear with"
            "|need to see|gotta check|gotta ask|gotta see|i'd have to|id have to check|id have to ask"
            "|id have to see|lemme check|lemme see|lemme ask|lemme think|let me see|let me ask|let me think"
            "|see what time|see what the|see if i|see how i|see how the|will try and let|tell you in|tell you by"
            "|tell yous|tell ye|know by|know for sure|know for definite|know more"
            "|gies an hour|gies a minute|gies a sec|let ye know|let u know|let yous know|let yer know|let yeh know"
            "|let ya know|let them know|let yis know|i'll let ye|ill let ye|tell ye later|an hour or so"
            "|ask me the morra|ask us later|ask us again|ask again at|ask again in|check wi|check wae",
        ),
        "hands": voice.pgettext(
            "cues that ask for one more person on a job",
            "one more person|another person|one more pair of hands|another pair of hands|i need a hand|need a hand|"
            "more hands|"
            "need someone else with me|need somebody else with me|need help with this|need more people"
            "|second pair of hands|a second pair of hands|two pairs of hands|pair of hands|a pair of hands"
            "|extra pair of hands|second person|a second person|two man job|two-man job|2 man job|two person job"
            "|2 person job|two people job|job for two|need two people|needs two people|need two of us"
            "|needs two of us|takes two|need another body|another body|some help with it|someone to help me"
            "|somebody to help me|someone to hold|somebody to hold|someone on the other end"
            "|somebody on the other end|someone to give me a hand|somebody to give me a hand"
            "|someone to come with me|somebody to come with me|can't on my own|cant on my own"
            "|can't do it on my own|cant do it on my own|can't do it alone|cant do it alone|can't manage it alone"
            "|cant manage it alone|can't manage alone|cant manage alone|can't do it by myself|cant do it by myself"
            "|can't hold it alone|can't lift it alone|cant lift it alone"
            "|do with a hand|could do with a hand|could use a hand|can't lift on my own|cant lift on my own"
            "|can't lift it on my own|cant lift it on my own|can't lift them on my own|cant lift them on my own"
            "|can't lift that on my own|can't carry it on my own|cant carry it on my own|can't shift it on my own"
            "|cant shift it on my own",
        ),
        "not": voice.pgettext(
            "cues that turn what follows round",
            "not|don't|dont|doesn't|doesnt|didn't|didnt|isn't|isnt|haven't|havent|hasn't|hasnt|never|unlikely|doubt|"
            "hardly|nobody|"
            "without|ain't|aint|wasn't|wasnt|weren't|werent|nor|neither",
        ),
        "if": voice.pgettext("cues of a condition",
                "if you can't get anyone|if you cant get anyone|if you can't find anyone|if you cant find anyone|"
                "if you can't get anyone else|if you cant get anyone else|if you can't find anyone else|"
                "if you cant find anyone else|if there's no one else|if theres no one else|if there is no one else|"
                "if there's nobody else|if theres nobody else|if there is nobody else|if no one else|if nobody else|"
                "if noone else|if you're stuck|if youre stuck|if your stuck|if you are stuck|if need be|if desperate|"
                "if|unless|provided|as long as|so long as|only if|in case|only when|on condition|on one condition|"
                "assuming|depending|so long|except if|but only if|just if|not unless|not on my own|not by myself|"
                "not alone"),
    }  # fmt: skip
