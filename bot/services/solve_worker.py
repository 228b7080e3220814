"""The worker process of `bot.services.solving`: one pickled problem on stdin, one pickled solution on stdout."""

from __future__ import annotations

import pickle
import sys

from bot.core.rota_solver import solve


def main() -> None:
    problem = pickle.load(sys.stdin.buffer)
    pickle.dump(solve(problem), sys.stdout.buffer)


if __name__ == "__main__":
    main()
