"""How to tell that a crop is ready, its cautions, and what gardeners know by habit; the keys are those of the rules."""

from __future__ import annotations

from bot.i18n import Say

__all__ = ["before_frost", "brief", "caution", "compost", "habit", "heat", "hose", "no_fire", "no_fire_short", "ready"]


def ready(say: Say, key: str) -> str:
    """The sign of ripeness in a sentence or two."""
    return _fruit(say).get(key) or _rest(say).get(key, "")


def _fruit(say: Say) -> dict[str, str]:
    return {
        "berries-blue-all-round": say.gettext(
            "The berries have been blue all round for some days and come off at a touch."
        ),
        "berries-give": say.gettext(
            "The berries give a little when pressed. For cooking, thin them earlier, while hard."
        ),
        "berry-slips-off": say.gettext("The berry is fully coloured and slips off its core without pulling."),
        "figs-hang": say.gettext("The fig is soft and hangs down, and its skin begins to split."),
        "fruit-gives": say.gettext("It has its full colour, gives a little near the stalk, and comes away easily."),
        "fruit-green-bumpy": say.gettext(
            "The fruit is full length, bumpy and still green. Cut it before it turns yellow."
        ),
        "fruit-parts": say.gettext("Lift it in your palm: it is ready when its stalk parts from the twig."),
        "grapes-sweet": say.gettext("They taste sweet, and their pips are brown."),
        "husk-splits": say.gettext("The fruit fills its husk, and the husk splits."),
        "nuts-drop": say.gettext("The nuts are brown and drop when the branch is shaken."),
        "pods-finger-long": say.gettext("The pods are as long as a finger and snap. Cut them every other day."),
        "fruit-even-green": say.gettext("The fruit is evenly green, firm and full length. Cut before it turns yellow."),
        "fruit-glossy": say.gettext("The fruit is full and its skin still shines."),
        "fruit-hand-long": say.gettext("The fruits are about as long as your hand. Cut them young, every other day."),
        "full-colour": say.gettext("It has its full colour and comes away easily."),
        "melon-slips": say.gettext("It smells sweet, and the stalk cracks away at a light touch."),
        "pods-filled": say.gettext("The pods are full but still bright and tender."),
        "pods-flat": say.gettext("The pods are full length and still flat."),
        "pods-snap": say.gettext("The pods snap cleanly, before the beans show."),
        "silks-brown": say.gettext("The silks are brown; a kernel gives milky juice when pressed."),
        "skin-thumbnail": say.gettext(
            "A thumbnail no longer marks the skin. Cut before the first frost, with some stalk."
        ),
        "buds-scales-tight": say.gettext("The bud is plump and its scales are still tight and green."),
    }


def _rest(say: Say) -> dict[str, str]:
    return {
        "bulb-fist-size": say.gettext("The bulb is the size of a fist and still round. Cut before a stem rises."),
        "buds-coloured": say.gettext("For the vase: the bud shows its colour and is still shut."),
        "cut-before-flower": say.gettext(
            "Cut it down before it flowers, let it wilt some days, and dig it in shallow or leave it as a mulch."
        ),
        "cut-for-feed": say.gettext(
            "The leaves are a forearm long. Cut them a hand above the soil, with gloves, for compost."
        ),
        "flowers-lowest-open": say.gettext("For the vase: the lowest flower of the stem is open. Cut every other day."),
        "flowers-open": say.gettext("For the vase: the flower is nearly open. Cut in the cool of the morning."),
        "curd-tight": say.gettext("The curd is white and tight. Cut before it parts."),
        "haulm-down": say.gettext("The tops have died down. Cut them, then wait before lifting."),
        "head-firm": say.gettext("The head feels firm when pressed."),
        "heads-before-flowers": say.gettext("The head is full and its buds are still closed."),
        "leaves-after-frost": say.gettext("The leaves have died down and there has been a frost."),
        "leaves-picking-size": say.gettext("The leaves are as long as a hand. Take the outer ones."),
        "leaves-yellow": say.gettext("About half the leaves have yellowed."),
        "potato-flowers": say.gettext(
            "The flowers are open. Scrape the soil away and look for the size of a hen's egg."
        ),
        "roots-size": say.gettext("The roots are the size you like to eat."),
        "shoots-before-flowers": say.gettext(
            "The shoots are as long as a hand, buds closed. Cut the middle one first."
        ),
        "spears-hand-high": say.gettext("The spears are a hand high, with tight tips. Cut just below the soil."),
        "sprigs-soft": say.gettext("Cut soft tips as long as a finger, and leave the old wood."),
        "sprouts-firm": say.gettext("The sprouts are firm and the size of a walnut. Take the lowest first."),
        "stalks-open-leaf": say.gettext(
            "The leaf has opened. Pull with a twist, and leave at least half of the stalks."
        ),
        "stems-pencil": say.gettext("The stems are as thick as a pencil."),
        "stems-thick": say.gettext("The stems are thick enough to use."),
        "tops-died-back": say.gettext("The tops have turned brown. Lift as you need them; the rest keeps in the soil."),
        "tops-fallen": say.gettext("The tops have fallen over by themselves."),
    }


def before_frost(say: Say, key: str, crops: str) -> str:
    """What to do with crops that are picked or lifted before a frost. crops: their names, made safe."""
    return {
        "cut-and-cure": say.gettext("{crops}: cut with some stalk, and let them dry in the warm for ten days."),
        "cut-flowers": say.gettext("{crops}: cut all flowers that are open or nearly so."),
        "lift-cure-warm": say.gettext("{crops}: lift without a bruise, and keep in the warm and damp for ten days."),
        "lift-potatoes": say.gettext(
            "{crops}: lift what you can. If the frost kills the tops of the rest, cut them, and lift in two to three weeks."
        ),
        "lift-roots": say.gettext("{crops}: lift, take off the leaves, and keep cool."),
        "pick-all": say.gettext("{crops}: pick all that can be eaten."),
        "ripen-indoors": say.gettext("{crops}: pick the full-sized green ones too. They ripen indoors."),
    }[key].format(crops=crops)


def caution(say: Say, key: str) -> str:
    """The usual caution, for people who may never have been told."""
    return {
        "asparagus-berries": say.gettext("The red berries of asparagus are poisonous. Keep children from eating them."),
        "bean-canes-eyes": say.gettext("Put caps on cane tops: they are at eye height."),
        "chilli-skin": say.gettext("Chillies burn skin and eyes: wear gloves, wash your hands, don't touch your eyes."),
        "bitter-cucurbit": say.gettext(
            "If a fruit tastes bitter, spit it out and throw all of that plant's away: it is poisonous, cooked too."
        ),
        "comfrey-liver": say.gettext(
            "Comfrey is not for eating, nor for tea: it harms the liver. Gloves against its hairs. Foxglove, which is deadly, "
            "looks much the same before it flowers."
        ),
        "favism": say.gettext(
            "People with G6PD deficiency (favism) must not eat broad beans, however they are cooked. Others cook them."
        ),
        "fig-sap": say.gettext("The milky sap of figs and sunlight can blister skin: wear gloves and sleeves."),
        "green-potato": say.gettext(
            "Keep potatoes dark. Throw green or strongly sprouted ones away: cooking does not make them safe."
        ),
        "not-food": say.gettext("For the vase: not food."),
        "poison-bulb": say.gettext(
            "Not food: bulbs and leaves are poisonous and look like onions and chives. Keep the bulbs labelled, away from the "
            "kitchen. Gloves: the bulbs can bring a rash."
        ),
        "raw-bean": say.gettext(
            "Never eat these beans raw. Fresh pods: boil for 10 minutes. Dried or ripe beans: soak for 12 hours, throw that "
            "water away, boil hard for 30 minutes. A slow cooker is not hot enough."
        ),
        "rhubarb-frosted": say.gettext("Don't eat rhubarb stalks that frost has made limp: compost them."),
        "rhubarb-leaf": say.gettext("Rhubarb leaves are poisonous: only the stalks are eaten."),
        "skin-sap": say.gettext("Sap of the leaves and sunlight can blister skin: wear gloves and sleeves."),
        "stone-kernels": say.gettext(
            "Don't eat the kernels in the stones, children least of all: they give off cyanide. The fruit is safe."
        ),
        "sweet-pea-poison": say.gettext("Not food: sweet peas are poisonous, the seeds most. They are no garden peas."),
        "tree-ladder": say.gettext(
            "Pick from the ground with a long-handled picker. Ladders only by the garden's own rules, never alone or in wind."
        ),
        "thorns-eyes": say.gettext("Thorny bushes: wear gloves, and guard your eyes."),
        "tomato-potato-foliage": say.gettext("Leaves and stems, and the fruits of potatoes, are poisonous."),
    }[key]


def brief(say: Say, key: str) -> str:
    """The caution in a few words, where the harvest is named; empty for one that is not about eating or skin."""
    return {
        "bitter-cucurbit": say.gettext("Tastes bitter? Spit it out: poisonous."),
        "comfrey-liver": say.gettext("Not food: it harms the liver."),
        "favism": say.gettext("Not for people with G6PD deficiency (favism), however cooked."),
        "green-potato": say.gettext("Throw away green ones."),
        "not-food": say.gettext("Not food."),
        "poison-bulb": say.gettext("Not food: poisonous."),
        "raw-bean": say.gettext("Cook the pods; soak dried beans for 12 hours and boil them hard for 30 minutes."),
        "rhubarb-frosted": say.gettext("No stalks that frost made limp."),
        "rhubarb-leaf": say.gettext("The leaves are poisonous."),
        "stone-kernels": say.gettext("Don't eat the kernels."),
        "sweet-pea-poison": say.gettext("Not food: poisonous."),
        "skin-sap": say.gettext("Gloves and sleeves: its sap and sunlight blister skin."),
        "tomato-potato-foliage": say.gettext("Leaves and stems are poisonous."),
    }.get(key, "")


def compost(say: Say) -> str:
    """Legionella longbeachae, wherever compost is handled."""
    return say.gettext(
        "Compost: wear gloves, keep your face away from the bag, damp it down, wash your hands. It can carry Legionella."
    )


def hose(say: Say) -> str:
    """Legionella in water that has stood warm."""
    return say.gettext(
        "A hose that lay in the sun: let it run gently without the spray first, and don't breathe the mist. It can carry "
        "Legionella. Empty it afterwards."
    )


def no_fire(say: Say) -> str:
    """For a cold night of a house with plants in it."""
    return say.gettext(
        "Under glass or plastic no paraffin, gas, charcoal or candles: carbon monoxide and fire kill. Electric heat only "
        "with an RCD and by the maker's instructions."
    )


def no_fire_short(say: Say) -> str:
    """The same in a line."""
    return say.gettext("No fuel heater, flame or candle under glass: carbon monoxide and fire kill.")


def heat(say: Say) -> str:
    """To whoever speaks of a heater, a flame or an engine."""
    return say.gettext(
        "Please, no flame and no fuel in a closed tunnel, greenhouse, frame or shed: no paraffin, gas, charcoal, candles, "
        "barbecue, stove or generator. They make carbon monoxide, which has no smell and kills, and they start fires. A "
        "little open door does not make it safe.\n"
        "Electric heat only with an RCD, on a supply put in by a licensed electrician, by the maker's instructions and the "
        "garden's own rules.\n"
        "Safe against cold: fleece, plants moved in, doors shut in time. Headache, dizzy or sick in there? Out into fresh "
        "air at once, and call 112 or 999."
    )


def habit(say: Say, key: str) -> str:
    """What gardeners know and no table says."""
    return {
        "dahlias-lifted": say.gettext(
            "When frost has blackened the leaves, cut them down, lift the tubers, and keep them dry and free of frost (common "
            "practice, no source)."
        ),
        "lemongrass-in": say.gettext(
            "For the winter it comes in, in a pot, light and above 5 °C (common practice, no source)."
        ),
        "oca-waits": say.gettext(
            "Tubers swell after the equinox and for two weeks after frost has taken the leaves: wait that long (growers' "
            "experience, no published figure)."
        ),
        "slips-warm": say.gettext(
            "It grows from slips, in the warmest place that you have (common practice, no source)."
        ),
        "sown-too-early": say.gettext(
            "Sown too early, before mid-July, many run to seed in spring (common practice, no source)."
        ),
        "squash-kinds": say.gettext(
            "How long it keeps goes by the kind: acorn five to eight weeks, butternut two to three months, Hubbard five to six "
            "(Iowa State University Extension)."
        ),
        "earlies-eat-soon": say.gettext(
            "First and second earlies do not store: open one pot or plant at a time (common practice, no source)."
        ),
        "one-makes-six": say.gettext("One shallot makes five or six (common practice, no source)."),
        "potatoes-apart": say.gettext(
            "Planted a few weeks apart, harvests come about a month apart (common practice, no source)."
        ),
        "roots-from-stem": say.gettext(
            "It roots from the stem, so set leggy plants deep (common practice, no source)."
        ),
    }[key]
