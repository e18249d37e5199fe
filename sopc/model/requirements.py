"""Requirements and their sentences out of their declarations."""

from __future__ import annotations

from fractions import Fraction

from sopc.language.syntax import Node, span_of, text_of, wording
from sopc.model.entries import Entry
from sopc.model.nouns import Requirement
from sopc.model.schedules import LONGEST_INTERVAL
from sopc.model.sentences import Groups, Needed, Sentence, Thing, Trait
from sopc.model.values import Values, text
from sopc.trade.quantities import Dimension, Quantity

LONGEST_KEPT = 100  # years

NAMES = {
    "acting": ("action",),
    "serving": ("action",),
    "coming": ("action",),
    "leading": ("action",),
    "doing": ("action",),
    "soon_after": ("action",),
    "not_before": ("action",),
    "in_zone_apart": ("action",),
    "employing": ("kind", "device", "supply"),
    "using_all": ("kind", "device", "supply"),
    "promising": ("condition",),
    "finding": ("condition",),
    "wearing_all": ("ppe",),
    "citing": ("source",),
}
"""Of what kind the names in a trait are."""

DEMANDS = {"HAVE": "having", "COME": "coming", "FIND": "finding", "LEAD": "leading"}


def requirement(values: Values, entry: Entry) -> Requirement:
    """One requirement with its sentences."""
    return Requirement(
        **values.common(entry),
        group=text(entry.one("group")),
        needs_eyes=entry.one("eyes") is not None,
        sentences=tuple(
            _Reader(values, clause.file, entry.name).sentences(clause.node) for clause in entry.all("requires")
        ),
    )


class _Reader:
    """Reads the sentences of one requirement."""

    def __init__(self, values: Values, file: str, own: str) -> None:
        self.values = values
        self.file = file
        self.own = own

    def sentences(self, node: Node) -> Sentence:
        first, *others = [self.sentence(child) for child in node.nodes()]
        if not others:
            return first
        whole = wording(node).removeprefix("requires ")
        return Sentence("otherwise", whole, span_of(self.file, node), otherwise=(first, *others))

    def sentence(self, node: Node) -> Sentence:
        span, said = span_of(self.file, node), wording(node)
        if node.kind == "in_order":
            order = tuple(self.acts(child, ("action",)) for child in node.nodes("acts"))
            return Sentence(node.kind, said, span, order=order)
        if node.kind == "along":
            return self.along(node, said)
        things = [self.thing(child) for child in node.nodes("thing")]
        demand = node.node("demand")
        traits = [self.demand(demand)] if demand is not None else []
        traits += [self.trait(child) for child in node.nodes() if child.kind not in ("thing", "demand")]
        other = things[1] if len(things) > 1 else None
        must = node.token("ANY") is None
        return Sentence(node.kind, said, span, things[0], other, must, tuple(traits))

    def along(self, node: Node, said: str) -> Sentence:
        """Steps of one procedure in their order. Whether it has such steps is decided with the sentence."""
        token = node.token("NAME")
        name = self.values.name(token, self.file, "procedure") if token is not None else None
        steps = tuple(tuple(str(step) for step in child.tokens("NAME")) for child in node.nodes("acts"))
        return Sentence(node.kind, said, span_of(self.file, node), order=steps, procedure=name or "")

    def thing(self, node: Node) -> Thing:
        which = tuple(self.trait(child) for child in node.nodes())
        return Thing(str(node.token("THING")), which, wording(node), span_of(self.file, node))

    def demand(self, node: Node) -> Trait:
        """What `to be …`, `to have …`, `to come after …` ask for, as the trait that says the same."""
        word = node.first_token().type
        if word == "BE":
            return self.trait(next(node.nodes()))
        return self.trait(node, DEMANDS[word])

    def trait(self, node: Node, kind: str = "") -> Trait:
        kind = kind or node.kind
        groups = self.groups(node, NAMES.get(kind, ()))
        return Trait(
            kind,
            wording(node),
            span_of(self.file, node),
            groups,
            self.requirement(node.node("meeting") if node.kind != "meeting" else node),
            self.word(node),
            self.number(node),
            self.quantity(node),
            tuple(text_of(token) for token in node.tokens("STRING")),
            tuple(self.needed(child) for child in node.nodes("needed")),
            self.unless(node),
            self.parts(node),
        )

    def unless(self, node: Node) -> tuple[str, ...]:
        lifting = node.node("acts") if node.kind == "soon_after" else None
        return self.acts(lifting, ("action",)) if lifting is not None else ()

    def parts(self, node: Node) -> Fraction | None:
        if node.kind != "no_weaker":
            return None
        one, other = (Fraction(str(token)) for token in node.tokens("NUMBER"))
        return other / one if one else None

    def groups(self, node: Node, kinds: tuple[str, ...]) -> Groups:
        authority = node.token("AUTHORITY")
        if node.kind == "being" and authority is None:
            token = node.token("NAME")
            name = self.values.name(token, self.file, "kind", "supply") if token is not None else None
            return ((name,),) if name else ()
        features = [tuple(str(word) for word in child.tokens("FEATURE")) for child in node.nodes("feature")]
        if features:
            return tuple(features)
        if node.tokens("AUTHORITY"):
            return (tuple(str(word) for word in node.tokens("AUTHORITY")),)
        around = node.node("groups") or node.node("after_acts") or node.node("since") or node
        return tuple(self.acts(child, kinds) for child in around.nodes("acts"))

    def acts(self, node: Node, kinds: tuple[str, ...]) -> tuple[str, ...]:
        found = (self.values.name(token, self.file, *kinds) for token in node.tokens("NAME"))
        return tuple(name for name in found if name is not None)

    def requirement(self, node: Node | None) -> str:
        if node is None:
            return ""
        token = node.token("NAME")
        if token is None:
            return self.own
        return self.values.name(token, self.file, "requirement") or ""

    def word(self, node: Node) -> str:
        if node.kind == "each_time":
            return str(node.last_token())
        after = node.node("after_acts")
        if after is not None:
            return "directly" if after.token("DIRECTLY") is not None else ""
        since = node.node("since")
        if since is not None:
            return "" if since.node("acts") is not None else str(since.last_token())
        of_kind = node.node("property")
        if of_kind is not None:
            return " ".join(str(token) for token in of_kind.words())
        token = node.token("CALENDAR_PART", "TRAINED", "TWO", "ROLE", "LEAST", "MOST")
        return str(token) if token is not None else ""

    def number(self, node: Node) -> int | None:
        token = node.token("NUMBER")
        if token is None or node.kind == "no_weaker":
            return None
        most = LONGEST_KEPT if node.kind == "kept" else LONGEST_INTERVAL
        return self.values.whole_token(token, self.file, most, 1)

    def quantity(self, node: Node) -> Quantity | None:
        inner = node.node("quantity")
        return self.values.quantity_node(inner, self.file, Dimension.TIME) if inner is not None else None

    def needed(self, node: Node) -> Needed:
        kind = node.token("COLUMN_KIND", "UNIT")
        limit = node.node("column_limit")
        numbers = [Fraction(str(token)) for token in limit.tokens("NUMBER")] if limit is not None else []
        at_most = limit is not None and limit.token("MOST") is not None
        least = numbers[0] if numbers and not at_most else None
        most = numbers[-1] if len(numbers) == 2 or (numbers and at_most) else None
        saying = tuple(text_of(token) for token in node.tokens("STRING"))
        accept = text_of(limit.token("STRING")) if limit is not None else ""
        limited = limit is not None or node.token("LIMITS") is not None
        return Needed(str(kind), saying, limited, least, most, accept)
