/**
 * Settings listings as controllers of the two families print them: numbers, meanings and units are common practice
 * among open-source motion controllers; the machines are invented.
 */

/** Numbered settings, after a start-up line and with one that is described. */
export const NUMBERED = `
Ready ['$' for help]
$0=10
$1=25
$11=0.010
$12=0.002
$13=0
$30=1000
$31=0
$32=1
$100=80.000 (x, step/mm)
$110=6000.000 (x max rate, mm/min)
$111=4500.000
$112=600.000
$120=500.000
$121=400.000
$122=50.000
$130=300.000
$131=200.000
$132=40.000
ok
<Idle|MPos:0.000,0.000,0.000|Bf:15,128|FS:0,0>
`;

/** M words, echoed with captions that name the units. */
export const LETTERED = `
echo:  G21    ; Units in mm (mm)
echo:; Maximum feedrates (units/s):
echo:  M203 X500.00 Y300.00 Z5.00 E25.00
echo:; Maximum Acceleration (units/s2):
echo:  M201 X3000.00 Y1500.00 Z100.00 E10000.00
echo:; Acceleration (units/s2) (P<print-accel> R<retract-accel> T<travel-accel>):
echo:  M204 P2000.00 R3000.00 T3000.00
echo:; Advanced (B<min_segment_time_us> S<min_feedrate> T<min_travel_feedrate> X<max_jerk> Y<max_jerk>):
echo:  M205 B20000.00 S0.00 T0.00 X10.00 Y8.00 Z0.30
echo:  M206 X0.00 Y0.00 Z0.00
ok
`;

/** The dialect in which speeds are per minute. */
export const PER_MINUTE = `
M566 X600.00 Y480.00 Z12.00 P0
M203 X18000.00 Y12000.00 Z600.00
M201 X1000.00 Y900.00 Z20.00
M204 P800 T1200
M208 X-5 Y0 Z0 S1
M208 X295 Y200 Z180 S0
`;
