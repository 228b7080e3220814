"""The year's end, and the sheet at the gate."""
