"""Frames in which work that is named was not done, or not here, or not by whoever writes, or is not certain: nothing may be
noted of any of them without asking. Each frame was written down before it was played.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest

from bot.chat.language import Known, understand
from bot.core.garden.snapshot import Garden, Place, PlaceKind
from bot.crops import loader
from bot.i18n import say

TODAY = date(2026, 5, 5)
PLACES = (
    *(Place(n, f"Bed {n}", PlaceKind.BED, shared=True) for n in range(1, 7)),
    Place(20, "Tunnel", PlaceKind.TUNNEL, shared=True),
)
#: Forms of three pieces of work in each language, by their names in the frames.
WORK: dict[str, dict[str, str]] = {
    "cy": {
        "noun": "dyfrio'r twnnel|plannu 6 tomato yn gwely 2|hel 2 kg o riwbob",
        "soft": "ddyfrio'r twnnel|blannu 6 tomato yn gwely 2|hel 2 kg o riwbob",
    },
    "pt": {
        "did": "reguei o túnel|plantei 6 tomates no canteiro 2|colhi 2 kg de ruibarbo",
        "do": "regar o túnel|plantar 6 tomates no canteiro 2|colher 2 kg de ruibarbo",
        "she": "regou o túnel|plantou 6 tomates no canteiro 2|colheu 2 kg de ruibarbo",
        "they": "regaram o túnel|plantaram 6 tomates no canteiro 2|colheram 2 kg de ruibarbo",
        "were": "regasse o túnel|plantasse 6 tomates no canteiro 2|colhesse 2 kg de ruibarbo",
        "done": "regado o túnel|plantado 6 tomates no canteiro 2|colhido 2 kg de ruibarbo",
        "doing": "regando o túnel|plantando 6 tomates no canteiro 2|colhendo 2 kg de ruibarbo",
    },
    "bn": {
        "what": "টানেলে পানি|বেড ২ এ ৬টা টমেটো|২ কেজি রুবার্ব",
        "have": "দিয়েছি|লাগিয়েছি|তুলেছি",
        "did": "দিলাম|লাগালাম|তুললাম",
        "not": "দিইনি|লাগাইনি|তুলিনি",
        "nor": "দিই নাই|লাগাই নাই|তুলি নাই",
        "never": "দেইনি|লাগাইনি এখনো|তুলিনি এখনো",
        "to": "দিতে|লাগাতে|তুলতে",
        "doing": "দেওয়া|লাগানো|তোলা",
        "of": "দেওয়ার|লাগানোর|তোলার",
        "if_": "দিলে|লাগালে|তুললে",
        "will": "দেব|লাগাব|তুলব",
        "has": "দিয়েছে|লাগিয়েছে|তুলেছে",
        "hasnt": "দেয়নি|লাগায়নি|তোলেনি",
        "would": "দিতাম|লাগাতাম|তুলতাম",
    },
    "uk": {
        "did": "полила тунель|посадила 6 помідорів на грядку 2|зібрала 2 кг ревеню",
        "do": "полити тунель|посадити 6 помідорів на грядку 2|зібрати 2 кг ревеню",
        "will": "поллю тунель|посаджу 6 помідорів на грядку 2|зберу 2 кг ревеню",
        "he": "полив тунель|посадив 6 помідорів на грядку 2|зібрав 2 кг ревеню",
        "they": "полили тунель|посадили 6 помідорів на грядку 2|зібрали 2 кг ревеню",
    },
    "ar": {
        "did": "سقيت النفق|زرعت ٦ طماطم في حوض ٢|قطفت ٢ كيلو راوند",
        "do": "اسقي النفق|ازرع ٦ طماطم في حوض ٢|اقطف ٢ كيلو راوند",
        "he": "سقى النفق|زرع ٦ طماطم في حوض ٢|قطف ٢ كيلو راوند",
        "they": "سقوا النفق|زرعوا ٦ طماطم في حوض ٢|قطفوا ٢ كيلو راوند",
    },
}
FRAMES = {
    "cy": (
        "heb {soft}|dwi heb {soft} eto|ma Oskar heb {soft}|nes i ddim {noun}|wnes i'm {noun}|naethon ni ddim {noun}|"
        "ches i ddim cyfle i {soft}|ges i ddim amser i {soft}|doedd dim angen {noun}|anghofies i {soft}|"
        "nes i anghofio {noun}|dwi am {soft}|dwi isio {noun}|dwi moyn {noun}|dwi'n gobeithio {noun}|meddwl {noun}|"
        "dwi'n meddwl {noun} fory|rhaid {noun}|rhaid i fi {soft}|dylsen ni {soft}|dylen ni fod wedi {noun}|"
        "dylwn i fod wedi {noun}|fe ddylwn i fod wedi {noun}|byddai'n braf {noun}|bydde'n neis {noun}|"
        "liciwn i {soft}|hoffwn i {soft}|mi leciwn i fod wedi {noun}|does gen i ddim awydd {noun}|trefnu {noun}|"
        "tries i {soft}|gad i Oskar {soft}|ga i {soft}|all rhywun {soft}|ellwch chi {soft}|pryd i {soft}|"
        "sut i {soft}|mae eisiau {noun}|ma isio {noun}|cofia {soft}|paid {noun}|peidiwch â {noun}|"
        "dwi'n mynd i {soft}|ma Leila'n mynd i {soft}|fydda i'n {noun} fory|mi wna i {soft}|wna i {soft}|"
        "ddaru mi ddim {noun}|taswn i wedi {noun}|petawn i wedi {noun}|pe bawn i wedi {noun}|os dwi wedi {noun}|"
        "bron i fi {soft}|bu bron i mi {soft}|cyn {noun}|ar ôl {noun}|wrth {soft}|yn lle {noun}|"
        "trueni bo fi heb {soft}|medde Leila bod hi wedi {noun}|dywedodd Oskar ei fod wedi {noun}|"
        "mae Leila wedi {noun}|ma Oskar di {noun}|ma nhw wedi {noun}|ma rhywun wedi {noun}|"
        "mae'n debyg bod nhw wedi {noun}|dwi'n siwr bod Deepa wedi {noun}|glywsoch chi bod nhw wedi {noun}|"
        "mam wedi {noun}|dwi wedi {noun} adre|wedi {noun} llynedd|breuddwydies i mod i wedi {noun}|"
        "esgus mod i wedi {noun}|dwi'm yn cofio {noun}|dwi'm yn cofio os nes i {soft}|nes i {soft}? dwi'm yn cofio|"
        "sgen i'm awydd {noun}|sdim isie {noun}|newydd gofio bo fi heb {soft}|ddim wedi {noun}|"
        "dydw i ddim wedi {noun}|dyn ni ddim wedi {noun}|dan ni heb {soft}|so ni wedi {noun}|smo fi wedi {noun}|"
        "sai wedi {noun}|sa i wedi {noun}|dwi byth wedi {noun}|erioed wedi {noun}|dwi newydd ofyn i Oskar {soft}|"
        "dwi'n barod i {soft}|dwi bron yn barod i {soft}|dechrau {noun} fory|cynnig {noun}|ma'n amser {noun}|"
        "mae'n bryd {noun}|gobeithio gallu {noun}|methu {noun}|fethon ni {soft}|nath neb {soft}|neb wedi {noun}|"
        "cyfle i {soft} fory|Oskar sy'n {noun}|Leila sydd wedi {noun}|pwy sy wedi {noun}|nhw sy wedi {noun}|"
        "dwi ddim yn siwr ydw i wedi {noun}|o'n i'n mynd i {soft}|o'n i fod i {soft}|ro'n i wedi bwriadu {noun}|"
        "basa'n well {noun}|gwell {noun} cyn nos|falle bo fi wedi {noun}|wedi {noun} i mam|"
        "wedi {noun} yn rhandir mam|wedi {noun} yn yr ardd gefn|wedi {noun} drws nesa|jyst yn breuddwydio am {soft}|"
        "dychmygu {noun}|haws {noun} na chwynnu|casáu {noun}|dwi wrth fy modd yn {noun}|diolch am {soft}|"
        "diolch i bwy bynnag naeth {soft}|wedi bod yn meddwl {noun}|yn methu {noun}|dim ond {noun} sydd ar ôl"
    ),
    "pt": (
        "não {did}|ainda não {did}|nunca {did}|acho que {did}|não sei se {did}|não me lembro se {did}|nem {did}|"
        "quase {did}|quase que {did}|por pouco não {did}|sonhei que {did}|{did} no ano passado|"
        "{did} na casa da minha mãe|{did} lá em casa|{did} na horta da minha irmã|{did} no meu quintal|"
        "brincadeira, {did}|faz de conta que {did}|imagina que {did}|a Leila perguntou se {did}|será que {did}|"
        "eu {did}?|{did} ou não?|se {did} não me lembro|vou {do}|tenho de {do}|esqueci-me de {do}|esqueci de {do}|"
        "não consegui {do}|não pude {do}|gostava de {do}|gostaria de {do}|queria {do}|alguém pode {do}|podes {do}|"
        "falta {do}|falta-me {do}|é preciso {do}|ficou por {do}|tô pensando em {do}|prometo {do}|ia {do} agora|"
        "estava para {do}|deixei de {do}|parei de {do}|não cheguei a {do}|evitei {do}|recusei-me a {do}|"
        "não vale a pena {do}|não tenho vontade de {do}|bora {do}|quem me dera {do}|prefiro não {do}|sem {do}|"
        "antes de {do}|depois de {do}|em vez de {do}|mal posso esperar para {do}|devíamos {do}|há que {do}|"
        "convinha {do}|deu preguiça de {do}|acabei por não {do}|resolvi não {do}|decidi não {do}|desisti de {do}|"
        "adiei {do}|combinei {do}|pediram-me para {do}|o Oskar pediu para {do}|a Deepa está a {do}|o Oskar vai {do}|"
        "o Oskar ficou de {do}|é para {do}|se der tempo vou {do}|amanhã {do}|tentei {do}|estou quase a {do}|"
        "tô indo {do}|tou a ir {do}|to {doing} amanhã|o Oskar {she}|a Leila disse que {she}|a minha mãe {she}|"
        "o vizinho {she}|alguém {she}|ninguém {she}|{they}|já {they}|dizem que {they}|ouvi que {they}|"
        "será que já {they}|quem {she}|se eu {were}|se eu tivesse {done}|devia ter {done}|podia ter {done}|"
        "gostava de ter {done}|oxalá tivesse {done}|não tenho {done}|ainda não tinha {done}|já devia ter {done}|"
        "era bom {do}|seria bom {do}|adorava {do}|apetecia-me {do}|tomara {do}|lembrem-me de {do}|lembra-me de {do}|"
        "obrigada por {do}|obrigado a quem {she}|adoro {do}|odeio {do}|aprendi a {do}|ensina-me a {do}|como {do}|"
        "quando {do}|quanto custa {do}|preciso {do}|precisava {do}|combinámos {do} no sábado|a ideia era {do}|"
        "o plano é {do}|o objetivo é {do}|estou ansiosa por {do}|estou pronta para {do}|se calhar {did}|"
        "talvez eu tenha {done}|a Leila acha que {did}|segundo a Leila {she}|parece que o Oskar {she}|"
        "pelos vistos {they}|consta que {they}|eu não {did}|hoje não {did}|ontem não {did}|não é que {did}|"
        "não fui eu que {did}|nem sequer {did}|sequer {did}|raramente {did}|só não {did}|menos mal que não {did}|"
        "nada de {do} hoje|zero vontade de {do}|cadê quem {she}|cê {she}?|você {she}|tu {did}|vocês {they}"
    ),
    "bn": (
        "{what} {not}|{what} {nor}|{what} {never}|আজ {what} {not}|{what} {did} না|{what} {to} পারিনি|"
        "{what} {to} পারলাম না|{what} {to} পারছি না|{what} {to} ভুলে গেছি|{what} {to} ভুলে গেলাম|"
        "{what} {to} ভুলেই গেছি|{what} {to} চাই|{what} {to} চাচ্ছি|{what} {to} হবে|{what} {to} যাচ্ছি|"
        "{what} {to} গিয়েছিলাম|{what} {to} চেয়েছিলাম|{what} {to} ইচ্ছে করছে|{what} {to} বলেছে অস্কার|"
        "{what} {to} বলেছিলাম|{what} {to} গিয়ে পারিনি|{what} {to} মন চায়|{what} {of} কথা ছিল|{what} {of} দরকার|"
        "{what} {of} সময় পাইনি|{what} {of} ইচ্ছা|{what} {of} ইচ্ছা ছিল|{what} {of} কথা ভাবছি|{what} {of} আগে|"
        "{what} {of} চেষ্টা করছি|{what} {of} প্ল্যান|{what} {of} মুড নেই|{what} {of} লোক নেই|{what} {doing} হয়নি|"
        "{what} {doing} হয় নাই|{what} {doing} বাকি|{what} {doing} বাকি আছে|{what} {doing} উচিত|"
        "{what} {doing} উচিত ছিল|{what} {doing} দরকার|{what} {doing} দরকার ছিল|{what} {doing} লাগবে|"
        "{what} {doing} ভালো|{what} {doing} হল না|{what} {doing} গেল না|{what} {doing} নিষেধ|{what} {if_} ভালো হতো|"
        "{what} {if_} ভালো হয়|{what} {if_} জানাব|{what} {if_} কেমন হয়|{what} {if_} কী হবে|{what} {if_} মরে যাবে|"
        "যদি {what} {would}|{what} {would} যদি পারতাম|{what} {will}|{what} {will} ভাবছি|{what} {will} না|"
        "কাল {what} {will}|সময় পেলে {what} {will}|{what} {will} বলে ভাবছিলাম|অস্কার {what} {has}|"
        "শুনলাম অস্কার {what} {has}|কে {what} {has}|কেউ {what} {has} কি|কেউ {what} {hasnt}|অস্কার {what} {hasnt}|"
        "লীলা বলল {what} {has}|মনে হয় {what} {have}|মনে হয় কেউ {what} {has}|{what} {have} কিনা মনে নেই|"
        "{what} {have} কি না জানি না|{what} {have}? মনে নেই|{what} কি {have}|{what} {have} নাকি?|"
        "আমি কি {what} {have}|বাড়িতে {what} {have}|বাসায় {what} {have}|ছাদে {what} {have}|"
        "আমার বাগানে {what} {have}|নিজের জমিতে {what} {have}|মা {what} {has}|মা {what} {has} আজ|"
        "পাশের বাসার আপা {what} {has}|গত বছর {what} {have}|গতবার {what} {have}|আগের বছর {what} {did}|"
        "স্বপ্নে দেখলাম {what} {have}|মজা করছি, {what} {have}|ধরো {what} {have}|ধরে নাও {what} {have}|"
        "মনে করো {what} {have}|{what} {has} শুনেছি|{what} {has} মনে হয়|{what} {has} বলে শুনেছি|"
        "{what} {has} বলে মনে হয়|আশা করি {what} {has}|হয়তো {what} {has}|তুমি {what} দিয়েছ|আপনি কি {what} {has}ন|"
        "তারা {what} {has}|ওরা {what} {has}|{what} {have} বলিনি তো|{what} {have} মনে হয়|একটুর জন্য {what} {not}|"
        "এখনো {what} {not}|কখনো {what} {not}|আর {what} {will} না|{what} {of} বদলে ঘুমালাম|{what} {to} দেরি হবে|"
        "{what} {to} দাও|{what} {to} কে পারবে|{what} {to} কত সময় লাগে|কীভাবে {what} {will}|কখন {what} {will}|"
        "{what} {to} শুরু করব|ইশ {what} {to} পারতাম|{what} {doing} হলে বলো|{what} {doing} শেষ হলে যাব"
    ),
    "uk": (
        "не {did}|ще не {did}|так і не {did}|ледь не {did}|мало не {did}|якби я {did}|якби {did}|от якби {did}|"
        "шкода що не {did}|здається {did}|не пам'ятаю чи {did}|чи я {did}|може я й {did}|торік {did}|вдома {did}|"
        "на своєму городі {did}|у себе на дачі {did}|уві сні {did}|жартую, {did}|уявіть що я {did}|забула {do}|"
        "не встигла {do}|хотіла {do}|хочу {do}|збиралась {do}|планую {do}|треба {do}|мала {do}|мушу {do}|йду {do}|"
        "можу {do}|не змогла {do}|не вийшло {do}|лінь {do}|передумала {do}|Оскар {he}|Лейла сказала що {did}|"
        "мама {did}|сусідка {did}|хтось {he}|кажуть що вже {they}|думаю {do}|може завтра {do}|якщо встигну {will}|"
        "замість того щоб {do}|перед тим як {do}|щоб {do}|варто було б {do}|слід {do}|обіцяю {do}|попросили {do}|"
        "Оскар обіцяв {do}|не варто {do}|раджу {do}|хто {he}|{will}|завтра {will}|зараз {will}|ніколи не {did}|"
        "ніхто не {he}|добре що не {did}|навряд чи {did}|напевно {did}|мабуть вже {they}|вони {they}|ви {they}?|"
        "ти {did}|треба було {do}|краще б я {did}|хоч би хтось {he}|люблю {do}|не люблю {do}|вчуся {do}|коли {do}|"
        "як {do}|дякую що {they}|хай Оскар {he}|нехай хтось {do}|сподіваюсь що {they}|я б {did}|{did} б якби був час|"
        "майже {did}|не я {did}|не встигаю {do}|розучилась {do}|відклала, не {did}|нагадайте {do}|домовились {do}|"
        "ідея {do}|боюся {do}|а ви вже {they}"
    ),
    "ar": (
        "ما {did}|لسه ما {did}|لسا ما {did}|لم {do} بعد|عمري ما {did}|كنت رح {do}|كنت ناوي {do}|كنت ه{do}|نسيت {do}|"
        "ما قدرت {do}|ما لحقت {do}|معرفتش {do}|بدي {do}|عايز {do}|ابي {do}|لازم {do}|المفروض {do}|كان المفروض {do}|"
        "رح {do}|راح {do}|ه{do}|ياريت {did}|ليتني {did}|لو {did}|اذا {did}|يمكن {did}|شكلي {did}|"
        "مش فاكر {did} ولا لا|هل {did}|حلمت اني {did}|امزح {did}|السنة اللي فاتت {did}|في بيتي {did}|عند امي {did}|"
        "{did} في بيت جدي|اوسكار {he}|قالوا {they}|سمعت ان اوسكار {he}|حدا {he}|الجيران {they}|نفسي {do}|بحاول {do}|"
        "بفكر {do}|مالي خلق {do}|قبل ما {do}|بعد ما {do}|بدل ما {do}|مين {he}|ذكروني {do}|اتفقنا {do}|وعدت {do}|"
        "بكرا {do}|ان شاء الله {do}|محدش {he}|ما حدا {he}|حد {he}؟|كأني {did}|ما فيني {do}|مش عارف {do}|مش ناوي {do}|"
        "بطلت {do}|كسلت {do}|مو لازم {do}|ممكن {do}|كيف {do}|متى {do}|ليش ما {did}|الحمدلله ما {did}|ولا {did}|"
        "كنت بدي {do}|كان نفسي {do}|لو كنت {did}|تخيلوا اني {did}|الظاهر {they}|اعتقد اني {did}|مش متأكد اذا {did}|"
        "جاري {he}|امي بتقول {did}|شكرا للي {he}|بحب {do}|اصير {do}|لعلي {do}"
    ),
}


def _sentences(language: str) -> Iterator[str]:
    forms = {name: listed.split("|") for name, listed in WORK[language].items()}
    for frame in FRAMES[language].split("|"):
        for n in range(3):
            yield frame.format(**{name: listed[n] for name, listed in forms.items()})


@pytest.mark.parametrize("language", FRAMES)
def test_nothing_is_noted_without_asking(language: str) -> None:
    voice = say(language, "Europe/London")
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    known = Known.of(voice, garden, loader.load(), ())
    known = replace(known, people=frozenset(("oskar", "leila", "deepa")))
    noted = [text for text in _sentences(language) if any(one.sure for one in understand(text, voice, known, TODAY))]
    assert not noted
