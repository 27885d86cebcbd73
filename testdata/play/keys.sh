#!/bin/sh
# Plays the painted panel wholly by keyboard in a real window, with a picture
# of each step: keys.sh PROGRAM FOLDER [WIDTHxHEIGHT]
. "$(dirname "$0")/window.sh"

touch_down() { sleep .4; xdotool keydown space; sleep 1.2; xdotool keyup space; sleep .9; }

shot 01-home
sure read-job key 1
shot 02-job
key Return
shot 03-bench
sure look-tip key l
sure wipe-tip key w
sure clear-memory key c
sure place key 2
sure begin-zero key z
for _ in 1 2 3 4 5; do reading touch_down; key Right; key Right; done
shot 04-zero
sure store-zero key s
sure lay-foil key 6
sure read-certificate key k
sure begin-foil key f
key Return
xdotool type --delay 300 77.2
shot 05-foil-value
sure set-foil-value key Return
for _ in 1 2 3 4 5; do reading touch_down; key Left; done
shot 06-foil
sure store-foil key s

verify() {
	sure begin-verify key v
	sure place key 2
	sure lay-foil key 5
	sure read-certificate key k
	for _ in 1 2 3; do reading touch_down; key Up; done
	shot "$1"
	sure judge-verify key g
}
verify 07-verify
sure place key 1
key m
spot() { # x y in mm: steer by what the log says of the probe, then measure
	for _ in $(seq 80); do
		sleep .15
		x=$(probe x) y=$(probe y)
		if [ $((x - $1)) -gt 6 ]; then key ctrl+Left
		elif [ $(($1 - x)) -gt 6 ]; then key ctrl+Right
		elif [ $((y - $2)) -gt 6 ]; then key ctrl+Down
		elif [ $(($2 - y)) -gt 6 ]; then key ctrl+Up
		else break; fi
	done
	for _ in 1 2 3; do reading touch_down; done
}
spot 70 60
sure new-spot key n
spot 230 60
sure new-spot key n
spot 150 100
sure new-spot key n
spot 70 140
sure new-spot key n
spot 230 140
shot 08-measured
verify 09-verify-again
key r
shot 10-report
key x
sure report key Return
shot 11-finish
sure finish key Return
sleep 6
shot 12-debrief
key Next
shot 13-debrief
key End
shot 14-debrief
key Escape
shot 15-home
echo "played by keyboard: $(seen reading) readings, pictures in $OUT"
