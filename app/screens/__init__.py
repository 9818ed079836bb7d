"""The Streamlit pages; `entry.py` is the script that Streamlit runs.

Every page reads the archive anew on each run and keeps nothing of value in the
session: which try, item or leg it is about stands in the address.

question                                              file
who is here, where the other pages are                here.py
the mechanic's way, from the leg to the sent reading  round.py, round_steps/
what waits for a second person or a rule              queue.py
the second person's own reading and signature         confirm.py, confirm_steps/
a measurement by rule or gauge                        hand.py
what there is on an item, and whether it is whole     archive.py, story.py, whole.py
settled work found by what is known of it             find.py
a leg's readings over time, drift, load and warmth    trend.py, trend_steps/, drawings/chart.py
photos of two visits held against each other          compare.py
people against the program, by software version       agreement.py
how a strut is photographed                           guide.py, drawings/
parts of pages                                        parts/
colours and style                                     palette.py, style.css, app/.streamlit/config.toml
the photo's way in, points on a photo                 components/
"""
