# Helpers to play the bench in a real window under a virtual screen; sourced by
# keys.sh. Every action is checked in the log of the attempt and
# repeated when the window was too busy to see it.
#
# Needs Xvfb, xdotool and import (ImageMagick).
set -eu
BIN=${1:?usage: $0 PROGRAM FOLDER-FOR-PICTURES [WIDTHxHEIGHT]}
OUT=${2:?usage: $0 PROGRAM FOLDER-FOR-PICTURES [WIDTHxHEIGHT]}
SIZE=${3:-1280x800}
mkdir -p "$OUT"
DATA=$(mktemp -d)
SCREEN=:$((90 + $$ % 400))
Xvfb "$SCREEN" -screen 0 "${SIZE}x24" -nolisten tcp >"$DATA/xvfb.log" 2>&1 &
XVFB=$!
sleep 1
export DISPLAY=$SCREEN LIBGL_ALWAYS_SOFTWARE=1
[ -z "${SETTINGS:-}" ] || printf '%s\n' "$SETTINGS" >"$DATA/settings.json"
"$BIN" -data "$DATA" -only painted-panel -seed 5 -size "$SIZE" >"$DATA/out.log" 2>&1 &
APP=$!
trap 'kill $APP $XVFB 2>/dev/null || true; rm -rf "$DATA"' EXIT
W=
for _ in $(seq 60); do
	W=$(xdotool search --name '^Foilwright' 2>/dev/null | head -1) && [ -n "$W" ] && break
	sleep .5
done
[ -n "$W" ] || { echo "no window: $(cat "$DATA/out.log")" >&2; exit 1; }
sleep 2
xdotool windowfocus "$W"
sleep .3

shot() { sleep .3; import -window "$W" "$OUT/$1.png"; }
key() { xdotool keydown "$1"; sleep .25; xdotool keyup "$1"; sleep .25; }
click() { xdotool mousemove --window "$W" "$1" "$2"; sleep .2; xdotool mousedown 1; sleep .3; xdotool mouseup 1; sleep .3; }
# count VERB: how often it is in the log.
count() { cat "$DATA"/*.jsonl 2>/dev/null | grep -c "\"do\":\"$1\"" || true; }
# see EVENT: how often it was seen.
seen() { cat "$DATA"/*.jsonl 2>/dev/null | grep -c "\"saw\":\"$1\"" || true; }
# probe x|y: where the log has the probe, in mm.
probe() { cat "$DATA"/*.jsonl | grep '"do":"probe"' | tail -1 | sed "s/.*\"$1\":\(-\{0,1\}[0-9]*\).*/\1/" | awk '{print int($1 / 1000)}'; }
# sure VERB COMMAND...: run the command until the log has one more of the verb.
sure() {
	verb=$1; shift
	before=$(count "$verb")
	for _ in 1 2 3 4 5 6; do
		"$@"
		for _ in 1 2 3 4 5 6 7 8; do
			[ "$(count "$verb")" -gt "$before" ] && return 0
			sleep .2
		done
	done
	shot failed
	echo "no $verb in the log after: $*; see $OUT/failed.png" >&2
	exit 1
}
# reading COMMAND...: run the command until one more reading was taken.
reading() {
	was=$(seen reading)
	for _ in 1 2 3 4 5 6; do
		"$@"
		[ "$(seen reading)" -gt "$was" ] && return 0
		sleep .5
	done
	shot failed
	echo "no reading after: $*; see $OUT/failed.png" >&2
	exit 1
}
