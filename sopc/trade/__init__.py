"""The trade's arithmetic on plain values: quantities, time, calendar, steam, dilution, legibility."""
