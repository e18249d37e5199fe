"""Programs for wrapped or for unwrapped loads, and what is put into them: examples, then every path walked."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.items import order, packaging
from sopc.findings import Finding
from tests.checks.small_offices import TODAY, TRADE, codes, found, office, only

PROGRAMS = """
device oven "Oven" is steamer {
  program packs "For packs" { suits wrapped, hollow }
  program trays "For trays" { suits unwrapped }
  program both "For both" { suits wrapped, unwrapped }
  program check "Air test" { suits wrapped, tests }
}
action cook "Cook" { brings sterile with steamer }
"""
KNOWN = TRADE.replace('"Packed"', '"Packed" { is wrapped }') + PROGRAMS


def told(text: str) -> list[Finding]:
    loaded = office(text, KNOWN)
    return list(packaging.check(loaded))


def work(body: str, start: str = "clean, dry", name: str = "work") -> str:
    return f'procedure {name} "Work" {{ by assistant handles tip from {start} to sterile\n{body}\n}}\n'


def cook(program: str, name: str = "c") -> str:
    return f'step {name} "Cook it" {{ does cook runs oven {program} }}\n'


PACK = 'step p "Pack it" { does pack }\n'
OPEN = 'step o "Open it" { does open_pack }\n'


@pytest.mark.parametrize(
    ("body", "fine"),
    [
        (PACK + cook("packs"), True),
        (cook("packs"), False),
        (PACK + OPEN + cook("packs"), False),
        (cook("trays"), True),
        (PACK + cook("trays"), False),
        (PACK + OPEN + cook("trays"), True),
        (cook("both"), True),
        (PACK + cook("both"), True),
        (cook("check"), True),
        ('step b "Both" { does pack does cook runs oven packs }', True),
        ('step b "Both" { does pack does cook runs oven trays }', False),
    ],
)
def test_a_program_is_run_with_what_it_suits(body: str, fine: bool) -> None:
    assert codes(told(work(body))) == ([] if fine else ["L31"])


def test_the_walk_shows_the_path_on_which_it_is_not_packed() -> None:
    finding = only(told(work(PACK.replace("{ does", '{ when "it is for the shelf" does') + cook("packs"))), "L31")
    assert "“For packs”, which suits wrapped loads only, and here it is not packed on some path" in finding.sentence
    assert finding.walk[0].text == "Step 1 “Pack it” is skipped: not “it is for the shelf”"


def test_what_comes_packed_needs_no_packing() -> None:
    assert told(work(cook("packs"), start="packed")) == []
    assert codes(told(work(cook("trays"), start="packed"))) == ["L31"]


def test_an_action_that_asks_for_packing_itself_is_not_told_twice() -> None:
    text = 'step c "Cook it" { does sterilize runs oven packs }'
    assert told(work(text)) == []
    assert codes(list(order.check(office(work(text), KNOWN), TODAY)), "O01") == ["O01"]


def test_what_is_handed_over_packed_is_seen_inside() -> None:
    inner = work(cook("trays"), start="clean", name="inner")
    outer = work(PACK + 'step i "Go on" { perform inner }')
    assert told(inner) == []
    finding = only(told(inner + outer), "L31")
    assert finding.walk[0].text == "Step 1 “Pack it”"


def test_what_a_performed_procedure_packs_is_packed_though_it_promises_nothing_of_it() -> None:
    inner = 'procedure inner "Inner" { by assistant handles tip from clean, dry to dry\n' + PACK + "}\n"
    outer = work('step i "Prepare" { perform inner }' + cook("{}"))
    assert codes(told(inner + outer.replace("{}", "trays"))) == ["L31"]
    assert codes(told(inner + outer.replace("{}", "packs"))) == []


def test_another_item_may_go_unpacked() -> None:
    text = (
        'procedure work "Work" { by assistant handles tip, tray from clean, dry to clean\n'
        'step p "Pack it" { does pack on tip }\n'
        'step c "Cook it" { does cook on tray runs oven trays }\n}'
    )
    assert told(text) == []
    assert "Tray" in only(told(text.replace("oven trays", "oven packs")), "L31").sentence


def test_where_no_condition_means_packed_it_is_undecided() -> None:
    loose = TRADE + PROGRAMS
    check = lambda loaded, today: packaging.check(loaded)  # noqa: E731
    assert codes(found(check, work(PACK + cook("packs")), loose)) == ["L32"]
    assert codes(found(check, work(PACK + cook("both")), loose)) == []
    assert codes(found(check, "", loose)) == []


# ── Against every path of random procedures ─────────────────────────────────────────────────────

Plan = tuple[tuple[str, object], ...]  # ("do", word), ("when", word), ("choose", plans), ("perform", plan)

WORDS = {"pack": PACK, "open": OPEN, "packs": cook("packs"), "trays": cook("trays")}


def plans(depth: int = 2) -> st.SearchStrategy[Plan]:
    act = st.tuples(st.sampled_from(["do", "when"]), st.sampled_from(sorted(WORDS)))
    if not depth:
        return st.lists(act, min_size=1, max_size=3).map(tuple)
    inner = plans(depth - 1)
    choose = st.tuples(st.just("choose"), st.tuples(inner, inner))
    perform = st.tuples(st.just("perform"), inner)
    return st.lists(st.one_of(act, choose, perform), min_size=1, max_size=3).map(tuple)


class Writer:
    """Writes a plan as text; each run gets a name of its own, by which the paths speak of it."""

    def __init__(self) -> None:
        self.count = 0
        self.procedures: list[str] = []

    def written(self, plan: Plan, labels: dict[int, str]) -> str:
        text = ""
        for part in plan:
            kind, inside = part
            self.count += 1
            name = f"s{self.count}"
            if kind in ("do", "when"):
                labels[id(part)] = name
                line = WORDS[str(inside)]
                word = line.split()[1]
                line = line.replace(f"step {word} ", f"step {name} ", 1).replace("Cook it", name)
                text += line.replace("{", '{ when "so"', 1) if kind == "when" else line
            elif kind == "choose":
                one, other = inside  # type: ignore[misc]
                text += f'choose "?" {{ way "1" {{ {self.written(one, labels)} }} '
                text += f'way "2" {{ {self.written(other, labels)} }} }}\n'
            else:
                body = self.written(inside, labels)  # type: ignore[arg-type]
                self.procedures.append(
                    f'procedure {name} "{name}" {{ by assistant handles tip from dry to dry\n{body}}}\n'
                )
                text += f'step {name} "{name}" {{ perform {name} }}\n'
        return text


def walked(plan: Plan, packed: bool, labels: dict[int, str], wrong: set[str]) -> Iterator[bool]:
    """Every end of every path: whether the item is packed there. Notes the runs with what they do not suit."""
    if not plan:
        yield packed
        return
    part, rest = plan[0], plan[1:]
    kind, inside = part
    after: list[bool] = []
    if kind == "when":
        after.append(packed)
    if kind in ("do", "when"):
        if (inside == "packs" and not packed) or (inside == "trays" and packed):
            wrong.add(labels[id(part)])
        after.append({"pack": True, "open": False}.get(str(inside), packed))
    elif kind == "choose":
        after += [end for way in inside for end in walked(way, packed, labels, wrong)]  # type: ignore[attr-defined]
    else:
        list(walked(inside, False, labels, wrong))  # type: ignore[arg-type]  # as it says itself that it takes it
        after += walked(inside, packed, labels, wrong)  # type: ignore[arg-type]
    for state in set(after):
        yield from walked(rest, state, labels, wrong)


@settings(max_examples=200, deadline=None)
@given(plans())
def test_every_run_with_the_wrong_packaging_is_told_and_no_other(plan: Plan) -> None:
    writer, labels = Writer(), {}
    body = writer.written(plan, labels)
    text = "".join(writer.procedures) + f'procedure work "Work" {{ by assistant handles tip from dry to dry\n{body}}}'
    wrong: set[str] = set()
    list(walked(plan, False, labels, wrong))
    loaded = office(text, KNOWN)
    steps = {step.span.line: step.name for procedure in loaded.procedures.values() for step in procedure.steps()}
    assert {steps[finding.span.line] for finding in packaging.check(loaded)} == wrong
