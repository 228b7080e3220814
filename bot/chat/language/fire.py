"""Whether somebody speaks of a flame, a heater or an engine in a closed house: that is answered whatever else is said."""

from __future__ import annotations

from bot.chat.language.phrases import stands_in, voices
from bot.crops.find import fold
from bot.i18n import Say

__all__ = ["fire"]


def fire(text: str, say: Say, *, to_us: bool) -> bool:
    """Whether the text is about fire in a tunnel or the like. to_us: spoken to the bot, not among neighbours; then a
    question about a heater, or a word about the cold, is enough.
    """
    words = fold(text)
    spoken = voices(say)
    if not any(stands_in(words, _burning(voice)) for voice in spoken):
        return False
    if any(stands_in(words, _houses(voice)) for voice in spoken):
        return True
    return to_us and ("?" in text or any(stands_in(words, _cold(voice)) for voice in spoken))


def _burning(voice: Say) -> str:
    return voice.pgettext(
        "words for what burns or heats",
        "heater|heaters|heating|paraffin|kerosene|propane|butane|calor|gas bottle|gas bottles|gas stove|gas burner|gas lamp|"
        "gas fire|camping stove|camp stove|stove|stoves|log burner|wood burner|burner|charcoal|coal|coals|barbecue|barbecues|"
        "barbeque|bbq|bbqs|brazier|fire pit|firepit|bonfire|candle|candles|tea light|tea lights|tealight|tealights|lantern|"
        "lanterns|oil lamp|oil lamps|generator|generators|petrol engine|blow torch|blowtorch|grill",
    )


def _houses(voice: Say) -> str:
    return voice.pgettext(
        "words for closed houses of a garden",
        "tunnel|tunnels|polytunnel|polytunnels|greenhouse|greenhouses|glasshouse|glasshouses|conservatory|cold frame|"
        "cold frames|frame|frames|shed|sheds|summerhouse|cabin|garage|inside|indoors|under glass|under cover|dome",
    )


def _cold(voice: Say) -> str:
    return voice.pgettext(
        "words about cold and warmth",
        "cold|frost|freeze|freezing|frosty|warm|warmer|heat|tonight|overnight|minus",
    )
