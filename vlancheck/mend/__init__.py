"""What is wrong with a survey comes in, changes of boxes and cords that make it right go out: least risk first.

Nothing here is believed: every change is tried on the survey, by its own dialect, before anybody sees it.
"""
