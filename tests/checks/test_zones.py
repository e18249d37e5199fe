"""Items on their way through zones: small examples of the trade, then every path of random procedures walked."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.rooms import places, zones
from sopc.library import load_text
from sopc.model.nouns import Check, GoTo, Office, Procedure, Repeat, Step, Stop
from tests.checks.small_offices import codes, found, office, procedure

PLACES = """
zone red "Red"
zone blue "Blue" { admits clean }
zone hall "Hall"
flow red to blue
area sink "Sink" { zone red }
area bench "Bench" { zone blue }
area desk "Desk" { zone hall }
"""
WASHED = 'step a "A" { does wash  in sink }\nstep b "B" { does dry_off  in bench }\n'


def test_along_the_flow_and_clean_is_right() -> None:
    assert found(zones.check, PLACES + procedure(WASHED)) == []


def test_against_the_flow_is_told_with_the_way_so_far() -> None:
    (finding,) = found(zones.check, PLACES + procedure(WASHED + 'step c "C" { does dry_off  in sink }\n'))
    assert finding.code == "Z01"
    assert [line.text for line in finding.walk] == ["Step 1 “A”: in Red", "Step 2 “B”: in Blue"]


def test_going_back_because_a_check_failed_needs_a_way_back() -> None:
    again = 'check "Ok?" else lose clean then repeat from a at most 1 times then stop "x"'
    body = f'step a "A" {{ does wash  in sink }}\nstep b "B" {{ does dry_off  in bench  {again} }}\n'
    assert codes(found(zones.check, PLACES + procedure(body))) == ["Z01"]
    assert found(zones.check, PLACES + "flow blue to red\n" + procedure(body)) == []


def test_a_way_for_some_things_only_lets_no_others_through() -> None:
    back = WASHED + 'step p "P" { does pack  in bench }\nstep c "C" { does open_pack  in sink }\n'
    assert codes(found(zones.check, PLACES + "flow blue to red only sterile\n" + procedure(back))) == ["Z02"]
    assert found(zones.check, PLACES + "flow blue to red only packed\n" + procedure(back)) == []


def test_on_the_path_that_skips_the_washing_it_comes_in_soiled() -> None:
    body = 'step s "S" { does soil  in sink }\nstep a "A" { does wash  in sink  when "time is left" }\n'
    (finding,) = found(zones.check, PLACES + procedure(body + 'step b "B" { does lay_out  in bench }\n'))
    assert (finding.code, finding.walk[-1].text) == ("Z02", "Step 2 “A” is skipped: not “time is left”")


def test_a_circle_on_which_nothing_is_asked_is_told_at_the_way_that_closes_it() -> None:
    zones_only = 'zone a "A"\nzone b "B"\nzone c "C"\n'
    (finding,) = found(zones.check, zones_only + "flow a to b to c\nflow c to a\n")
    assert (finding.code, finding.span.line) == (
        "Z07",
        office(zones_only + "flow a to b to c\nflow c to a\n").flow[-1].span.line,
    )
    assert "to “A” and, by “B”, back again" in finding.sentence
    assert found(zones.check, zones_only + "flow a to b to c\nflow c to a only clean\n") == []
    assert found(zones.check, zones_only.replace('"C"', '"C" { admits clean }') + "flow a to b to c to a\n") == []
    assert found(zones.check, zones_only + "flow a to b\nflow a to c\nflow b to c\n") == []


ROUND = "abcd"
ways = st.lists(
    st.tuples(st.sampled_from(ROUND), st.sampled_from(ROUND), st.booleans()), max_size=8, unique_by=lambda way: way[:2]
)


@settings(max_examples=100, deadline=None)
@given(ways, st.sets(st.sampled_from(ROUND), max_size=2))
def test_a_circle_is_told_exactly_when_networkx_finds_one_of_ways_that_ask_nothing(
    drawn: list[tuple[str, str, bool]], careful: set[str]
) -> None:
    text = "".join(f'zone {zone} "{zone}" {{ {"admits clean" if zone in careful else ""} }}\n' for zone in ROUND)
    drawn = [way for way in drawn if way[0] != way[1]]
    text += "".join(f"flow {one} to {other}{' only clean' if asks else ''}\n" for one, other, asks in drawn)
    free = networkx.DiGraph((one, other) for one, other, asks in drawn if not asks and other not in careful)
    assert bool(codes(found(zones.check, text), "Z07")) != networkx.is_directed_acyclic_graph(free)


def test_where_no_flow_leads_nothing_is_handled() -> None:
    assert codes(found(zones.check, PLACES + procedure('step a "A" { does wash  in desk }\n'))) == ["Z01"]


def test_a_look_that_may_take_something_away_is_where_the_item_is() -> None:
    look = 'step l "L" { in desk  check "Ok?" else lose clean then stop "x" }\n'
    assert codes(found(zones.check, PLACES + procedure(WASHED + look))) == ["Z01"]
    glance = 'step l "L" { in desk  check "Ok?" else stop "x" }\n'
    assert found(zones.check, PLACES + procedure(WASHED + glance)) == []


def test_a_machine_is_used_where_it_stands() -> None:
    stands = 'area sink "Sink"\narea bench "Bench"\ndevice oven "Oven" { in bench  program p "P" { lasts 10 min } }\n'
    text = stands + procedure('step s "S" { in sink  runs oven p }\n')
    assert codes(found(places.check, text)) == ["P09"]


def test_where_areas_are_declared_steps_name_theirs() -> None:
    assert codes(found(places.check, 'area sink "Sink"\n' + procedure('step s "S"\n'))) == ["P10"]


def test_what_is_fixed_goes_nowhere() -> None:
    tray = 'item wall "Wall" { noncritical  fixed in bench }\n'
    text = PLACES + tray + procedure('step a "A" { does wash on wall  in sink }\n', handles="wall from soiled to clean")
    assert found(zones.check, text) == []
    assert codes(found(places.check, text)) == ["P09"]


def test_a_fixed_device_is_used_where_it_is_one_that_is_carried_anywhere() -> None:
    step = procedure('step a "A" { in sink  using thing }\n')
    assert codes(found(places.check, PLACES + 'device thing "Thing" { fixed in bench }\n' + step)) == ["P09"]
    assert found(places.check, PLACES + 'device thing "Thing" { in bench }\n' + step) == []


def test_what_a_zone_keeps_waits_there() -> None:
    text = PLACES + 'zone store "Store" { keeps packed }\n'
    body = 'step a "A" { does lay_out  in sink }\n'
    assert codes(found(zones.check, text + procedure(body, handles="tip from packed to packed"))) == ["Z03", "Z03"]


def test_used_instruments_come_from_the_chair_to_the_first_page_along_the_flow() -> None:
    text = PLACES + procedure(WASHED) + 'device chair_1 "Chair" { in bench }\n'
    text += 'visit care "Care" { lasts 30 min  by dentist  chair chair_1  needs 1 tip }\n'
    text += 'circuit back "The way back" { for tip  perform work }\n'
    (finding,) = found(zones.check, text)
    assert "comes from “Care” in “Blue” to “Work” in “Red”" in finding.sentence
    assert found(zones.check, text.replace("{ in bench }", "{ in sink }")) == []


def test_a_performed_procedure_takes_the_item_along() -> None:
    head = "by assistant  handles tip from clean to clean  in bench"
    inner = f'procedure inner "Inner" {{ {head}  step i "I" {{ does dry_off }} }}'
    body = 'step a "A" { does wash  in sink }\nstep b "B" { perform inner  in bench }\n'
    body += 'step c "C" { does lay_out  in sink }\n'
    (finding,) = found(zones.check, PLACES + inner + procedure(body))
    assert (finding.code, finding.walk[-1].text) == ("Z01", "Step 2 “B”: in Blue")


# ── Every path of random procedures ─────────────────────────────────────────────────────────────

TRADE = """office "Example" { open mon to fri 08:00 to 17:00 }
role assistant "Assistant"
condition a "A" { excludes b }
condition b "B"
condition c "C"
item tip "Tip"
action touch "Touch" { }
action bring_a "Bring a" { brings a }
action bring_b "Bring b" { brings b }
action lose_b "Lose b" { undoes b }
"""
DOES = {
    "touch": (set[str](), set[str]()),
    "bring_a": ({"b"}, {"a"}),
    "bring_b": ({"a"}, {"b"}),
    "lose_b": ({"b"}, set[str]()),
}
ZONES = ("x", "y", "z")


@st.composite
def offices(draw: st.DrawFn) -> str:
    lines = [TRADE.rstrip("\n")]
    for zone in ZONES:
        admits = draw(st.sampled_from(["", "", "{ admits a }", "{ admits b }"]))
        lines += [f'zone {zone} "{zone}" {admits}', f'area in_{zone} "In {zone}" {{ zone {zone} }}']
    for one in ZONES:
        for other in ZONES:
            if one != other and draw(st.booleans()):
                lines.append(f"flow {one} to {other} {draw(st.sampled_from(['', '', 'only a', 'only b']))}")
    lines.append('procedure inner "Inner" { handles tip from c to c  by assistant')
    for name in ("p", "q"):
        when = draw(st.sampled_from(["", 'when "so"']))
        lines.append(f'step {name} "{name}" {{ does touch  in in_{draw(st.sampled_from(ZONES))}  {when} }}')
    lines += ["}", f'procedure work "Work" {{ handles tip from {draw(st.sampled_from("abc"))} to c  by assistant']
    lines += [_step(draw, name) for name in "stuv"]
    return "\n".join([*lines, "}"]) + "\n"


def _step(draw: st.DrawFn, name: str) -> str:
    does = [draw(st.sampled_from([*(f"does {action}" for action in DOES), "perform inner", ""]))]
    if draw(st.integers(0, 2)) == 0:
        does.append('when "so"')
    if draw(st.integers(0, 1)) == 0:
        lose = draw(st.sampled_from(["", "lose a then ", "lose b then "]))
        back = draw(st.sampled_from("stuv"[: "stuv".index(name) + 1]))
        onward = ['stop "x"', "continue", f'repeat from {back} at most 1 times then stop "x"']
        onward += [f"go to {each}" for each in "stuv"["stuv".index(name) + 1 :]]
        does.append(f'check "Ok?" else {lose}{draw(st.sampled_from(onward))}')
    return f'step {name} "{name}" {{ in in_{draw(st.sampled_from(ZONES))}  {"  ".join(does)} }}'


Told = tuple[str, int]
"""A code and the line of the text it is about."""


class Walker:
    """Goes every path of a procedure, one step after the other, and notes what goes wrong for the item."""

    def __init__(self, office: Office, procedure: Procedure) -> None:
        self.office = office
        self.steps = list(procedure.steps())
        self.names = [step.name for step in self.steps]
        self.told: set[Told] = set()
        self.ends: list[str] = []
        self.starts: set[str] = set()
        self.from_ = frozenset(procedure.from_conditions)
        self.wanted = {each for other in office.procedures.values() for each in other.from_conditions}

    def go(self) -> None:
        self._at(0, "", self.from_, ())

    def _at(self, place: int, zone: str, held: frozenset[str], repeats: tuple[tuple[str, int], ...]) -> None:
        if place == len(self.steps):
            self.ends.append(zone)
            return
        step = self.steps[place]
        if step.when:
            self._at(place + 1, zone, held, repeats)
        for after in self._handle(step, zone, held):
            takes, brings = DOES[step.does[0].action] if step.does else (set[str](), set[str]())
            if not step.checks:
                self._at(place + 1, after, (held - takes) | brings, repeats)
                continue
            self._at(place + 1, after, (held - takes) | brings, repeats)
            undone = {"b"} if step.does and step.does[0].action == "lose_b" else set[str]()
            # After a no what the act brings cannot be relied on; what nothing asks for has come about all the same,
            # and has driven out what it excludes.
            left = held - brings - (set[str]() if brings & self.wanted else takes)
            self._no(place, step.checks[0], after, left - undone - set(step.checks[0].loses), repeats)

    def _no(
        self, place: int, check: Check, zone: str, held: frozenset[str], repeats: tuple[tuple[str, int], ...]
    ) -> None:
        match check.otherwise:
            case Stop():
                return
            case GoTo(step=target):
                self._at(self.names.index(target), zone, held, repeats)
            case Repeat(step=target):
                done = dict(repeats)
                name = self.names[place]
                if done.get(name, 0) < 2:
                    done[name] = done.get(name, 0) + 1
                    self._at(self.names.index(target), zone, held, tuple(sorted(done.items())))
            case _:
                self._at(place + 1, zone, held, repeats)

    def _handle(self, step: Step, zone: str, held: frozenset[str]) -> Iterator[str]:
        """Note what the step's act meets, and yield every zone in which the item may lie afterwards."""
        if step.performs:
            inner = Walker(self.office, self.office.procedures["inner"])
            inner.go()
            for target in sorted(inner.starts):
                if zone:
                    self._cross(zone, target, held, False, step.performs[0].span.line)
            for end in dict.fromkeys(inner.ends):
                yield end or zone
            return
        area = self.office.areas[step.area or ""]
        if not step.does and not any(check.loses for check in step.checks):
            yield zone
            return
        span = step.does[0].span if step.does else step.checks[0].span
        self.starts |= {area.zone or ""} if not zone else set()
        self._cross(zone, area.zone or "", held, True, span.line)
        yield area.zone or ""

    def _cross(self, zone: str, target: str, held: frozenset[str], admits: bool, line: int) -> None:
        ways = {(way.source, way.target): set(way.only) for way in self.office.flow}
        if zone == target:
            return
        lost = bool(ways) and ((zone, target) not in ways if zone else all(target not in way for way in ways))
        asked = ways.get((zone, target), set()) | (set(self.office.zones[target].admits) if admits else set())
        if lost:
            self.told.add(("Z01", line))
        elif asked - held:
            self.told.add(("Z02", line))


def hold(text: str) -> None:
    office, findings = load_text(text)
    assert office is not None, findings
    expected: set[Told] = set()
    for each in office.procedures.values():
        walker = Walker(office, each)
        walker.go()
        expected |= walker.told
    said = [each for each in zones.check(office, date(2026, 12, 1)) if each.code in ("Z01", "Z02")]
    assert {(each.code, each.span.line) for each in said} == expected, text


@settings(max_examples=80, deadline=None)
@given(offices())
def test_it_finds_exactly_what_walking_every_path_finds(text: str) -> None:
    hold(text)


@pytest.mark.long
@settings(max_examples=2000, deadline=None)
@given(offices())
def test_it_finds_what_walking_every_path_finds_in_thousands_of_offices(text: str) -> None:
    hold(text)
