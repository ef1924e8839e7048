"""A pupil's number in; that pupil's home, exercises and calculation with errors out, and marks for what is handed in.

A lesson of fifty minutes on what heat from electricity costs. Every number in it is simulated for the pupil's own home.
"""
