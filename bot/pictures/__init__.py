"""Pictures made for phones and the sheet at the gate: what is drawn, without the drawing libraries in the bot itself.

`outlook`, `season` and `wall` say what a picture shows and word it for those who cannot see it; `draw_outlook`,
`draw_season` and `draw_wall` draw it and run in the worker process alone; `working` calls them.
"""
