"""What a set may be: its dose where a plan says nothing, the least that is one, and how holds compare and change."""

DEFAULT_REPS = 10  # middle of the 8-12 for novices (ACSM 2009)
NOVICE_REPS = 36  # in all: 3 sets of 12, the top of the novice range (ACSM 2009)
DEFAULT_HOLD_MS = 30_000  # upper end of the 10-30 s holds of ACSM guidance, from memory
LEAST_REPS = 5  # chosen, because fewer light repetitions are no strength set for anybody
LEAST_HOLD_MS = 10_000  # lower end of the 10-30 s holds of ACSM guidance, from memory
MOST_HOLD_MS = 300_000  # chosen, because no class holds anything for more than five minutes
HOLD_STEP_MS = 5_000  # chosen, because nobody hears a smaller difference
REP_MS = 3_000  # of a hold that counts for a repetition; chosen, because one takes about so long
