package script

import (
	"fmt"
	"math"
	"strings"

	"foilwright/sim/bench"
)

// touch is the word for a whole reading.
const touch = "touch"

// settings are the words after a place, with their values.
type settings struct {
	up, lift, press, land, slide float64
	tiltX, tiltY                 float64
	holdMs                       int64
}

// place reads "60 50" and leaves the rest.
func (p *parser) place(verb string, words []string) (x, y float64, rest []string, ok bool) {
	if len(words) >= 2 {
		var okX, okY bool
		x, okX = decimal(words[0])
		y, okY = decimal(words[1])
		if okX && okY && math.Abs(x) <= 10_000 && math.Abs(y) <= 10_000 {
			return x, y, words[2:], true
		}
	}
	p.fault(fmt.Sprintf("%q needs a place", verb), fmt.Sprintf("write x and y in millimetres: %s 60 50", verb))
	return 0, 0, nil, false
}

// settings reads the words after a place. allowed maps each word to where its
// value goes and its bounds.
func (p *parser) settings(verb string, words []string, s *settings, allowed string) bool {
	for len(words) > 0 {
		word := words[0]
		words = words[1:]
		if !strings.Contains(" "+allowed+" ", " "+word+" ") {
			p.fault(fmt.Sprintf("%q does not know %q", verb, word), "it takes: "+strings.ReplaceAll(allowed, " ", ", "))
			return false
		}
		if len(words) == 0 {
			p.fault(fmt.Sprintf("%q has no value", word), "write its value after it")
			return false
		}
		value := words[0]
		words = words[1:]
		if word == "hold" {
			ms, ok := duration(value)
			if !ok || ms < 1 || ms > 3_600_000 {
				p.fault(fmt.Sprintf("%q is no time to hold", value), "write a time such as 800ms or 0.8s")
				return false
			}
			s.holdMs = ms
			continue
		}
		v, ok := decimal(value)
		low, high := 0.0, 1000.0
		switch word {
		case "tilt":
			low, high = -90, 90
		case "press":
			high = 100
		case "land":
			low, high = 0.1, 100_000
		case "slide":
			low = -1000
		}
		if !ok || v < low || v > high {
			p.fault(fmt.Sprintf("%s %q is no number from %g to %g", word, value, low, high), "correct the value")
			return false
		}
		switch word {
		case "up":
			s.up = v
		case "lift":
			s.lift = v
		case "press":
			s.press = v
		case "land":
			s.land = v
		case "slide":
			s.slide = v
		case "tilt":
			s.tiltX, s.tiltY = v, 0
			if len(words) > 0 {
				if second, ok := decimal(words[0]); ok && math.Abs(second) <= 90 {
					s.tiltY = second
					words = words[1:]
				}
			}
		}
	}
	return true
}

// thousandths turns mm into um, degrees into millidegrees, N into mN.
func thousandths(v float64) int64 { return int64(math.Floor(v*1000 + 0.5)) }

func (p *parser) pose(x, y, up float64, s *settings, press float64) {
	p.heightUm = thousandths(up)
	p.do(bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{
		XUm: thousandths(x), YUm: thousandths(y), HeightUm: p.heightUm,
		TiltX: thousandths(s.tiltX), TiltY: thousandths(s.tiltY), PressMN: thousandths(press),
	}})
}

// probe reads a single pose.
func (p *parser) probe(words []string) {
	x, y, rest, ok := p.place("probe", words)
	s := settings{up: math.NaN()}
	if !ok || !p.settings("probe", rest, &s, "up press tilt") {
		return
	}
	if s.up != s.up {
		p.fault("the probe's height is missing", "write how high the tip is, in millimetres: probe 60 50 up 40")
		return
	}
	p.pose(x, y, s.up, &s, s.press)
}

// touch writes a whole reading out as poses.
func (p *parser) touch(words []string) {
	x, y, rest, ok := p.place(touch, words)
	s := settings{lift: 40, press: 2, land: 20, holdMs: 800}
	if !ok || !p.settings(touch, rest, &s, "lift hold press tilt land slide") {
		return
	}
	if s.lift < 2 {
		p.fault(fmt.Sprintf("lift %g mm is less than 2", s.lift), "write lower heights with probe")
		return
	}
	p.pose(x, y, s.lift, &s, 0)
	p.now += 250
	p.pose(x, y, math.Min(s.lift, 2), &s, 0)
	p.now += max(1, int64(math.Min(s.lift, 2)*1000/s.land))
	p.pose(x, y, 0, &s, s.press)
	part := s.holdMs
	if s.slide != 0 {
		part = s.holdMs / 3
		p.now += part
		p.pose(x+s.slide, y, 0, &s, s.press)
		part = s.holdMs - part
	}
	p.now += part
	p.pose(x+s.slide, y, math.Min(s.lift, 2), &s, 0)
	p.now += 300
	p.pose(x, y, s.lift, &s, 0)
}
