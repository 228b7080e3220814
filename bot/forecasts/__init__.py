"""The weather services, one a module: each turns its own answers into a `bot.core.weather.forecast.Forecast`.

`client` finds the latest forecast, `request` asks one service, `stored` is what is kept between requests, and `file`
reads recorded answers.
"""
