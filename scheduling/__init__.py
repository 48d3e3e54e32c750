"""What happens when: the planning problem, its solver, the live schedule.

May import `domain`; knows nothing of speech.
"""
