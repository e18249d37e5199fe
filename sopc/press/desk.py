"""Where the long sums of a day plan are done: by a process that has no page yet; what came of them is kept."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any

from sopc.press.unchanged import program
from sopc.render.cache import ResultCache, digest

if TYPE_CHECKING:
    from sopc.render.setters import Setters


@dataclass(slots=True)
class Desk:
    """Takes work, as `sopc.documents.working_out` says. What was worked out from the same values is not done again."""

    cache: ResultCache
    crew: Setters | None
    begun: list[str] = field(default_factory=list)  # what is not in the cache

    def work(self, function: Callable[..., Any], *arguments: Any) -> Callable[[], Any]:
        """Begin it, or take what is kept under the hash of the values and of the whole program."""
        name = f"{function.__module__}.{function.__qualname__}"
        key = digest("worked out", program(), name, repr(arguments))
        kept = self.cache.get(key)
        if kept is not None:
            return partial(json.loads, kept)
        self.begun.append(name)
        answer = self.crew.ask(function, *arguments) if self.crew else partial(function, *arguments)
        return partial(self._answered, key, answer)

    def _answered(self, key: str, answer: Callable[[], Any]) -> Any:
        data = json.dumps(answer()).encode()
        self.cache.put(key, data)
        return json.loads(data)
