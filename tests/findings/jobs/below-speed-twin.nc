; One long stroke at that feed.
G21 G90
M3 S0
G0 X5 Y10
G1 X20 F6000
X60 S700
X75 S0
M5
M2
