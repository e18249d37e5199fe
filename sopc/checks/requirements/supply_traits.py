"""Traits of time and mixture: how long work takes, how long a supply acts and keeps, and how it is mixed."""

from __future__ import annotations

from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.verdicts import YES, Answer, Candidate, no, when
from sopc.model.sentences import Trait
from sopc.trade.quantities import show_number


def taking(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    if thing.kind == "supply":
        return _acting_so_long(thing, trait)
    takes, asked = thing.record.takes, trait.quantity
    if asked is None:
        return YES
    if takes is None:
        return no("it does not say how long it takes")
    if trait.word == "least":
        return when(
            takes.least.base >= asked.base, f"it may take as little as {takes.least}; at least {asked} is asked"
        )
    if takes.most is None:
        return no(f"it sets no longest time; at most {asked} is asked")
    return when(takes.most.base <= asked.base, f"it may take {takes.most}; at most {asked} is asked")


def _acting_so_long(thing: Candidate, trait: Trait) -> Answer:
    """A supply takes its contact time to act; where it says a range, the longest is what makes “at most” fail."""
    contact, asked = thing.record.contact, trait.quantity
    if asked is None:
        return YES
    if contact is None:
        return no("it does not say how long it must act", f"no contact time {thing.name}")
    least, most = contact
    if trait.word == "least":
        return when(least.base >= asked.base, f"it acts for as little as {least}; at least {asked} is asked")
    return when(most.base <= asked.base, f"it acts for {most}; at most {asked} is asked")


def used_within(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    keeps, asked = thing.record.use_within, trait.quantity
    if asked is None:
        return YES
    if keeps is None:
        return no("it does not say within what time it is used up")
    return when(keeps.base <= asked.base, f"it may be used for {keeps}; {asked} at most is asked")


def no_weaker(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    mix, asked = thing.record.dilution, trait.parts
    if asked is None:
        return YES
    if mix is None:
        return no("it does not say in which parts it is mixed")
    own = mix.diluent_parts / mix.concentrate_parts
    return when(own <= asked, f"it is mixed 1 to {show_number(own)} parts; 1 to {show_number(asked)} at most is asked")
