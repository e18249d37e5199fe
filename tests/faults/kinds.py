"""The register of faults: each kind by its name, whether it does harm, and the mutants it makes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.faults.protocol import Edit, Protocol, Site

Maker = Callable[[Protocol], Iterator["Mutant"]]

OWN_CHOICE = "no source or requirement stands behind it: the office's own choice, told by `sopc diff`"


@dataclass(frozen=True, slots=True)
class Mutant:
    """One office spoilt in one way. `excuse` says why nobody could be told of it; empty: somebody should be."""

    where: str
    what: str
    edits: tuple[Edit, ...]
    excuse: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """A way to spoil an office. `sure`: every single one must be caught."""

    family: str
    name: str
    harmful: bool
    sure: bool
    make: Maker


KINDS: dict[str, Kind] = {}


def kind(family: str, name: str, *, harmful: bool = True, sure: bool = False) -> Callable[[Maker], Maker]:
    """Register a maker of mutants under its name."""

    def register(make: Maker) -> Maker:
        assert name not in KINDS
        KINDS[name] = Kind(family, name, harmful, sure, make)
        return make

    return register


def mutant(site: Site, what: str, *edits: Edit, excuse: str = "") -> Mutant:
    """A mutant at a site."""
    return Mutant(site.where(), what, edits, excuse)
