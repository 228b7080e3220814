from bot.chat.turn import Turn
from bot.storage.models import Setup


async def heard(turn: Turn, row: Setup) -> bool:
    return False


async def press(turn: Turn, rest: str) -> None:
    return None
