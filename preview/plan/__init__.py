"""The film plan: where to put the camera for each shot, and what it will see.

``shots`` works out the figures, ``storyboard`` draws what the camera sees, ``paper`` lays them out
as PDF, HTML and JSON.
"""
