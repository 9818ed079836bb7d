"""The steps of a visit that follows a programme, one file each.

hub the visit and what it waits for · condition the opening card and the aircraft's condition ·
leg a leg's round · item one item · forms its answer by eye, gauge or count · second looks ·
signing a batch · cases, case, steps discrepancies · opened what is open and out ·
handover · off the sign-off
"""
