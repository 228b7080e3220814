"""How to tell that a crop is ready, its cautions, and what gardeners know by habit; the keys are those of the rules."""

from __future__ import annotations

from bot.i18n import Say


def ready(say: Say, key: str) -> str:
    """The sign of ripeness in a sentence or two."""
    return _fruit(say).get(key) or _rest(say).get(key, "")


def _fruit(say: Say) -> dict[str, str]:
    return {
        "berries-blue-all-round": say.gettext(
            "The berries have been blue all round for some days. They come off when you touch them."
        ),
        "berries-give": say.gettext(
            "The berries are a little soft when you press them. For cooking, pick some earlier, while they are hard."
        ),
        "berry-slips-off": say.gettext("The berry has its full colour. It comes off without pulling."),
        "figs-hang": say.gettext("The fig is soft and hangs down. Its skin starts to split."),
        "fruit-gives": say.gettext("It has its full colour and is a little soft near the stalk. It comes off easily."),
        "fruit-green-bumpy": say.gettext(
            "The fruit has its full length, is bumpy and still green. Cut it before it turns yellow."
        ),
        "fruit-parts": say.gettext("Lift it in your hand. It is ready when it comes off easily."),
        "grapes-sweet": say.gettext("They taste sweet, and their seeds are brown."),
        "husk-splits": say.gettext("The fruit fills its paper skin, and the skin splits."),
        "nuts-drop": say.gettext("The nuts are brown. They fall when you shake the branch."),
        "pods-finger-long": say.gettext(
            "The pods are as long as a finger and break with a snap. Cut them every second day."
        ),
        "fruit-even-green": say.gettext(
            "The fruit is green all over, firm and has its full length. Cut it before it turns yellow."
        ),
        "fruit-glossy": say.gettext("The fruit is big and its skin still shines."),
        "fruit-hand-long": say.gettext("The fruits are about as long as your hand. Cut them young, every second day."),
        "full-colour": say.gettext("It has its full colour and comes off easily."),
        "melon-slips": say.gettext("It smells sweet. The stalk comes off at a light touch."),
        "pods-filled": say.gettext("The pods are full but still bright and soft."),
        "pods-flat": say.gettext("The pods have their full length and are still flat."),
        "pods-snap": say.gettext("The pods break with a snap. You cannot see the beans yet."),
        "silks-brown": say.gettext("The hairs at the top are brown. Press a grain: the juice is like milk."),
        "skin-thumbnail": say.gettext(
            "Your nail leaves no mark on the skin. Cut before the first frost, with some stalk."
        ),
        "buds-scales-tight": say.gettext("The bud is fat. Its scales are still closed and green."),
    }


def _rest(say: Say) -> dict[str, str]:
    return {
        "bulb-fist-size": say.gettext("The bulb is as big as a fist and still round. Cut it before a stem grows up."),
        "buds-coloured": say.gettext("For the vase: you see the colour of the bud, but it is still closed."),
        "cut-before-flower": say.gettext(
            "Cut it down before it flowers. Let it wilt for some days. Then dig it in, not deep, or leave it on the soil."
        ),
        "cut-for-feed": say.gettext(
            "The leaves are as long as your forearm. Cut them for compost, a hand above the soil. Wear gloves."
        ),
        "flowers-lowest-open": say.gettext(
            "For the vase: the lowest flower on the stem is open. Cut them every two days."
        ),
        "flowers-open": say.gettext("For the vase: the flower is nearly open. Cut in the cool of the morning."),
        "curd-tight": say.gettext("The head is white and tight. Cut it before it opens."),
        "haulm-down": say.gettext("The leaves and stems have died. Cut them, then wait before you dig."),
        "head-firm": say.gettext("The head feels firm when you press it."),
        "heads-before-flowers": say.gettext("The head is full and its buds are still closed."),
        "leaves-after-frost": say.gettext("The leaves have died and there has been a frost."),
        "leaves-picking-size": say.gettext("The leaves are as long as a hand. Take the outer ones."),
        "leaves-yellow": say.gettext("About half the leaves have yellowed."),
        "potato-flowers": say.gettext(
            "The flowers are open. Move some soil away and look: they should be as big as a hen's egg."
        ),
        "roots-size": say.gettext("The roots are the size you like to eat."),
        "shoots-before-flowers": say.gettext(
            "The shoots are as long as a hand and the buds are closed. Cut the middle one first."
        ),
        "spears-hand-high": say.gettext("The spears are as high as a hand, with tight tips. Cut just below the soil."),
        "sprigs-soft": say.gettext("Cut soft tips as long as a finger. Leave the old wood."),
        "sprouts-firm": say.gettext("The sprouts are firm and as big as a walnut. Pick the lowest first."),
        "stalks-open-leaf": say.gettext(
            "The leaf is open. Pull and turn the stalk. Leave at least half of the stalks."
        ),
        "stems-pencil": say.gettext("The stems are as thick as a pencil."),
        "stems-thick": say.gettext("The stems are thick enough to use."),
        "tops-died-back": say.gettext("The tops are brown. Dig up what you need. The rest keeps in the soil."),
        "tops-fallen": say.gettext("The leaves have fallen over by themselves."),
    }


def before_frost(say: Say, key: str, crops: str) -> str:
    """What to do with crops that are picked or lifted before a frost. crops: their names, made safe."""
    texts = {
        "cut-and-cure": say.gettext("{crops}: cut with some stalk. Let them dry in a warm place for ten days."),
        "cut-flowers": say.gettext("{crops}: cut all flowers that are open or nearly open."),
        "lift-cure-warm": say.gettext(
            "{crops}: dig up with care and do not bruise them. Keep them in a warm, damp place for ten days."
        ),
        "lift-potatoes": say.gettext(
            "{crops}: dig up what you can. If frost kills the tops of the rest, cut the tops. Then dig in two to three weeks."
        ),
        "lift-roots": say.gettext("{crops}: dig up, take off the leaves, and keep cool."),
        "pick-all": say.gettext("{crops}: pick all that you can eat."),
        "ripen-indoors": say.gettext("{crops}: pick the full-sized green ones too. They ripen indoors."),
    }
    return say.fill(texts[key], crops=crops)


def caution(say: Say, key: str) -> str:
    """The usual caution, for people who may never have been told."""
    return {
        "asparagus-berries": say.gettext("The red berries of asparagus are poisonous. Keep children from eating them."),
        "bean-canes-eyes": say.gettext("Put caps on the tops of canes. They are at eye height."),
        "chilli-skin": say.gettext("Chillies burn skin and eyes. Wear gloves, wash your hands, don't touch your eyes."),
        "bitter-cucurbit": say.gettext(
            "If a fruit tastes bitter, spit it out. Throw away all fruit of that plant. It is poisonous, also when it is cooked."
        ),
        "comfrey-liver": say.gettext(
            "Do not eat comfrey and do not make tea from it. It harms the liver. Wear gloves against its hairs. Foxglove can kill you, and it looks much the same before it flowers."
        ),
        "favism": say.gettext(
            "People with G6PD deficiency (favism) must not eat broad beans, not even cooked. Others: cook "
            "them before you eat them."
        ),
        "fig-sap": say.gettext(
            "The milky juice (sap) of figs and sunlight together can burn your skin and make blisters. Wear gloves and long sleeves."
        ),
        "green-potato": say.gettext(
            "Keep potatoes in the dark. Throw away potatoes that are green or have long shoots. Cooking does not make them safe."
        ),
        "not-food": say.gettext("For the vase: not food."),
        "poison-bulb": say.gettext(
            "Not food: bulbs and leaves are poisonous. They look like onions and chives. Put a label on the bulbs and keep them out of the kitchen. Wear gloves: the bulbs can give you a rash."
        ),
        "raw-bean": say.gettext(
            "Never eat these beans raw. Fresh pods: boil for 10 minutes. Dried or ripe beans: soak for 12 hours and throw that water away. Then boil hard for 30 minutes. A slow cooker is not hot enough."
        ),
        "rhubarb-frosted": say.gettext("Don't eat rhubarb stalks that are soft after frost. Put them in the compost."),
        "rhubarb-leaf": say.gettext("Rhubarb leaves are poisonous. Eat only the stalks."),
        "skin-sap": say.gettext(
            "The juice (sap) of the leaves and sunlight together can burn your skin and make blisters. Wear gloves and long sleeves."
        ),
        "stone-kernels": say.gettext(
            "Don't eat the seeds inside the stones. Keep children from eating them. They make a poison (cyanide). The fruit is safe."
        ),
        "sweet-pea-poison": say.gettext(
            "Not food: sweet peas are poisonous, most of all the seeds. They are not garden peas."
        ),
        "tree-ladder": say.gettext(
            "Stay on the ground and use a picker with a long handle. Use a ladder only by the garden's own rules, never alone and never in wind."
        ),
        "thorns-eyes": say.gettext("Bushes with thorns: wear gloves and protect your eyes."),
        "tomato-potato-foliage": say.gettext("Leaves and stems, and the fruits of potatoes, are poisonous."),
    }[key]


def brief(say: Say, key: str) -> str:
    """The caution in a few words, where the harvest is named; empty for one that is not about eating or skin."""
    return {
        "bitter-cucurbit": say.gettext("Does it taste bitter? Spit it out. It is poisonous."),
        "comfrey-liver": say.gettext("Not food: it harms the liver."),
        "favism": say.gettext("Not for people with G6PD deficiency (favism), not even cooked."),
        "green-potato": say.gettext("Throw away green ones."),
        "not-food": say.gettext("Not food."),
        "poison-bulb": say.gettext("Not food: poisonous."),
        "raw-bean": say.gettext("Cook the pods; soak dried beans for 12 hours and boil them hard for 30 minutes."),
        "rhubarb-frosted": say.gettext("Don't eat stalks that are soft after frost."),
        "rhubarb-leaf": say.gettext("The leaves are poisonous."),
        "stone-kernels": say.gettext("Don't eat the seeds in the stones."),
        "sweet-pea-poison": say.gettext("Not food: poisonous."),
        "skin-sap": say.gettext("Wear gloves and long sleeves. Its juice (sap) and sunlight make blisters."),
        "tomato-potato-foliage": say.gettext("Leaves and stems are poisonous."),
    }.get(key, "")


def compost(say: Say) -> str:
    """Legionella longbeachae, wherever compost is handled."""
    return say.gettext(
        "Compost: wear gloves, keep your face away from the bag, keep it damp, wash your hands. It can carry Legionella."
    )


def hose(say: Say) -> str:
    """Legionella in water that has stood warm."""
    return say.gettext(
        "Was the hose in the sun? First let the water run gently, without the spray. Don't breathe the mist. It can carry Legionella. Empty the hose after use."
    )


def hose_short(say: Say) -> str:
    """The same where there is little room."""
    return say.gettext("Was the hose in the sun? First let the water run gently. Don't breathe the mist (Legionella).")


def no_fire(say: Say) -> str:
    """For a cold night of a house with plants in it."""
    return say.gettext(
        "Use no paraffin, gas, charcoal or candles under glass or plastic. Carbon monoxide and fire kill. Use electric heat only with an RCD, and as its maker says."
    )


def no_fire_short(say: Say) -> str:
    """The same in a line."""
    return say.gettext("No fuel heater, flame or candle under glass. Carbon monoxide and fire kill.")


def heat(say: Say) -> str:
    """To whoever speaks of a heater, a flame or an engine."""
    return say.gettext(
        "Please use no flame and no fuel in a closed tunnel, greenhouse, frame or shed. No paraffin and no gas. No charcoal, no candles, no barbecue. No stove and no generator. They make carbon monoxide. It has no smell and it kills. They also start fires. An open door does not make it safe.\nDo you feel sick or dizzy in there, or does your head hurt? Go out into fresh air at once, and call 112 or 999."
    )


def heat_instead(say: Say) -> str:
    """What keeps the cold out and harms nobody."""
    return say.gettext(
        "Safe against cold: cover with fleece, move plants in, shut doors in time.\nUse electric heat only with an RCD. A licensed electrician must put in the power supply. Do what the maker and the garden's own rules say."
    )


def habit(say: Say, key: str) -> str:
    """What gardeners know and no table says."""
    return {
        "dahlias-lifted": say.gettext(
            "When frost has made the leaves black, cut them down and dig up the tubers. Keep them dry and free of frost (common practice, no source)."
        ),
        "lemongrass-in": say.gettext(
            "In winter keep it indoors in a pot, with light and above 5\u00a0°C (common practice, no source)."
        ),
        "oca-waits": say.gettext(
            "The tubers grow in autumn, and for two weeks more after frost has killed the leaves. Wait that long (growers' experience, no published figure)."
        ),
        "slips-warm": say.gettext(
            "It grows from slips (rooted shoots). Give it the warmest place that you have (common practice, no source)."
        ),
        "sown-too-early": say.gettext(
            "Don't sow before the middle of July: many would flower too early in spring (common practice, no source)."
        ),
        "squash-kinds": say.gettext(
            "How long it keeps depends on the kind: acorn five to eight weeks, butternut two to three "
            "months, Hubbard five to six (Iowa State University Extension)."
        ),
        "earlies-eat-soon": say.gettext(
            "First and second earlies do not keep. Dig up one pot or plant at a time (common practice, no source)."
        ),
        "one-makes-six": say.gettext("One shallot grows into five or six (common practice, no source)."),
        "potatoes-apart": say.gettext(
            "If you plant a few weeks apart, you harvest about a month apart (common practice, no source)."
        ),
        "roots-from-stem": say.gettext(
            "The stem makes roots, so plant tall, thin plants deep (common practice, no source)."
        ),
    }[key]
