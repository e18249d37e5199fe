"""Offices of any size for the benchmarks: made by rule, free of findings, shaped like the real thing."""

from __future__ import annotations

HEAD = """
office "Bench Street Dental" {
  address "1 Bench Street"
  altitude 300 m
  open mon to thu 08:00 to 17:00
  closed 2026-12-24 to 2027-01-01 "winter break"
  paper letter
  coordinator officer
}
source handbook "Handbook of the bench" { authority guideline publisher "Nobody" year 2026 }
role assistant "Dental assistant"
role officer "Infection-control officer"
zone dirty "Contaminated"
zone pure "Clean"
flow dirty to pure
area bench "Receiving" { zone dirty }
area packing "Packing" { zone pure }
ppe utility_gloves "Utility gloves" { put on 1 take off 1 }
ppe mask "Mask" { put on 2 take off 2 }
kind cleaner "Cleaner"
device bath "Ultrasonic bath" is cleaner {
  in bench
  instructions "IFU-01 rev 1"
  program standard "Standard" { lasts 5 to 12 min by machine }
}
condition soiled "Soiled" { excludes clean }
condition clean "Clean"
condition wet "Wet" { excludes dry }
condition dry "Dry"
condition inspected "Inspected"
condition packaged "Packaged"
item tip "Scaler tip" { critical heat stable hollow }
supply solution "Detergent" { dilute 1 part to 49 parts "tap water" use within 10 h instructions "IFU-02" }
action wash "Wash" { needs soiled brings clean, wet undoes inspected with cleaner }
action dry_off "Dry" { needs clean brings dry }
action inspect "Inspect" { needs clean, dry brings inspected }
action package "Package" { needs clean, dry, inspected brings packaged }
task solution_fresh "Mix fresh detergent" { by assistant start of day renews solution record paper_log }
log paper_log "Bench log" {
  id "F-01" revision 1 effective 2026-01-05 review 2027-01-05 owner officer approver officer
  sheet monthly one row a day
  column initials "Initials" initials
  keep 3 years
}
"""

PROCEDURE = """
procedure reprocess_{n} "Reprocess scaler tips, set {n}" {{
  id "SOP-{n:03d}"
  revision 2 effective 2026-02-01 review 2027-02-01
  history 1 2025-02-01 "First issue"
  history 2 2026-02-01 "Longer rinse"
  owner officer
  approver officer
  purpose "Make set {n} ready for use."
  scope "All tips of set {n}."
  done "after each patient"
  handles tip from soiled to packaged
  by assistant
  wearing utility_gloves, mask
  in bench
  materials solution
  cite handbook "chapter {n}" read
  warning "Sharp tips. They cut. Hold the cassette by its frame."
  step carry "Carry the closed cassette to the bench" {{
    takes 1 to 3 min
    note "Keep the lid **closed** on the way."
  }}
  step wash "Run the bath with the lid on" {{
    does wash
    runs bath standard
    using solution
    record paper_log
    caution "Ultrasound. It tires hands. Do not reach in."
  }}
  step rinse "Rinse under running water" {{
    takes 30 s
  }}
  step dry "Dry with a lint-free towel" {{
    does dry_off
    takes 1 to 4 min
  }}
  step look "Inspect each tip under magnification" {{
    does inspect
    takes 1 to 5 min
    in packing
    check "Free of debris" else lose clean, dry then go to soak
  }}
  step pack "Put each tip in a pouch" {{
    does package
    takes 1 to 4 min
    in packing
    next go to store
  }}
  step soak "Set the tip aside and tell the officer" {{
    next stop "Tell the officer; this tip starts again from the top."
  }}
  step store "Put the pouch in the tray" {{
    takes 10 to 30 s
    in packing
  }}
  limit wash starts within 60 min after carry ends {{ because "Debris dries on." }}
  limit dry starts within 20 min after wash ends
}}
"""


def office_text(lines: int) -> str:
    """An office of about so many lines."""
    each = PROCEDURE.count("\n") - 1
    count = max(1, round((lines - HEAD.count("\n")) / each))
    return HEAD + "".join(PROCEDURE.format(n=number) for number in range(1, count + 1))
