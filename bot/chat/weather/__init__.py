"""Forecasts, nights, ground and wind; what thermometers teach."""
