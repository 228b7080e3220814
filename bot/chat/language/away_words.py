"""The words of being away, of coming back, and of what everybody should hear: concepts, each a list of phrases."""

from __future__ import annotations

from bot.i18n import Say


def away_words(voice: Say) -> dict[str, str]:
    return {
        "maybe": voice.pgettext(
            "concept: somebody does not know yet whether they are away",
            "might|may be|may have to|could be|not sure|unsure|maybe|possibly|probably|perhaps|thinking of|"
            "thinking about|"
            "don't know yet|dont know yet|not certain|hoping to|hopefully|with luck|to be confirmed|tbc|pencilled in",
        ),
        "often": voice.pgettext(
            "concept: again and again",
            "mondays|tuesdays|wednesdays|thursdays|fridays|saturdays|sundays|weekends|weekdays|mornings|afternoons|"
                "evenings|every|each week|most days|school days|on school nights|a lot|quite a bit|on and off|"
                "off and on|"
                "sometimes|some of|occasionally|now and then|here and there|some days|bits of|parts of|odd days|the odd",
        ),
        "back": voice.pgettext(
            "concept: here again",
                "i'm back|im back|i am back|back home|back now|back again|back from|home again|better now|"
                "back on my feet|back in action|i'm home|im home|all better|fit again|recovered|well again|"
                "home from|available again|i can help again|am back|home early|back early|back sooner|"
                "got back early|came back early|came home early|put me back on|put me back in|back on the list|"
                "back on the rota|count me in again|ask me again now|you can ask me again|at your disposal again|"
                "not going away|not away|not on holiday|not on hols|holiday cancelled|holiday is cancelled|"
                "holiday got cancelled|holiday was cancelled|"
                "holiday is off|hols cancelled|hols are off|trip cancelled|trip is cancelled|trip got cancelled|trip is off|"
                "not going on holiday|not going after all|not off after all|here after all|around after all"
                "|that's me back|thats me back|me back frae|me back from|back fae|back frae|am home|am hame"
                "|i'm hame|safely back|safe back|landed back|landed home|just landed|just back"
                "|got back today|got back yesterday|got back last night|came back today|came back yesterday"
                "|came back last night|home since|back since"
        ),
        "away": voice.pgettext(
            "concept: away",
            "going away|off sick|working away|can't garden|cant garden|no gardening|away|not around|not about|"
            "on holiday|on holidays|on hols|on leave|annual leave|holiday|hols|vacation|off to|out of action|"
            "out of town|"
            "not here|won't be here|wont be here|won't be there|wont be there|won't be around|wont be around|"
            "can't come|cant come|cannot come|can't make it|cant make it|can't make|cant make|not available|"
            "unavailable|not free|in hospital|hospital|jury duty|jury service|travelling|traveling|not coming|"
            "won't be in|wont be in|"
            "can't do|cant do|visiting|skip me|leave me out|not free on|not free at|not free the|will miss|"
            "i'll miss|have to miss|no good for me|not good for me|is no good for me|leave me off|don't ask me|"
            "dont ask me|i'm off|im off|at my sister's|count me out|won't be about|wont be about|not be about|"
            "be off|off the whole|going to my|going to see|off on|off for|out of the country|away from home|"
            "laid up|recovering|in spain|in france|in wales|in scotland|in cornwall|on a course|on a trip|on jury|"
            "jury service|maternity|paternity|having an op|op on|surgery|operation|off work|out of circulation|"
            "isolating|self isolating|no can do|shan't be|shant be|shan't be there|not able to come|unable to come|"
            "unable to make|not coming in|not going to be|give me a miss|take me off|miss me out|leave me out of|"
            "out for|i'm ill|im ill|am ill|ill until|poorly|out until|out till|am off|busy all|busy until|"
            "busy till|busy from|holidays|absent|absence|not in garden|not in the garden|not at the garden|"
            "not at the plot|not at the allotment|not on site|not in town|week off|weeks off|days off|day off|"
            "time off|fortnight off|month off|having * off|taking * off|leaving on|leaving town|off ill|off with|"
            "off from|off until|off till|off tomorrow|off today|off this|off next|off all|out tonight|"
            "out this evening|out tomorrow|out all day|out all weekend|i'm not free|im not free|gone fishing|"
            "knee done|hip done|in bed with|flu|covid|won't see me|wont see me|don't count on me|dont count on me|"
            "do not count on me|don't expect me|dont expect me|do not expect me|not able to help|unable to help|"
            "can't help|cant help|cannot help|off the rota|off rota|be away|going abroad|abroad|overseas|"
            "staycation|city break|cruise|honeymoon|retreat|pilgrimage|i go to|i travel|i will travel|no me|"
            "no can come|not come|won't come|wont come|not make it|won't make it|wont make it|won't be down|"
            "wont be down|shan't be down|shant be down|not be down|not be there|not be here|not be around|"
            "not be in|don't put me down|dont put me down|don't put me in|dont put me in|do not put me down|"
            "can't do anything|cant do anything|gotta skip|got to skip|have to skip|need to skip|will skip|i'll skip|"
            "ill skip|skipping this|skipping next|not doing anything|not doing any|nothing from me|sit this week out|"
            "sitting this week out|sit this one out|give this week a miss|give next week a miss"
            "|going into hospital|into hospital|going in to hospital|in for an op"
            "|going under the knife|having surgery|in the hospital|signed off|signed off sick"
            "|signed off work|out of the country for|up north|down south|at a conference|conference|on tour"
            "|on business|posted to|on placement|on exchange|back home to see|going home for"
            "|going home to|home for the summer|home for the holidays"
            "|no here|no aboot|not aboot|no about|nae here|away hame|away home|away to my|away at my|awa tae"
            "|awa hame|gone home|gone to my|taking the kids to|taking the family to|taking mum to|taking dad to"
            "|staying with|staying at my|staying over at|off visiting|flying home"
            "|flying to|flying out|fly out|fly home|driving to"
            "|heading home|headed home|heading back to|heading off|heading away|off home",
        ),
        "helps": voice.pgettext(
            "concept: days off on which somebody can come",
            "so can|so i can|so could|so i could|so ill|so i'll|so i will|so will be|so im free|so i'm free|so im around|"
            "so i'm around|so plenty|so more time|so loads of time|so lots of time|and can|and i can|if you need me|"
            "if u need me|if needed|if you want me|if i can help|ill be around|i'll be around|ill be down|i'll be down|"
            "free to help|happy to help",
        ),
        "stowed": voice.pgettext(
            "concept: words that look like being away, and are none",
            "put * away|puts * away|stored * away|store * away|stowed away|throw * away|threw * away|thrown away|throw away|"
            "tidy * away|tidied * away|packed away|pack * away|packed * away|right away|straight away|away team|"
            "away game|away match|took * away|take * away|taken away|give * away|gave * away|blew away|blown away|"
            "washed away|miles away|minutes away|mins away|working from home|work from home|wfh"
            "|sat out|sat in|sat on|sat there|sat outside|sat inside|sat all winter|sat under",
        ),
        "unasked": voice.pgettext(
            "concept: somebody wishes not to be asked for a while",
            "skip me|pause me|leave me off|leave me out|take me off|count me out|rule me out|miss me out|don't ask me|"
            "dont ask me|do not ask me|don't count on me|dont count on me|put me on hold|put me on pause|"
            "put me down as away|put me down as out|put me down as off|put me down as unavailable|put me as away|"
            "mark me as away|mark me away|mark me as unavailable|mark me unavailable|mark me as out|mark me out|"
            "mark me off|book me off|book me out|don't put me on|dont put me on|don't use me|dont use me|no turns for me|"
            "no duty for me|no garden duty|no duties for me|no jobs for me|not ask me|can i have * off|could i have * off|"
            "can i take * off|could i take * off|can i be off|could i be off|off the list",
        ),
        "present": voice.pgettext(
            "concept: somebody says when they will be there",
            "i'll be in on|ill be in on|i'm in on|im in on|i'll be there|ill be there|i'll be at the|ill be at the|"
            "i'll be down|ill be down|i'll be up|ill be up|will be there|am in on|will be in on",
        ),
        "over": voice.pgettext(
            "concept: somebody was away, and is here again",
            "was meant to be away|was supposed to be away|was going to be away|was going away|but im not|but i'm not|"
            "was away|were away|was on holiday|were on holiday|was on hols|was in hospital|was ill|was poorly|was off|"
                "were off|was out|wasn't here|wasnt here|weren't here|werent here|wasn't around|wasnt around|"
                "wasn't there|wasnt there|days ago|weeks ago|week ago|got back from",
        ),
        "cannot": voice.pgettext("concept: somebody can't",
            "can't|cant|cannot|can not|won't|wont|unable|not able|can't do the|cant do the|cannot do the"),
        "return": voice.pgettext("concept: coming back",
                "back on|back by|back|returning|return|home on|i'll be in|ill be in|i'm in|im in|visiting|"
                "staying with|staying at|at my sister's|wedding|camping|trip|festival|abroad|flying|conference|"
                "working away|exams|surgery|operation|going away|half term|op|jury service|maternity|in hospital|"
                "my daughters|my daughter's|my sons|my son's|my mums|my mum's|my parents|my brothers|wales|"
                "scotland|spain|france|cornwall|portugal|greece|italy|poland|busy|tied up|working|off|out|leaving|"
                "gone|been ill|am ill|ill with|ill until|ill till|ill since|ill from|ill in bed|taken ill|poorly|"
                "sick|unwell|shift|shifts|nights|lates|earlies|visitors|guests|relatives|friends over|family over|"
                "the in laws|in laws|course|training|travelling|hospital|my brother's|my sisters|germany|ireland|"
                "america|india|usa|my country|honeymoon|hen do|stag do|christening|at my|at our|not in|appt|"
                "appointment|dentist|doctors|interview|exam|free again|available again|here again|around again|"
                "going home|flying home|is no good|are no good|on placement|not well|not this|not next|not on"),
        "spread": voice.pgettext(
            "concept: everybody should hear something",
            "tell everyone|tell everybody|tell the others|tell them all|tell the group|tell all|let everyone know|"
            "let everybody know|let the others know|let the group know|pass it on|spread the word|"
            "say to everyone|say to everybody|can you tell the others",
        ),
    }  # fmt: skip
