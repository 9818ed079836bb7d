"""The whole inspection: every item in its place, discrepancies to the end, handover, sign-off.

question                                              file
what there is                                         model.py (model_kept, model_people,
                                                      model_ends, model_open,
                                                      model_judged, model_found)
gauges' units                                         quantities.py
what a person gives as an answer                      given.py
a gauge reading, a count, held against its limits     judging.py, cables.py
what a discrepancy says of a fault                    fault_words.py
how an item moves on                                  closing.py
what a second look does to an item                    second.py
steps whose order matters                             sequences.py
what is missing before sign-off                       gaps.py
which programme a visit follows                       following.py
a leg's data changed by two people                    commissioning.py
statements, conditions                                conditions.py
instruments, charts, cards                            tools.py
answers and their signature                           answers.py, batches.py
second looks and their signature                      looks.py
discrepancies: action, deferral, carried on           discrepancies.py, proposing.py, cases.py
leaks, cracks, servicing step by step                 stepping.py
what is open, what is out, handover                   handover.py
who is authorised for what                            crew.py
sign-off and the record; who is told what of it       signing_off.py, record.py, record_sight.py
who may see what before he has read himself           sight.py
the round as it is walked                             walking.py
searched photos: begun, searched; marked and judged   search_photo.py, search_judging.py
what is searched, hoses or a surface; shown on them   search_kinds.py, search_shown.py
a second photo of hoses, sets aside what moves        hose_pair.py, hose_pair_rules.py
what was judged as an answer; as a second look        search_answer.py, search_second.py
what hand, mirror and light found beside them         search_hands.py, search_entered.py
what of that nobody has answered                      search_unanswered.py
what of them is left to judge; without a photo        search_left.py, search_ordinary.py
when it may be entered, and what it comes to; words   search_rules.py, search_words.py
places and coverage out of a result; where one is     search_places.py, search_state.py, search_views.py
all use cases together; what they share               service.py, common.py
"""
