"""Where records are kept: tables, sessions, and one module a noun of async functions that take a session."""
