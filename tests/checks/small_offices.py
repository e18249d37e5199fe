"""Small offices as text for the tests of the checks, and what the checks find in them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from sopc.findings import Finding
from sopc.library import load_text
from sopc.model.nouns import Office

TODAY = date(2026, 12, 1)
Check = Callable[[Office, date], Iterable[Finding]]

TRADE = """
office "Example" { open mon to thu 08:00 to 17:00  open fri 08:00 to 12:00 }
source rules "Rules of the place" { authority law }
role assistant "Assistant"
role dentist "Dentist"
condition soiled "Soiled" { excludes clean, sterile }
condition clean "Clean"
condition wet "Wet" { excludes dry }
condition dry "Dry"
condition packed "Packed"
condition sterile "Sterile"
item tip "Tip" { critical  heat stable }
item tray "Tray" { noncritical }
kind steamer "Steam sterilizer"
device sterilizer "Sterilizer" is steamer { program wrapped "Wrapped" { lasts 35 to 50 min by machine } }
supply wipe "Wipe" { contact 2 min }
action wash "Wash" { brings clean, wet }
action dry_off "Dry" { needs clean  brings dry }
action pack "Pack" { needs clean, dry  brings packed }
action sterilize "Sterilize" { needs packed  brings sterile }
action soil "Soil" { brings soiled }
action open_pack "Open" { undoes packed }
action lay_out "Lay out" { needs dry }
"""


def office(text: str, trade: str = TRADE) -> Office:
    """The office of the trade above with this text added; it must load without a finding."""
    loaded, findings = load_text(trade + text)
    assert loaded is not None, findings
    return loaded


def procedure(body: str, handles: str = "tip from soiled to clean", clauses: str = "by assistant") -> str:
    """A procedure `work` around these steps."""
    return f'procedure work "Work" {{\n handles {handles}\n {clauses}\n{body}\n}}\n'


def found(check: Check, text: str, trade: str = TRADE) -> list[Finding]:
    """Everything a check finds in the office with this text."""
    return list(check(office(text, trade), TODAY))


def codes(findings: Iterable[Finding], family: str = "") -> list[str]:
    """The codes found, in order of finding."""
    return [finding.code for finding in findings if finding.code.startswith(family)]


def only(findings: Iterable[Finding], code: str) -> Finding:
    """The one finding with this code."""
    (one,) = [finding for finding in findings if finding.code == code]
    return one
