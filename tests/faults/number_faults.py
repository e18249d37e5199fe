"""Faults in numbers: limits, durations, units, exposures, contact times, dilutions, keeping times."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import networkx

from sopc.checks.paths import NodeKind, paths_of
from sopc.language.syntax import Node, Token
from sopc.model.nouns import Limit, Procedure, Requirement, Step
from sopc.trade.figures import figures_in
from sopc.trade.quantities import UNITS as KNOWN
from sopc.trade.quantities import Dimension
from tests.faults.kinds import OWN_CHOICE, Mutant, kind, mutant
from tests.faults.protocol import Protocol, Site, ends, name_of

STILL_KEPT = "tighter than before, and still kept on every way: safe, and told by `sopc diff`"
LONGER = "longer than before, and every limit over it is still kept on every way: told by `sopc diff`"
UNASKED_TIME = "no source is cited for it, no requirement asks how long it lasts, nor do its words: told by `sopc diff`"
LOOSER = "looser, and no source or requirement says how tight it must be: told by `sopc diff`"
UNITS = {
    "s": "min", "min": "s", "h": "min", "day": "h", "week": "day", "F": "C", "C": "F", "psi": "kPa", "kPa": "psi",
    "mL": "L", "L": "mL", "ppm": "%", "%": "ppm", "m": "ft", "ft": "m", "in": "cm",
}  # fmt: skip


def shown(value: Fraction) -> str:
    """A number as the language writes it."""
    rounded = round(float(value), 3)
    return f"{rounded:g}" if rounded < 1e6 else str(int(rounded))


def times(number: Token, factor: Fraction | int) -> str:
    """A number of the text multiplied."""
    return shown(Fraction(str(number)) * factor)


def numbers(node: Node) -> list[Token]:
    """All numbers of a node, those inside included."""
    return [word for word in node.words() if word.type == "NUMBER"]


def most(site: Site) -> Token | None:
    """The upper number of a limit."""
    bound = site.node.node("bound")
    if bound is None or bound.token("WITHIN") is None:
        return None
    return numbers(bound)[-1]


def least(site: Site) -> Token | None:
    """The lower number of a limit."""
    bound = site.node.node("bound")
    if bound is None or bound.token("LEAST") is None:
        return None
    return numbers(bound)[0]


def _choice(protocol: Protocol, site: Site, excuse: str = LOOSER) -> str:
    return "" if protocol.backed(site) else excuse


@kind("time", "raise a lower limit a hundredfold")
def raise_lower(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("limit", "way_limit"):
        number = least(site)
        if number is not None:
            new = times(number, 100)
            excuse = "" if most(site) is not None else "longer than before, and nothing says it must end sooner"
            yield mutant(site, f"at least {new}", site.replace(number, new), excuse=excuse)


@kind("time", "lower an upper limit to a hundredth")
def lower_upper(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("limit", "way_limit"):
        number = most(site)
        if number is not None:
            new = times(number, Fraction(1, 100))
            yield mutant(site, f"within {new}", site.replace(number, new), excuse=STILL_KEPT)


@kind("time", "double an upper limit")
def raise_upper(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("limit", "way_limit"):
        number = most(site)
        if number is not None:
            new = times(number, 2)
            yield mutant(site, f"within {new}", site.replace(number, new), excuse=_choice(protocol, site))


@kind("time", "halve a lower limit")
def lower_lower(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("limit", "way_limit"):
        number = least(site)
        if number is not None:
            new = times(number, Fraction(1, 2))
            yield mutant(site, f"at least {new}", site.replace(number, new), excuse=_choice(protocol, site))


@kind("time", "drop a limit")
def drop_limit(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("limit", "way_limit"):
        yield mutant(site, "limit dropped", site.drop(), excuse=_choice(protocol, site))


@kind("time", "turn a limit round")
def turn_limit(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("limit", "way_limit"):
        one, other = site.node.nodes("point", "way_point")
        text = site.text.text
        (a, b), (c, d) = ends(one), ends(other)
        edits = site.replace(one, text[c:d]), site.replace(other, text[a:b])
        yield mutant(site, "turned round", *edits, excuse=_choice(protocol, site))


def _asked_how_long(protocol: Protocol, site: Site) -> bool:
    """Whether something may ask that the step last so long: a source cited for it, a requirement, its own words.

    What a source says of it cannot be read off the text. A requirement asks by its sentences, which are all there is
    to it unless it needs eyes; a program's time is the machine's.
    """
    step, office = protocol.step(site), protocol.office
    if step is None or step.runs:
        return True
    sources = (office.sources.get(each.source) for each in step.citations)
    if any(source is not None and source.authority != "practice" for source in sources):
        return True
    if any(figure.dimension is Dimension.TIME for text in (step.title, *step.notes) for figure in figures_in(text)):
        return True
    asked = [office.requirements[name] for name in step.meets if name in office.requirements]
    return any(each.needs_eyes or _speaks_of_time(each) for each in asked)


def _held_wet(protocol: Protocol, site: Site) -> bool:
    """Whether an action of the step lasts a contact time."""
    step = protocol.step(site)
    return step is not None and any(protocol.office.actions[each.action].holds_contact_time for each in step.does)


def _speaks_of_time(requirement: Requirement) -> bool:
    sentences = [each for sentence in requirement.sentences for each in (sentence, *sentence.otherwise)]
    traits = [trait for each in sentences for trait in each.traits]
    return not sentences or any(trait.kind == "taking" for trait in traits)


def _duration(protocol: Protocol, factor: Fraction | int) -> Iterator[tuple[Site, str, Mutant]]:
    for site in protocol.sites("takes"):
        if site.within("step") is None:
            continue
        found = numbers(site.node)
        edits = [site.replace(number, times(number, factor)) for number in found]
        yield site, ", ".join(edit.new for edit in edits), mutant(site, f"takes × {factor}", *edits)


def _timed(protocol: Protocol, site: Site) -> bool:
    """Whether a limit of the procedure can feel how long this step lasts, or the step must last a contact time."""
    procedure, step = protocol.procedure(site), protocol.step(site)
    if procedure is None or step is None:
        return False
    office = protocol.office
    held = any(office.actions[doing.action].holds_contact_time for doing in step.does)
    return held or any(_runs_over(procedure, limit, step) for limit in procedure.limits)


def _runs_over(procedure: Procedure, limit: Limit, step: Step) -> bool:
    """Whether one can come from the moment the limit counts from to this step, and from there to the one it limits."""
    graph = networkx.DiGraph()
    paths = paths_of(procedure)
    graph.add_edges_from((edge.source, edge.target) for edge in paths.edges)
    nodes = {node.step.name: node.index for node in paths.nodes if node.step is not None and node.kind is NodeKind.STEP}
    here = nodes[step.name]
    first = 0 if limit.earlier.step is None else nodes[limit.earlier.step]
    last = paths.end if limit.later.step is None else nodes[limit.later.step]
    begun = (here == first and limit.earlier.edge == "starts") or _leads(graph, first, here)
    return begun and ((here == last and limit.later.edge == "ends") or _leads(graph, here, last))


def _leads(graph: networkx.DiGraph[int], source: int, target: int) -> bool:
    """Whether some way of one edge and more leads from one node to another, or back to it."""
    return any(networkx.has_path(graph, after, target) for after in graph.successors(source))


@kind("time", "shorten a step to a tenth")
def shorten(protocol: Protocol) -> Iterator[Mutant]:
    for site, _, made in _duration(protocol, Fraction(1, 10)):
        excuse = "" if _held_wet(protocol, site) or _asked_how_long(protocol, site) else UNASKED_TIME
        yield Mutant(made.where, made.what, made.edits, excuse)


@kind("time", "lengthen a step twentyfold")
def lengthen(protocol: Protocol) -> Iterator[Mutant]:
    for site, _, made in _duration(protocol, 20):
        # What breaks a limit, or may break one, is told; a survivor keeps all of them on every way.
        excuse = LONGER if _timed(protocol, site) else "no limit runs over it: told by `sopc diff`"
        yield Mutant(made.where, made.what, made.edits, excuse)


@kind("time", "drop how long it takes")
def drop_takes(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("takes"):
        excuse = "" if _asked_how_long(protocol, site) or _timed(protocol, site) else "no limit runs over it"
        yield mutant(site, "takes dropped", site.drop(), excuse=excuse)


@kind("machines", "let a machine take five times as long")
def widen_program(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("lasts"):
        if site.within("program") is None:
            continue
        number, program = numbers(site.node)[-1], name_of(site.within("program") or site.node)
        users = [
            procedure
            for procedure in protocol.office.procedures.values()
            for step in procedure.steps()
            if any(run.program == program for run in step.runs) and procedure.limits
        ]
        excuse = "" if users else "no limit of any procedure feels how long it runs"
        yield mutant(site, f"to {times(number, 5)}", site.replace(number, times(number, 5)), excuse=excuse)


@kind("machines", "drop how long a program lasts")
def drop_lasts(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("lasts"):
        if site.within("program") is not None:
            yield mutant(site, "lasts dropped", site.drop())


@kind("machines", "lower an exposure temperature by 12 %")
def lower_exposure(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("exposure"):
        number = numbers(site.node)[0]
        new = times(number, Fraction(88, 100))
        yield mutant(site, f"at {new}", site.replace(number, new))


@kind("machines", "halve an exposure time")
def halve_exposure(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("exposure"):
        edits = [site.replace(number, times(number, Fraction(1, 2))) for number in numbers(site.node)[1:]]
        yield mutant(site, "half as long", *edits)


@kind("machines", "drop an exposure")
def drop_exposure(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("exposure"):
        yield mutant(site, "exposure dropped", site.drop())


@kind("machines", "shorten the drying to a tenth")
def shorten_drying(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("drying"):
        edits = [site.replace(number, times(number, Fraction(1, 10))) for number in numbers(site.node)]
        yield mutant(site, "a tenth of the drying", *edits)


@kind("machines", "suit loads packed otherwise", sure=True)
def other_loads(protocol: Protocol) -> Iterator[Mutant]:
    office = protocol.office
    run = {
        (each.device, each.program)
        for procedure in office.procedures.values()
        for step in procedure.steps()
        for each in step.runs
    }
    other = {"wrapped": "unwrapped", "unwrapped": "wrapped"}
    for site in protocol.sites("suits"):
        device, program = site.within("device"), site.within("program")
        if device is None or program is None or (name_of(device), name_of(program)) not in run:
            continue
        for word in site.node.tokens("LOAD_KIND"):
            if str(word) in other:
                yield mutant(site, f"suits {other[str(word)]}", site.replace(word, other[str(word)]))


@kind("machines", "lower a pressure by a fifth")
def lower_pressure(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("pressure"):
        number = numbers(site.node)[0]
        new = times(number, Fraction(4, 5))
        yield mutant(site, new, site.replace(number, new))


@kind("machines", "move the office to another altitude")
def altitude(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("altitude"):
        number = numbers(site.node)[0]
        for factor in (Fraction(0), Fraction(1, 2), Fraction(3, 2)):
            new = times(number, factor)
            yield mutant(site, f"altitude {new}", site.replace(number, new))


@kind("supplies", "shorten a contact time to a tenth")
def shorten_contact(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("contact"):
        edits = [site.replace(number, times(number, Fraction(1, 10))) for number in numbers(site.node)]
        yield mutant(site, "a tenth of the contact time", *edits)


@kind("supplies", "lengthen a contact time tenfold")
def lengthen_contact(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("contact"):
        edits = [site.replace(number, times(number, 10)) for number in numbers(site.node)]
        supply = name_of(site.block())
        users = [
            step
            for procedure in protocol.office.procedures.values()
            for step in procedure.steps()
            if supply in step.using
            and any(protocol.office.actions[each.action].holds_contact_time for each in step.does)
        ]
        excuse = "" if users else "no step that must last a contact time uses it"
        yield mutant(site, "ten times the contact time", *edits, excuse=excuse)


@kind("supplies", "drop a contact time")
def drop_contact(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("contact"):
        yield mutant(site, "contact dropped", site.drop())


@kind("supplies", "let a solution keep ten times as long")
def keep_longer(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("use_within"):
        number = numbers(site.node)[0]
        new = times(number, 10)
        yield mutant(site, f"use within {new}", site.replace(number, new), excuse=_choice(protocol, site))


@kind("supplies", "let a solution keep a tenth as long")
def keep_shorter(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("use_within"):
        number = numbers(site.node)[0]
        new = times(number, Fraction(1, 10))
        yield mutant(site, f"use within {new}", site.replace(number, new), excuse=STILL_KEPT)


@kind("supplies", "drop how long a solution keeps")
def drop_use_within(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("use_within"):
        yield mutant(site, "use within dropped", site.drop(), excuse=_choice(protocol, site, OWN_CHOICE))


@kind("supplies", "dilute five times weaker")
def weaker(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("dilute"):
        number = numbers(site.node)[1]
        new = times(number, 5)
        yield mutant(site, f"1 to {new}", site.replace(number, new), excuse=_choice(protocol, site))


@kind("supplies", "drop a dilution")
def drop_dilution(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("dilute"):
        yield mutant(site, "dilution dropped", site.drop())


@kind("units", "another unit of the same kind")
def other_unit(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("quantity", "span", "duration"):
        for word in site.node.tokens("UNIT"):
            new = UNITS.get(str(word).replace("°", ""))
            if new is None:
                continue
            excuse = _unit_excuse(protocol, site, str(word), new)
            yield mutant(site, f"{word} → {new}", site.replace(word, new), excuse=excuse)


def _unit_excuse(protocol: Protocol, site: Site, old: str, new: str) -> str:
    """A duration in another unit is a shorter or longer one: excused as those are."""
    takes = site.within("takes")
    if takes is None or site.within("step") is None:
        return "" if protocol.backed(site) else OWN_CHOICE
    if KNOWN[new].factor > KNOWN[old].factor:
        return LONGER if _timed(protocol, site) else "no limit runs over it: told by `sopc diff`"
    return "" if _held_wet(protocol, site) or _asked_how_long(protocol, site) else UNASKED_TIME


@kind("units", "a unit of another kind", sure=True)
def wrong_unit(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("quantity", "span"):
        for word in site.node.tokens("UNIT"):
            new = "kPa" if str(word) not in ("kPa", "psi", "bar") else "min"
            yield mutant(site, f"{word} → {new}", site.replace(word, new))


@kind("units", "a unit that does not exist", sure=True)
def no_unit(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("quantity", "span"):
        for word in site.node.tokens("UNIT"):
            yield mutant(site, f"{word} → zz", site.replace(word, "zz"))
