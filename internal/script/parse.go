package script

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"foilwright/sim/bench"
)

const (
	maxBytes   = 1 << 20
	maxActions = 100_000
	pauseMs    = 500
	maxMs      = 30 * 24 * 3600 * 1000
)

// Fault says what is wrong with a script, where, and what to do.
type Fault struct {
	File         string
	Line         int
	What, Remedy string
}

func (f *Fault) Error() string {
	return fmt.Sprintf("%s:%d: %s; %s", f.File, f.Line, f.What, f.Remedy)
}

// Faults is every fault of a script, in the order of its lines.
type Faults []*Fault

func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].Error()
	}
	return strings.Join(lines, "\n")
}

// Parse reads a script for an instrument of the given resolution. name is used
// in errors. Every fault is reported at once, as Faults.
func Parse(name string, data []byte, resolutionUm float64) ([]bench.Action, error) {
	p := &parser{file: name, resolutionUm: resolutionUm, heightUm: 60_000}
	switch {
	case len(data) > maxBytes:
		p.fault("the script is larger than 1 MiB", "split it, or check that this is the right file")
		return nil, p.faults
	case !utf8.Valid(data):
		p.fault("the script is not UTF-8 text", "save it as plain text in UTF-8")
		return nil, p.faults
	case !(resolutionUm > 0):
		return nil, fmt.Errorf("script: resolution %v µm, expected more than 0", resolutionUm)
	}
	for _, line := range bytes.Split(data, []byte("\n")) {
		p.line++
		text, _, _ := strings.Cut(string(line), "#")
		p.read(strings.Fields(text))
		if len(p.actions) > maxActions {
			p.fault(fmt.Sprintf("more than %d actions", maxActions), "split the script")
			break
		}
	}
	if len(p.faults) > 0 {
		return nil, p.faults
	}
	if len(p.actions) == 0 {
		p.line = 1
		p.fault("there are no actions in the script", "write one action on a line, such as: read-job")
		return nil, p.faults
	}
	return p.actions, nil
}

type parser struct {
	file         string
	line         int
	resolutionUm float64
	now          int64
	heightUm     int64 // of the probe, as the script left it
	actions      []bench.Action
	faults       Faults
}

func (p *parser) fault(what, remedy string) {
	p.faults = append(p.faults, &Fault{File: p.file, Line: max(p.line, 1), What: what, Remedy: remedy})
}

// read carries out one line.
func (p *parser) read(words []string) {
	if len(words) == 0 {
		return
	}
	first := words[0]
	if c := first[0]; c == '+' || c >= '0' && c <= '9' || c == '-' {
		at, ok := p.time(first)
		if !ok {
			return
		}
		p.now = at
		if words = words[1:]; len(words) == 0 {
			p.fault(fmt.Sprintf("there is no action after the time %q", first), "write the action on the same line; wait lets time pass")
			return
		}
	} else if len(p.actions) > 0 {
		p.now += pauseMs
	}
	p.action(words[0], words[1:])
}

// time reads "+0.4s", "12.5s", "+350ms".
func (p *parser) time(text string) (int64, bool) {
	const form = "write times like +0.4s, +350ms or 12.5s"
	digits, relative := strings.CutPrefix(text, "+")
	ms, ok := duration(digits)
	if !ok {
		p.fault(fmt.Sprintf("%q is no time", text), form)
		return 0, false
	}
	if relative {
		ms += p.now
	}
	if ms < p.now {
		p.fault(fmt.Sprintf("the time %s lies before the action before it, at %gs", text, float64(p.now)/1000), "write later times below earlier ones")
		return 0, false
	}
	if ms > maxMs {
		p.fault(fmt.Sprintf("the time %s is more than 30 days after the start", text), form)
		return 0, false
	}
	return ms, true
}

// duration reads a time of up to 30 days in milliseconds.
func duration(text string) (ms int64, ok bool) {
	scale := 1.0
	digits, isMs := strings.CutSuffix(text, "ms")
	if !isMs {
		if digits, ok = strings.CutSuffix(text, "s"); !ok {
			return 0, false
		}
		scale = 1000
	}
	v, ok := decimal(digits)
	if !ok || v < 0 || v*scale > maxMs {
		return 0, false
	}
	return int64(math.Floor(v*scale + 0.5)), true
}

// decimal reads a plain decimal number: no exponents, no names.
func decimal(text string) (float64, bool) {
	for _, r := range text {
		if !(r >= '0' && r <= '9' || r == '.' || r == '-') {
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && len(text) < 20
}

// verbs by what they take.
var (
	alone = []bench.Verb{
		bench.ReadJob, bench.LookAtTip, bench.WipeTip, bench.TakeFoilAway, bench.Wait, bench.BeginZero, bench.StoreZero,
		bench.BeginFoil, bench.StoreFoil, bench.BeginVerify, bench.BeginMeasure, bench.ResetAdjustment, bench.NewSpot,
		bench.ClearMemory, bench.Finish, bench.LookAtPiece, bench.WipePiece, bench.Demagnetise, bench.SmoothFoil,
	}
	withItem = []bench.Verb{bench.ReadCertificate, bench.ChooseProbe, bench.PlacePiece, bench.LayFoil, bench.LookAtFoil, bench.WipeFoil}
)

func has(list []bench.Verb, v string) bool {
	for _, k := range list {
		if string(k) == v {
			return true
		}
	}
	return false
}

func (p *parser) do(a bench.Action) {
	a.At = p.now
	p.actions = append(p.actions, a)
}

func (p *parser) action(verb string, rest []string) {
	wrong := func(form string) {
		p.fault(fmt.Sprintf("%q does not take %q", verb, strings.Join(rest, " ")), "write: "+form)
	}
	switch {
	case has(alone, verb):
		if len(rest) > 0 {
			wrong(verb)
			return
		}
		p.do(bench.Action{Do: bench.Verb(verb)})
	case has(withItem, verb):
		if len(rest) != 1 || len(rest[0]) > 100 {
			wrong(verb + " ID")
			return
		}
		p.do(bench.Action{Do: bench.Verb(verb), Item: rest[0]})
	case verb == string(bench.SetFoilValue):
		if len(rest) != 1 {
			wrong(verb + " 77.2")
			return
		}
		if counts, ok := p.counts(rest[0]); ok {
			p.do(bench.Action{Do: bench.SetFoilValue, Counts: counts})
		}
	case verb == string(bench.JudgeVerify):
		if len(rest) != 1 || rest[0] != "good" && rest[0] != "bad" {
			wrong(verb + " good, or bad")
			return
		}
		p.do(bench.Action{Do: bench.JudgeVerify, Text: rest[0]})
	case verb == string(bench.DeleteLast):
		p.do(bench.Action{Do: bench.DeleteLast, Text: strings.Join(rest, " ")})
	case verb == string(bench.Report):
		p.report(rest, wrong)
	case verb == string(bench.MoveProbe):
		p.probe(rest)
	case verb == touch:
		p.touch(rest)
	default:
		p.fault(fmt.Sprintf("unknown action %q", verb), "the actions are listed by: foilwright-desk help play")
	}
}

// report reads "78.4 accept", or "103.4 less 25 ±2.1 accept" with an allowance
// for roughness and an uncertainty.
func (p *parser) report(words []string, wrong func(form string)) {
	const form = "report 78.4 accept, or report 103.4 less 25 ±2.1 reject, with the words of the job's decision rule"
	if len(words) < 2 {
		wrong(form)
		return
	}
	a := bench.Action{Do: bench.Report}
	var ok bool
	if a.Counts, ok = p.counts(words[0]); !ok {
		return
	}
	words = words[1:]
	if len(words) > 2 && words[0] == "less" {
		if a.Allowance, ok = p.counts(words[1]); !ok {
			return
		}
		words = words[2:]
	}
	if u, stated := strings.CutPrefix(words[0], "±"); stated {
		if a.Uncertainty, ok = p.counts(u); !ok {
			return
		}
		words = words[1:]
	}
	switch a.Text = strings.Join(words, " "); a.Text {
	case bench.Accept, bench.Reject, bench.ConditionalAccept, bench.ConditionalReject:
		p.do(a)
	default:
		wrong(form)
	}
}

// counts turns a thickness in um into counts of the display.
func (p *parser) counts(text string) (int64, bool) {
	um, ok := decimal(text)
	if !ok || um < -100_000 || um > 100_000 {
		p.fault(fmt.Sprintf("%q is no thickness", text), "write micrometres, such as 77.2")
		return 0, false
	}
	return int64(math.Floor(um/p.resolutionUm + 0.5)), true
}
