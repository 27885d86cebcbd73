package web

import (
	"net/http"
	"strings"
	"testing"
)

// The second assessor learns from no page what the first said, before signing;
// an instructor who has read it is no second assessor.
func TestTheSecondAssessorIsBlindEverywhere(t *testing.T) {
	s := newSchool(t)
	ines, _, ana, w := s.candidate("same")
	first, second := ines.invite("Aldo Reyes", "assessor"), ines.invite("Bea Lund", "assessor")
	s.sitAssessment(ana, w, "edge-near")
	sheet, err := s.web.Room.Sheet(t.Context(), w.Attempt)
	if err != nil {
		t.Fatal(err)
	}
	const excuse, verdict = "the part left no other way", "not yet competent on this attempt"
	judge := func(p *someone) (int, string) {
		for _, f := range sheet.Findings {
			p.post("/assess/"+w.Attempt+"/mark", "finding", f.Check, "decision", "override", "reason", excuse)
		}
		return p.post("/assess/"+w.Attempt+"/sign", "verdict", verdict, "remark", "Careful hands.")
	}
	judge(first)
	for _, page := range []string{"/audit", "/audit?subject=" + w.Attempt, "/assess", "/assess/" + w.Attempt, "/attempt/" + w.Attempt + "/record.pdf"} {
		if _, body := second.get(page); strings.Contains(body, excuse) || strings.Contains(body, verdict+"</td>") || strings.HasPrefix(body, "%PDF") {
			t.Errorf("%s tells the second assessor what the first said", page)
		}
	}
	if _, body := first.get("/audit"); !strings.Contains(body, excuse) {
		t.Error("the first does not find the own words in the audit trail")
	}
	if _, body := ines.get("/audit"); strings.Contains(body, excuse) {
		t.Error("the audit trail tells an instructor, who could be second, what the first said")
	}
	if status, body := ines.get("/attempt/" + w.Attempt + "/record.pdf"); status != http.StatusOK || !strings.HasPrefix(body, "%PDF") {
		t.Errorf("the instructor gets no training record: %d", status)
	}
	if status, body := judge(ines); status != http.StatusConflict || !strings.Contains(body, "somebody else") {
		t.Errorf("who has read what the first said signs second: %d %s", status, body)
	}
	judge(second)
	for _, p := range []*someone{first, second, ines} {
		if _, body := p.get("/audit?subject=" + w.Attempt); strings.Count(body, "signed off") != 2 || !strings.Contains(body, excuse) {
			t.Error("after two have signed the audit trail does not say what they said")
		}
	}
}
