"""The order checks against an interpreter that walks every path of small random procedures, step by step."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.items.effects import ItemEffects, Vocabulary
from sopc.checks.items.flow import Flow
from sopc.model.nouns import Office, Procedure, Step
from tests.checks.path_walker import PathWalker
from tests.checks.small_offices import office

TRADE = """
office "Example" { open mon to fri 08:00 to 17:00 }
role assistant "Assistant"
condition a "A" { excludes b }
condition b "B"
condition c "C"
item tip "Tip"
action bring_a "Bring a" { brings a }
action bring_b "Bring b" { brings b }
action bring_c "Bring c" { brings c }
action need_a "Need a" { needs a }
action need_b "Need b" { needs b  brings c }
action need_c "Need c" { needs c  undoes a }
action lose_c "Lose c" { undoes c }
action turn "Turn" { needs a, c  brings b  undoes c }
"""
ACTIONS = ("bring_a", "bring_b", "bring_c", "need_a", "need_b", "need_c", "lose_c", "turn")
EXCLUDED = {"a": {"b"}, "b": {"a"}, "c": set[str]()}

Held = frozenset[str]
Lack = tuple[str, str]  # step, condition


@st.composite
def step_texts(draw: st.DrawFn, name: str, targets: list[str]) -> str:
    does = draw(st.lists(st.sampled_from(ACTIONS), max_size=2))
    clauses = [f"does {action}" for action in does]
    if draw(st.integers(0, 4)) == 0:
        clauses.append('when "so"')
    if draw(st.integers(0, 2)) == 0:
        lose = draw(st.sampled_from(["", "lose a then ", "lose b, c then "]))
        clauses.append(f'check "Ok?" else {lose}{_outcome(draw, targets, name)}')
    return f'step {name} "{name}" {{ {"  ".join(clauses)} }}\n'


def _outcome(draw: st.DrawFn, targets: list[str], name: str) -> str:
    choices = ["continue", 'stop "x"']
    if targets:
        target = draw(st.sampled_from(targets))
        choices.append(f"go to {target}")
        # A repeat that leads ahead is a finding of its own (O18).
        if target <= name:
            choices.append(f"repeat from {target} at most 1 times then continue")
    return draw(st.sampled_from(choices))


@st.composite
def procedure_texts(draw: st.DrawFn, side_by_side: bool) -> str:
    count = draw(st.integers(1, 5))
    shapes = [draw(st.sampled_from("sssc" + "t" * side_by_side)) for _ in range(count)]
    targets = [f"s{place}" for place, shape in enumerate(shapes) if shape == "s"]
    body = ""
    for place, shape in enumerate(shapes):
        if shape == "s":
            body += draw(step_texts(f"s{place}", targets))
            continue
        insides = []
        for side in "xy":
            steps = range(draw(st.integers(0, 2)))
            insides.append("".join(draw(step_texts(f"s{place}{side}{number}", [])) for number in steps))
        word, inner = ("choose", "way") if shape == "c" else ("together", "branch")
        question = ' "Which?"' if shape == "c" else ""
        parts = " ".join(f'{inner} "{side}" {{ {inside} }}' for side, inside in zip("xy", insides, strict=True))
        body += f"{word}{question} {{ {parts} }}\n"
    start = draw(st.sampled_from(["a", "b", "c", "a, c"]))
    return f'procedure work "Work" {{ handles tip from {start} to a, c by assistant\n{body} }}\n'


class Walker(PathWalker[Held]):
    """Notes what was missing where; a state is the conditions that hold."""

    def __init__(self, office: Office, procedure: Procedure) -> None:
        super().__init__(procedure)
        self.office = office
        self.lacks: set[Lack] = set()
        self.broken: set[str] = set()

    def at_the_end(self, held: Held) -> None:
        self.broken |= set(self.procedure.to_conditions) - held

    def step(self, step: Step, held: Held) -> list[tuple[Held, object]]:
        found: list[tuple[Held, object]] = [(held, None)] if step.when else []
        state = set(held)
        needed: set[str] = set()
        brought: set[str] = set()
        undone: set[str] = set()
        for doing in step.does:
            action = self.office.actions[doing.action]
            self.lacks |= {(step.name, condition) for condition in action.needs if condition not in state}
            state |= set(action.needs)
            state -= set(action.undoes)
            for condition in action.brings:
                state -= EXCLUDED[condition]
            state |= set(action.brings)
            needed |= set(action.needs)
            brought |= set(action.brings)
            undone |= set(action.undoes)
        found.append((frozenset(state), None))
        for check in step.checks:
            gone = brought | undone | set(check.loses)
            found.append((frozenset((set(held) | needed) - gone), check.otherwise))
        return found


def analysed(text: str) -> tuple[Flow, Walker]:
    loaded = office(text, TRADE)
    procedure = loaded.procedures["work"]
    walker = Walker(loaded, procedure)
    walker.walk(frozenset(procedure.from_conditions))
    return Flow(loaded, procedure, ItemEffects(Vocabulary(loaded), procedure)), walker


def lacks_of(flow: Flow) -> set[Lack]:
    reachable = flow.paths.reachable()
    found: set[Lack] = set()
    for node in flow.paths.nodes:
        if node.index in reachable and node.step is not None and node.index in flow.effects:
            for _, mask in flow.missing(node.index):
                found |= {(node.step.name, condition) for condition, _ in flow.items.split(mask)}
    return found


def broken_of(flow: Flow) -> set[str]:
    end = flow.paths.end
    if end not in flow.paths.reachable():
        return set()
    return {condition for condition, _ in flow.items.split(flow.promised & ~flow.holds[end])}


@settings(max_examples=150, deadline=None)
@given(procedure_texts(side_by_side=False))
def test_what_is_missing_on_some_path_is_what_walking_every_path_finds(text: str) -> None:
    flow, walker = analysed(text)
    assert lacks_of(flow) == walker.lacks
    assert broken_of(flow) == walker.broken


@settings(max_examples=90, deadline=None)
@given(procedure_texts(side_by_side=True))
def test_branches_in_whatever_order_lack_nothing_that_is_not_told(text: str) -> None:
    flow, walker = analysed(text)
    if not flow.clashes:
        assert lacks_of(flow) >= walker.lacks
        assert broken_of(flow) >= walker.broken


@settings(max_examples=90, deadline=None)
@given(procedure_texts(side_by_side=True))
def test_every_missing_condition_has_a_path_that_shows_it(text: str) -> None:
    flow, _ = analysed(text)
    reachable = flow.paths.reachable()
    for node in flow.paths.nodes:
        for _, mask in flow.missing(node.index) if node.index in reachable else ():
            for bit in (1 << place for place in range(3) if mask >> place & 1):
                if flow.holds[node.index] & bit or node.index == 1:
                    continue
                path = flow.path_without(node.index, bit)
                assert path
                held = bool(flow.start & bit)
                for edge in path:
                    change = flow.changes[edge]
                    held = bool(change.brings & bit) or (held and not change.takes & bit)
                assert not held
