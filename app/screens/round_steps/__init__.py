"""The steps of a mechanic's work with one leg, one file each; `STEPS` names them in their order."""

STEPS = ("Leg", "Condition", "Photo", "Reading", "Sent")
