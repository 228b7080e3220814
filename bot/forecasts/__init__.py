"""The weather services, one a module: each turns its own answers into a `bot.core.weather.forecast.Forecast`.

`request` finds the latest forecast, asks one service after the other, and keeps what is needed between requests; `file`
reads recorded answers.
"""
