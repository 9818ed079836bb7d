"""Parts of pages, each a small answer to one question; they make markup, pages decide.

own markup and its escaping                                `markup`
a stored result as a typed one                             `contract`
lengths in mm and inch                                     `numbers`
within, outside, undecided: shape and word                 `verdict`
a whole reading, a refusal                                 `reading`
value and limits on a line; the sources of U               `limit_scale`, `budget`
title block and steps of a page                            `header`
words for the states of items, tries, confirmations        `words`
what is stated before the first photo                      `statements`
"""
