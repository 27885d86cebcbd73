//go:build browser

// Ines Marr teaches and assesses; Ana Brook works at the real bench in her
// browser, by keys. Drawing three benches in software at a time is more than a
// small machine can do, so Ben Holt and Cem Aksu join in browsers of their own
// too, but their pages speak the class's protocol by a script, with what a
// scripted trainee does. All that the others see and click is real.
package lesson

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"foilwright/internal/browsertest"
	"foilwright/internal/class/live"
	"foilwright/sim/bench"
)

const (
	panel  = "painted-panel"
	phrase = "four quiet words here"
)

// TestLessonAndAssessment needs Chromium and about a minute. Its pictures are
// left in build/ci/class.
func TestLessonAndAssessment(t *testing.T) {
	s := newSchool(t)
	s.start()
	b := browsertest.Start(t, t.Context())
	began := time.Now()
	ines := &desk{s, b.Visitor(t).Open(t, s.address+"/setup?code="+s.code)}
	s.shots(ines.Page, "setup")
	ines.account("Ines Marr")
	ines.Until("she is in", `location.pathname === "/classes"`)

	// A class, and three who join it.
	ines.Fill("[name=title]", "Monday group")
	ines.Click("button.first")
	ines.Until("the class is made", `location.pathname.startsWith("/class/")`)
	class := s.address + ines.Evaluate("location.pathname")
	code := ines.Text(".joincode")
	ana := b.Visitor(t)
	bench := ana.Open(t, s.address+"/join/"+code)
	s.shots(bench, "join")
	bench.Size(900, 640, 1)
	bench.Fill("[name=name]", "Ana Brook")
	bench.Click("button.first")
	ben, cem := s.scripted(b, code, "Ben Holt"), s.scripted(b, code, "Cem Aksu")
	ines.Until("three have joined", `document.querySelectorAll("#rows tr[data-trainee]").length === 3`)

	// Practice: a different variant for each.
	ines.handOut("practice", "different", "", "")
	wb, wc := ben.begin(), cem.begin()
	if wb.Seed == wc.Seed {
		t.Error("Ben and Cem were handed the same variant")
	}
	running(bench)
	t.Logf("%.0f s: the bench runs", time.Since(began).Seconds())
	a := &worker{by: ines, Page: bench, name: "Ana Brook", class: class}
	a.begin()
	s.shot("bench-job", bench)
	a.prepare()
	a.zero()
	s.shot("bench-zeroed", bench)

	rb, rc := s.played(wb), s.played(wc, "foil-missing")
	half := len(rb) / 2
	ben.practise(wb, rb[:half])
	cem.practise(wc, rc)
	ines.Until("the board knows that Cem has finished", `document.querySelector("#rows").innerText.includes("finished")`)
	rows := ines.board(class)
	if r := row(t, rows, "Ana Brook"); !r.Here || !r.Done[0] || !r.HasLast || r.Finished {
		t.Errorf("Ana has taken her zero; the board says %+v", r)
	}
	if r := row(t, rows, "Ben Holt"); !r.Here || r.Finished || !r.Done[0] || !r.HasLast {
		t.Errorf("Ben is half way; the board says %+v", r)
	}
	if r := row(t, rows, "Cem Aksu"); !r.Finished || len(r.Findings) == 0 {
		t.Errorf("Cem has left out the foil and finished; the board says %+v", r)
	}
	s.shots(ines.Page, "board")

	// Mirror, hint and pause.
	mirror := ines.Beside(s.address + "/attempt/" + row(t, rows, "Ana Brook").Attempt)
	mirror.Until("the mirror shows the piece", `document.querySelector("#plan rect") && document.querySelector("#figure").textContent.includes("µm")`)
	s.shots(mirror, "mirror")
	mirror.Close()
	ines.Evaluate(`document.querySelector("#rows tr:nth-child(1) details").open = true`)
	s.shots(ines.Page, "board-act")
	ines.Fill("#rows tr:nth-child(1) form[action$=hint] input[name=text]", "Lift it well clear between readings")
	ines.Click("#rows tr:nth-child(1) form[action$=hint] button")
	ines.Until("the board is back", `document.querySelector("#rows tr[data-trainee]")`)
	time.Sleep(700 * time.Millisecond)
	s.shot("bench-hint", bench)

	// Ana's page is closed, and opened again.
	before := a.scene()
	bench.Close()
	ines.Until("the board shows that she has gone", `[...document.querySelectorAll("#rows tr")].some((r) => r.innerText.includes("Ana Brook") && r.innerText.includes("away"))`)
	bench = ana.Open(t, s.address+"/bench/")
	bench.Size(900, 640, 1)
	a.Page = bench
	running(bench)
	a.place("1", "panel")
	a.key("m", "she measures", func(sc *live.Scene) bool { return sc.View.Mode == "measure" })
	a.reading()
	if after := a.scene(); !after.View.Zeroed || after.Entries <= before.Entries || after.View.Statistics.N != before.View.Statistics.N+1 {
		t.Errorf("she left at entry %d; back again she is at %d with zero %v and %d readings", before.Entries, after.Entries, after.View.Zeroed, after.View.Statistics.N)
	}
	s.shot("bench-again", bench)
	t.Logf("%.0f s: Ana is back", time.Since(began).Seconds())

	// The server is killed while Ben sends, and started again.
	kept := a.scene().Entries
	ben.send(wb, rb[half:]) // nobody waits for the answer
	acked := ben.acked()
	s.kill()
	s.start()
	if s.code != "" {
		t.Error("a server that was set up prints a code again")
	}
	again := ben.comeBack(wb)
	if again < acked || again < half {
		t.Errorf("%d of Ben's entries were acknowledged, %d are there after the kill", acked, again)
	}
	if n := a.scene().Entries; n < kept {
		t.Errorf("%d of Ana's entries were on the disk, %d are there after the kill", kept, n)
	}
	if n := cem.comeBack(wc); n != len(rc) {
		t.Errorf("Cem's %d entries were acknowledged, %d are there after the kill", len(rc), n)
	}
	ben.practise(wb, rb[again:])
	a.reading() // her bench has found the server by itself
	a.handIn()
	s.shot("bench-debrief", bench)
	// The end of an attempt is noted a moment after it has come.
	ines.Until("three have ended", `fetch("`+class+`/debrief").then((r) => r.text()).then((text) => text.includes("3 finished attempts by 3 trainees"))`)
	ines.Goto(class + "/debrief")
	if text := ines.Evaluate("document.body.innerText"); !strings.Contains(text, "2 of 3 failed there in their newest attempt") {
		t.Errorf("what to teach next: %.600s", text)
	}
	s.shots(ines.Page, "debrief")
	t.Logf("%.0f s: the lesson is over", time.Since(began).Seconds())

	// An assessment, which waits for proof of identity.
	aldo, bea := ines.invite(b, "Aldo Reyes"), ines.invite(b, "Bea Lund")
	s.shots(ines.Page, "people")
	ines.Goto(class)
	ines.handOut("assessment", "different", "30", "1")
	ben.waits()
	s.shots(ines.Page, "board-identity")
	for range 3 {
		ines.Until("somebody waits", `document.querySelector("#rows input[name=proof]")`)
		ines.Fill("#rows input[name=proof]", "passport")
		ines.Click("#rows input[name=proof] + button")
		ines.Until("the page is there again", `document.readyState === "complete" && document.querySelector("#rows tr[data-trainee]") && !document.querySelector("#rows input[name=proof]")?.value`)
	}
	a.begin()
	s.shot("bench-assessment", bench)
	for _, p := range []*pupil{ben, cem} {
		w := p.begin()
		if w.Seed != 0 || w.Text != nil || w.Log != "" {
			t.Errorf("%s was told what a candidate may not know: %+v", p.name, w)
		}
		p.act(w, slovenly)
	}
	a.prepare()
	a.zero()
	a.place("1", "panel")
	a.key("m", "she measures", func(sc *live.Scene) bool { return sc.View.Mode == "measure" })
	a.reading()
	a.handIn()
	attempt := row(t, ines.board(class), "Ana Brook").Attempt
	t.Logf("%.0f s: handed in", time.Since(began).Seconds())

	// Two assessors, the second blind.
	aldo.Goto(s.address + "/assess")
	aldo.Until("three are sealed", `[...document.querySelectorAll("main .tag")].filter((e) => e.textContent === "sealed").length === 3`)
	if text := aldo.Evaluate("document.body.innerText"); strings.Contains(text, "Ana Brook") {
		t.Error("an assessor sees a candidate's name")
	}
	s.shots(aldo.Page, "assess")
	s.checkSeal(ines.Page, attempt)
	papers := []string{attempt, row(t, ines.board(class), "Ben Holt").Attempt}
	aldo.Goto(s.address + "/assess/" + papers[0])
	aldo.Click(".jump")
	aldo.Until("the moment is shown", `document.querySelector("#where").textContent.startsWith("entry")`)
	s.shots(aldo.Page, "judge")
	const excuse = "the part left no other way"
	for i, id := range papers {
		aldo.judge(id, excuse, "not yet competent on this attempt", "Careful hands, but no foil.")
		bea.Goto(s.address + "/assess/" + id)
		if text := bea.Evaluate("document.body.innerText"); strings.Contains(text, excuse) || strings.Contains(text, "Careful hands") {
			t.Error("the second assessor sees what the first said before signing")
		}
		verdict := []string{"not yet competent on this attempt", "competent on this attempt"}[i]
		bea.judge(id, "", verdict, "")
		if text := bea.Evaluate("document.body.innerText"); !strings.Contains(text, excuse) || !strings.Contains(text, "Careful hands") {
			t.Error("after signing the second assessor does not see what the first said")
		}
	}
	s.shots(bea.Page, "judged")
	bea.Goto(s.address + "/assess")
	if text := bea.Evaluate(`document.body.innerText.replace(/\s+/g, " ")`); !strings.Contains(text, "Attempts signed by two 2") || !strings.Contains(text, "agreed on 50 %") {
		t.Errorf("agreement: %s", text)
	}
	s.shots(bea.Page, "agreement")
	sheet := bea.download("/attempt/" + attempt + "/record.pdf")
	if !bytes.HasPrefix(sheet, []byte("%PDF-")) || !bytes.Contains(sheet, []byte("%%EOF")) {
		t.Errorf("the result sheet is no PDF: %.40q", sheet)
	}
	s.keep("record.pdf", sheet)
	bea.Goto(s.address + "/standard/" + panel)
	s.shots(bea.Page, "standard")
	ines.Goto(s.address + "/audit")
	if text := ines.Evaluate("document.body.innerText"); !strings.Contains(text, "is whole") || strings.Count(text, "signed off") != 4 {
		t.Errorf("the audit trail: %.300s", text)
	}
	s.shots(ines.Page, "audit")
	for _, p := range []*browsertest.Page{ines.Page, aldo.Page, bea.Page, bench} {
		if thrown := p.Thrown(); thrown != "" {
			t.Errorf("a page threw %s", thrown)
		}
	}
	t.Logf("%.0f s: all is done", time.Since(began).Seconds())
}

// slovenly is a short and poor piece of work, all of it in the first second.
var slovenly = []bench.Action{
	{At: 100, Do: bench.ReadJob}, {At: 200, Do: bench.WipeTip}, {At: 400, Do: bench.ClearMemory},
	{At: 600, Do: bench.Report, Counts: 800, Text: "accept"}, {At: 800, Do: bench.Finish},
}

// checkSeal takes the sealed log and the public key from the server and has
// the desk check them; a changed copy must fail.
func (s *school) checkSeal(p *browsertest.Page, attempt string) {
	s.Helper()
	d := &desk{s, p}
	sealed, key := d.download("/attempt/"+attempt+"/sealed.jsonl"), d.download("/seal.pub")
	folder := s.TempDir()
	good, bad, public := filepath.Join(folder, "a.sealed.jsonl"), filepath.Join(folder, "b.sealed.jsonl"), filepath.Join(folder, "seal.pub")
	changed := slices.Clone(sealed)
	i := bytes.LastIndex(changed, []byte(`"t":`)) + len(`"t":`)
	changed[i] ^= 1 // one digit of the last time stamp
	for name, content := range map[string][]byte{good: sealed, bad: changed, public: key} {
		if err := os.WriteFile(name, content, 0o644); err != nil {
			s.Fatal(err)
		}
	}
	if out, err := exec.Command(s.program, "verify-seal", good, "-key", public).CombinedOutput(); err != nil {
		s.Errorf("the seal does not hold: %v: %s", err, out)
	}
	if out, err := exec.Command(s.program, "verify-seal", bad, "-key", public).CombinedOutput(); err == nil {
		s.Errorf("a changed log passes: %s", out)
	}
}
