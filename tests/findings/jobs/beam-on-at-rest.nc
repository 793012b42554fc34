; A dwell of half a second with the beam on, in the middle of a stroke.
G21 G90
M3 S0
G0 X3 Y10
G1 X5 F1200
X20 S300
G4 P0.5
X35
X37 S0
M5
M2
