"""Invented rigs that between them use every key of the rig file.

Each is complete TOML text, so that the program's own parser is part of what
is checked. No two are alike in what they exercise; the name says what that is.
"""

RIGS = [
    # One flat panel, nothing but what must be given.
    '''format = 1
name = "Single desk"

[seat]
view = "desk/1"
distance_mm = 612.5

[[panel]]
name = "desk"
pixels = [2560, 1440]
diagonal_in = 27.0
''',
    # Three equal flat panels, integers where floats are usual.
    '''format = 1
name = "Three alike"

[seat]
view = "middle/1"
distance_mm = 700

[[panel]]
name = "left"
pixels = [1920, 1080]
diagonal_in = 24
bezel_mm = { left = 8, right = 8, top = 8, bottom = 14 }

[[panel]]
name = "middle"
pixels = [1920, 1080]
diagonal_in = 24
bezel_mm = { left = 8, right = 8, top = 8, bottom = 14 }

[[panel]]
name = "right"
pixels = [1920, 1080]
diagonal_in = 24
bezel_mm = { left = 8, right = 8, top = 8, bottom = 14 }

[[seam]]
angle_deg = 45

[[seam]]
angle_deg = 45
''',
    # Curved panel of two views, facing the right one; a flat one of another pitch at its left.
    '''format = 1
name = "Ferry bridge"

[seat]
view = "bow/2"
distance_mm = 655.0
height_mm = 42.0
offset_mm = 6.5

[[panel]]
name = "port"
pixels = [1920, 1200]
size_mm = [518.4, 324.0]
bezel_mm = { left = 7.0, right = 7.0, top = 7.0, bottom = 12.0 }
desktop_px = [-1920, 120]

[[panel]]
name = "bow"
pixels = [5120, 1440]
diagonal_in = 48.8
curve_radius_mm = 1000
views = 2
bezel_mm = { left = 9.5, right = 9.5, top = 10.0, bottom = 15.0 }
desktop_px = [0, 0]

[[seam]]
angle_deg = 48.0
gap_mm = 2.5
rise_mm = -11.0
''',
    # Curved middle between two upright panels, one behind the other's case.
    '''format = 1
name = "Rally loft"

[seat]
view = "hood/1"
distance_mm = 580.0
height_mm = -18.0

[[panel]]
name = "near side"
pixels = [1200, 1920]
diagonal_in = 24.1
bezel_mm = { left = 6.0, right = 11.0, top = 6.0, bottom = 6.0 }
tilt_deg = 1.5
roll_deg = -0.75

[[panel]]
name = "hood"
pixels = [3440, 1440]
diagonal_in = 34.0
curve_radius_mm = 1500.0
bezel_mm = { left = 8.0, right = 8.0, top = 8.0, bottom = 20.0 }
tilt_deg = -3.0

[[panel]]
name = "far side"
pixels = [1080, 1920]
size_mm = [293.2, 521.3]
bezel_mm = { left = 5.5, right = 5.5, top = 7.5, bottom = 7.5 }
roll_deg = 1.25
tilt_deg = 0.5

[[seam]]
fold_deg = 38.5
gap_mm = -6.0
step_mm = 9.0
rise_mm = 4.0

[[seam]]
angle_deg = 52.0
gap_mm = 1.0
step_mm = -3.5
rise_mm = -2.25
''',
    # A driver-made span: hidden columns behind each seam.
    '''format = 1
name = "Tram cab"

[seat]
view = "track/1"
distance_mm = 720.0
height_mm = 60.0

[[panel]]
name = "doors"
pixels = [1920, 1080]
size_mm = [597.6, 336.15]
bezel_mm = { left = 12.0, right = 12.0 }

[[panel]]
name = "track"
pixels = [1920, 1080]
size_mm = [597.6, 336.15]
bezel_mm = { left = 12.0, right = 12.0 }

[[panel]]
name = "mirror"
pixels = [1920, 1080]
size_mm = [597.6, 336.15]
bezel_mm = { left = 12.0, right = 12.0 }

[[seam]]
fold_deg = 40.0
gap_mm = 1.5
hidden_px = 82

[[seam]]
fold_deg = 43.0
gap_mm = 2.0
hidden_px = 84
''',
    # Hidden columns and desktop positions together, the first panel the highest one.
    '''format = 1
name = "Signal box"

[seat]
view = "levers/1"
distance_mm = 690.0
offset_mm = -35.0

[[panel]]
name = "upline"
pixels = [1680, 1050]
diagonal_in = 22.0
bezel_mm = { left = 15.0, right = 15.0, top = 15.0, bottom = 18.0 }
desktop_px = [-2960, -310]

[[panel]]
name = "diagram"
pixels = [1280, 1024]
diagonal_in = 19.0
bezel_mm = { left = 13.0, right = 14.0, top = 13.0, bottom = 13.0 }
desktop_px = [-1280, -160]

[[panel]]
name = "levers"
pixels = [2560, 1600]
diagonal_in = 29.7
bezel_mm = { left = 16.0, right = 16.0, top = 16.0, bottom = 16.0 }
desktop_px = [0, -75]

[[seam]]
fold_deg = 22.0
hidden_px = 55
rise_mm = -7.5

[[seam]]
angle_deg = 31.0
gap_mm = 4.0
hidden_px = 23
step_mm = 2.0
''',
    # Three views on one curved panel, the facing one at its left.
    '''format = 1
name = "Glider loft"

[seat]
view = "canopy/1"
distance_mm = 830.0
height_mm = 12.0

[[panel]]
name = "canopy"
pixels = [7680, 2160]
diagonal_in = 57.0
curve_radius_mm = 1000.0
views = 3
tilt_deg = -8.0
''',
    # Five flat panels around the seat, their ends behind the eye's plane.
    '''format = 1
name = "Harbour tug"

[seat]
view = "ahead/1"
distance_mm = 440.0
height_mm = 25.0

[[panel]]
name = "aft port"
pixels = [1080, 1920]
diagonal_in = 24.0
bezel_mm = { left = 6.0, right = 6.0, top = 6.0, bottom = 6.0 }

[[panel]]
name = "port"
pixels = [1080, 1920]
diagonal_in = 24.0
bezel_mm = { left = 6.0, right = 6.0, top = 6.0, bottom = 6.0 }

[[panel]]
name = "ahead"
pixels = [2560, 1440]
diagonal_in = 27.0
bezel_mm = { left = 6.0, right = 6.0, top = 6.0, bottom = 6.0 }

[[panel]]
name = "starboard"
pixels = [1080, 1920]
diagonal_in = 24.0
bezel_mm = { left = 6.0, right = 6.0, top = 6.0, bottom = 6.0 }

[[panel]]
name = "aft starboard"
pixels = [1080, 1920]
diagonal_in = 24.0
bezel_mm = { left = 6.0, right = 6.0, top = 6.0, bottom = 6.0 }

[[seam]]
angle_deg = 50.0
gap_mm = 0.5

[[seam]]
angle_deg = 48.5
gap_mm = 0.5

[[seam]]
angle_deg = 49.5
gap_mm = 1.5

[[seam]]
angle_deg = 51.0
gap_mm = 0.0
rise_mm = 3.0
''',
    # Six mixed panels of one and two views; the facing view is one of the last panel but one's.
    '''format = 1
name = "Airship gondola"

[seat]
view = "nose/2"
distance_mm = 950.0
height_mm = -30.0
offset_mm = 80.0

[[panel]]
name = "p1"
pixels = [1024, 768]
size_mm = [304.0, 228.0]
bezel_mm = { left = 10.0, right = 10.0 }

[[panel]]
name = "p2"
pixels = [1920, 1080]
size_mm = [509.8, 286.7]
bezel_mm = { left = 4.0, right = 5.0 }
roll_deg = 0.4

[[panel]]
name = "p3"
pixels = [2560, 1080]
diagonal_in = 29.0
curve_radius_mm = 1800.0
bezel_mm = { left = 7.0, right = 7.0 }

[[panel]]
name = "p4"
pixels = [1200, 1600]
size_mm = [324.6, 432.9]
bezel_mm = { left = 9.0, right = 9.0 }
tilt_deg = 4.0

[[panel]]
name = "nose"
pixels = [3840, 1600]
diagonal_in = 37.5
curve_radius_mm = 2300.0
views = 2
bezel_mm = { left = 11.0, right = 11.0 }
tilt_deg = 2.0
roll_deg = -0.3

[[panel]]
name = "p6"
pixels = [800, 600]
size_mm = [246.0, 184.5]
bezel_mm = { left = 10.0, right = 10.0 }

[[seam]]
angle_deg = 20.0

[[seam]]
fold_deg = 11.0
gap_mm = 3.0
step_mm = -4.0

[[seam]]
angle_deg = 27.0
gap_mm = -2.0
step_mm = 12.0
rise_mm = 15.0

[[seam]]
fold_deg = 17.5
rise_mm = -22.0

[[seam]]
angle_deg = 30.0
gap_mm = 6.0
''',
    # Three panels curved at one metre, as they are sold for such seats.
    '''format = 1
name = "Three curved"

[seat]
view = "mid/1"
distance_mm = 580.0

[[panel]]
name = "lo"
pixels = [2560, 1440]
size_mm = [597.0, 336.0]
curve_radius_mm = 1000
bezel_mm = { left = 8.0, right = 8.0 }

[[panel]]
name = "mid"
pixels = [2560, 1440]
size_mm = [597.0, 336.0]
curve_radius_mm = 1000
bezel_mm = { left = 8.0, right = 8.0 }

[[panel]]
name = "hi"
pixels = [2560, 1440]
size_mm = [597.0, 336.0]
curve_radius_mm = 1000
bezel_mm = { left = 8.0, right = 8.0 }

[[seam]]
fold_deg = 0.0

[[seam]]
fold_deg = 0.5
''',
    # Folded outward, turned far and raised: angles that are negative.
    '''format = 1
name = "Crane cabin"

[seat]
view = "hook/1"
distance_mm = 1100.0
height_mm = 210.0
offset_mm = -140.0

[[panel]]
name = "jib"
pixels = [1920, 1080]
diagonal_in = 31.5
bezel_mm = { left = 20.0, right = 22.0, top = 20.0, bottom = 25.0 }
tilt_deg = -12.0
roll_deg = 3.0

[[panel]]
name = "hook"
pixels = [1920, 1080]
diagonal_in = 42.5
bezel_mm = { left = 18.0, right = 18.0, top = 18.0, bottom = 18.0 }
tilt_deg = 15.0
roll_deg = -2.0

[[seam]]
angle_deg = -6.0
gap_mm = 30.0
step_mm = 45.0
rise_mm = -120.0
''',
    # Pixels that are not square, panels listed by desk order but wired in another.
    '''format = 1
name = "Quarry loader"

[seat]
view = "bucket/1"
distance_mm = 640.0
height_mm = 5.0

[[panel]]
name = "bucket"
pixels = [1920, 1080]
size_mm = [600.0, 320.0]
bezel_mm = { left = 6.0, right = 10.0 }
desktop_px = [3440, 0]

[[panel]]
name = "side"
pixels = [3440, 1440]
size_mm = [795.0, 334.0]
curve_radius_mm = 1200.0
bezel_mm = { left = 9.0, right = 9.0 }
desktop_px = [0, -240]

[[seam]]
fold_deg = 33.0
gap_mm = 2.0
''',
]
