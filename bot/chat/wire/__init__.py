"""Between the chat platform and the bot: what comes in, what goes out, and how fast."""
