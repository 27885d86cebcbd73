package web

import (
	"bytes"
	"crypto/sha256"
	"crypto/x509"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"encoding/pem"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/paper"
	"foilwright/internal/class/store"
	"foilwright/internal/class/xapi"
	"foilwright/internal/report"
	"foilwright/sim/bench"
	"foilwright/sim/explain"
)

// nothingCommon is said where there is nothing to teach the whole class.
const nothingCommon = "No part of the work failed often enough to take the whole class's time."

// columns of the exports, one row for each attempt.
var columns = []string{
	"trainee", "exercise", "mode", "attempt", "started", "minutes", "finished", "technique_0_100", "passed",
	"reported_mean_um", "error_um", "verdict", "true_verdict", "findings",
}

// cells are the values of one row: texts and numbers.
func (o *outcome) cells() []any {
	row := []any{
		o.Trainee.Name, o.Title, o.Handout.Mode, int(o.Attempt.Turn), time.UnixMilli(o.Attempt.Started).Format("2006-01-02 15:04"),
	}
	if o.Attempt.Finished == 0 {
		return append(row, "", "no", "", "", "", "", "", "", "")
	}
	row = append(row, round(o.Minutes, 1), "yes", round(o.Sheet.Technique, 1), yes(o.Sheet.Passed))
	if x := o.Sheet.Result; x != nil {
		row = append(row, round(x.ReportedUm, 2), round(x.ErrorUm, 2), x.Given, x.True)
	} else {
		row = append(row, "", "", "", "")
	}
	var names []string
	for _, f := range o.Sheet.Findings {
		names = append(names, f.Check)
	}
	return append(row, strings.Join(names, " "))
}

func round(x float64, digits int) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', digits, 64), 64)
	return y
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// harmless keeps a spreadsheet from taking a text for a formula.
func harmless(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

func attach(w http.ResponseWriter, name, kind string) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Header().Set("Cache-Control", "no-store")
}

func (s *Server) exportCSV(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	all, err := s.outcomes(r.Context(), c.ID)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	to := csv.NewWriter(&out)
	if err := to.Write(columns); err != nil {
		return err
	}
	for i := range all {
		var row []string
		for _, cell := range all[i].cells() {
			switch x := cell.(type) {
			case string:
				row = append(row, harmless(x))
			case int:
				row = append(row, strconv.Itoa(x))
			case float64:
				row = append(row, strconv.FormatFloat(x, 'f', -1, 64))
			}
		}
		if err := to.Write(row); err != nil {
			return err
		}
	}
	to.Flush()
	if err := to.Error(); err != nil {
		return err
	}
	attach(w, "class.csv", "text/csv; charset=utf-8")
	_, err = w.Write(out.Bytes())
	return err
}

func (s *Server) exportXLSX(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	all, err := s.outcomes(r.Context(), c.ID)
	if err != nil {
		return err
	}
	f := excelize.NewFile()
	defer f.Close()
	const attempts, errors, skills = "Attempts", "Common errors", "Mastery"
	if err := f.SetSheetName("Sheet1", attempts); err != nil {
		return err
	}
	put := func(sheet string, row int, cells []any) error {
		at, err := excelize.CoordinatesToCellName(1, row)
		if err != nil {
			return err
		}
		return f.SetSheetRow(sheet, at, &cells)
	}
	head := make([]any, len(columns))
	for i, name := range columns {
		head[i] = name
	}
	if err := put(attempts, 1, head); err != nil {
		return err
	}
	for i := range all {
		if err := put(attempts, i+2, all[i].cells()); err != nil {
			return err
		}
	}
	if err := f.SetPanes(attempts, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	x, err := summarise(all, s.Room.Shelf.List())
	if err != nil {
		return err
	}
	if _, err := f.NewSheet(errors); err != nil {
		return err
	}
	if err := put(errors, 1, []any{"error", "severity", "trainees", "points_lost", "what_to_do"}); err != nil {
		return err
	}
	for i, e := range x.Errors {
		if err := put(errors, i+2, []any{e.Name, string(e.Severity), e.Trainees, round(e.Points, 1), e.Do}); err != nil {
			return err
		}
	}
	if _, err := f.NewSheet(skills); err != nil {
		return err
	}
	if err := put(skills, 1, []any{"skill", "trainees", "failed_newest", "share_low_95", "share_high_95", "mastered", "learning", "below_standard", "who_failed_newest"}); err != nil {
		return err
	}
	for i, k := range x.Skills {
		if err := put(skills, i+2, []any{k.Name, k.Trainees, len(k.Failing), round(k.Low, 3), round(k.High, 3), k.Competent, k.Learning, k.Below, strings.Join(k.Failing, ", ")}); err != nil {
			return err
		}
	}
	for sheet, widths := range map[string]map[string]float64{attempts: {"A": 24, "B": 28, "E": 17, "N": 50}, errors: {"A": 36, "E": 70}, skills: {"A": 28, "I": 60}} {
		for column, width := range widths {
			if err := f.SetColWidth(sheet, column, column, width); err != nil {
				return err
			}
		}
	}
	out, err := f.WriteToBuffer()
	if err != nil {
		return err
	}
	attach(w, "class.xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
	_, err = w.Write(out.Bytes())
	return err
}

func (s *Server) exportPDF(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	all, err := s.outcomes(r.Context(), c.ID)
	if err != nil {
		return err
	}
	x, err := summarise(all, s.Room.Shelf.List())
	if err != nil {
		return err
	}
	p := paper.New("Debrief of a class", c.Title, time.Now())
	p.Facts([][2]string{
		{"Class", c.Title}, {"Instructor", v.Person.Name}, {"Trainees with a finished attempt", strconv.Itoa(x.Workers)},
		{"Finished attempts", strconv.Itoa(x.Finished)}, {"Passed", strconv.Itoa(x.Passed)}, {"Mean technique score", strconv.FormatFloat(x.Mean, 'f', 0, 64) + " of 100"},
	})
	p.Heading("What to teach next")
	for _, n := range x.Next {
		p.Item(n.Skill + ": " + n.Why)
	}
	if len(x.Next) == 0 {
		p.Text(nothingCommon)
	}
	p.Heading("Mastery")
	rows := [][]string{}
	for _, k := range x.Skills {
		if k.Trainees > 0 {
			rows = append(rows, []string{
				k.Name, fmt.Sprintf("%d of %d", len(k.Failing), k.Trainees), fmt.Sprintf("%.0f to %.0f %%", 100*k.Low, 100*k.High),
				fmt.Sprintf("%d / %d / %d", k.Competent, k.Learning, k.Below), strings.Join(k.Failing, ", "),
			})
		}
	}
	p.Table([]string{"Skill", "Failed newest", "95 % interval", "Mastered / learning / below", "Who"}, []float64{0.2, 0.13, 0.15, 0.22, 0.3}, rows)
	p.Heading("Common errors")
	rows = nil
	for _, e := range x.Errors {
		rows = append(rows, []string{e.Name, string(e.Severity), strconv.Itoa(e.Trainees), strconv.FormatFloat(e.Points, 'f', 0, 64)})
	}
	p.Table([]string{"Error", "Severity", "Trainees", "Points lost"}, []float64{0.58, 0.16, 0.13, 0.13}, rows)
	p.Heading("Parts of the work")
	rows = rows[:0]
	for _, g := range x.Groups {
		rows = append(rows, []string{string(g.Group), strconv.FormatFloat(g.Percent, 'f', 0, 64) + " %"})
	}
	p.Table([]string{"Part", "Points kept"}, []float64{0.6, 0.4}, rows)
	p.Heading("Attempts")
	rows = rows[:0]
	for _, o := range all {
		score, passed := "not finished", ""
		if o.Attempt.Finished > 0 {
			score, passed = strconv.FormatFloat(o.Sheet.Technique, 'f', 0, 64), yes(o.Sheet.Passed)
		}
		rows = append(rows, []string{o.Trainee.Name, o.Title, o.Handout.Mode, strconv.Itoa(int(o.Attempt.Turn)), score, passed})
	}
	p.Table([]string{"Trainee", "Exercise", "As", "No.", "Technique", "Passed"}, []float64{0.26, 0.3, 0.14, 0.06, 0.14, 0.1}, rows)
	return sendPDF(w, p, "class.pdf")
}

func sendPDF(w http.ResponseWriter, p *paper.Paper, name string) error {
	var out bytes.Buffer
	if err := p.Write(&out); err != nil {
		return err
	}
	attach(w, name, "application/pdf")
	_, err := w.Write(out.Bytes())
	return err
}

// reportPDF is the full report of one attempt.
func (s *Server) reportPDF(w http.ResponseWriter, r *http.Request, v *visitor) error {
	a, sheet, err := s.marked(r, v)
	if err != nil {
		return err
	}
	log, _, err := s.Store.Log(r.Context(), a.ID)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(log)
	var out bytes.Buffer
	err = s.Room.With(r.Context(), a.ID, func(b *bench.Bench) error {
		given := report.Given{Trainee: nameFor(v, a.By), Date: time.Now().Format(time.DateOnly), Log: a.ID, LogDigest: hex.EncodeToString(sum[:])}
		return report.New(given, b.Record(), sheet, explain.Explain(b.Record())).PDF(&out)
	})
	if err != nil {
		return err
	}
	attach(w, a.ID+".pdf", "application/pdf")
	_, err = w.Write(out.Bytes())
	return err
}

// recordPDF is the training record of an assessment: what was done, found and
// signed. It is no certificate and says so.
func (s *Server) recordPDF(w http.ResponseWriter, r *http.Request, v *visitor) error {
	a, sheet, err := s.marked(r, v)
	if err != nil {
		return err
	}
	judged, err := s.Store.Judgements(r.Context(), a.ID)
	if err != nil {
		return err
	}
	if len(judged) == 0 {
		return refuse(http.StatusConflict, "no assessor has signed this attempt yet")
	}
	blind, err := s.blind(r.Context(), v, a.ID)
	if err != nil {
		return err
	}
	if blind && v.Role == auth.Assessor {
		return refuse(http.StatusConflict, "the training record tells what the first assessor said; it is open to you once you have signed")
	}
	if blind {
		// Whoever runs the class may have it, and is no second assessor after that.
		if err := s.Store.Write(r.Context(), func(tx *store.Tx) error { return tx.Note(v.Who(), readRecord, a.ID, "") }); err != nil {
			return err
		}
	}
	marks, err := s.Store.Marks(r.Context(), a.ID)
	if err != nil {
		return err
	}
	names, err := s.names(r.Context())
	if err != nil {
		return err
	}
	p := paper.New("Training record", nameFor(v, a.By), time.Now())
	p.Facts([][2]string{
		{"Candidate", nameFor(v, a.By)}, {"Proof of identity", a.By.Identity}, {"Exercise", a.Title + ", on a simulated bench"},
		{"Begun", time.UnixMilli(a.Started).Format("2006-01-02 15:04")}, {"Handed in", time.UnixMilli(a.Finished).Format("2006-01-02 15:04")},
		{"Attempt", strconv.FormatInt(a.Turn, 10)}, {"Technique as graded", strconv.FormatFloat(sheet.Technique, 'f', 0, 64) + " of 100"},
	})
	p.Heading("What was found, and what assessors said of it")
	var rows [][]string
	for _, f := range sheet.Findings {
		var said []string
		for _, j := range judged {
			for _, m := range marks {
				if m.Assessor == j.Assessor && m.Finding == f.Check {
					word := names[j.Assessor] + ": " + m.Decision
					if m.Reason != "" {
						word += ", " + m.Reason
					}
					said = append(said, word)
				}
			}
		}
		rows = append(rows, []string{f.Name + ". " + f.What, string(f.Severity), strings.Join(said, "; ")})
	}
	if len(rows) == 0 {
		p.Text("Nothing was found.")
	}
	p.Table([]string{"Finding", "Severity", "Assessors"}, []float64{0.52, 0.12, 0.36}, rows)
	p.Heading("Signed off")
	rows = nil
	for _, j := range judged {
		rows = append(rows, []string{names[j.Assessor], j.Verdict, strconv.FormatFloat(float64(j.Score)/100, 'f', 0, 64), time.UnixMilli(j.Signed).Format("2006-01-02 15:04"), j.Remark})
	}
	p.Table([]string{"Assessor", "Verdict", "Score", "Signed", "Remark"}, []float64{0.18, 0.24, 0.08, 0.16, 0.34}, rows)
	sum := sha256.Sum256([]byte(a.Seal))
	p.Text("The log of this attempt is sealed; SHA-256 of the seal: " + hex.EncodeToString(sum[:]))
	return sendPDF(w, p, a.ID+"-record.pdf")
}

// exportXAPI hands out all statements about a class, for record stores that
// this machine cannot reach.
func (s *Server) exportXAPI(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	all, err := s.outcomes(r.Context(), c.ID)
	if err != nil {
		return err
	}
	statements := []xapi.Statement{}
	for i := range all {
		if o := &all[i]; o.Attempt.Finished > 0 && o.Fault == "" {
			told, err := s.told(r.Context(), &o.Attempt, &o.Handout)
			if err != nil {
				return err
			}
			statements = append(statements, told...)
		}
	}
	text, err := json.MarshalIndent(statements, "", "  ")
	if err != nil {
		return err
	}
	attach(w, "statements.json", "application/json")
	_, err = w.Write(text)
	return err
}

// publicKey is what seals are checked with; anybody may have it.
func (s *Server) publicKey(w http.ResponseWriter, r *http.Request, v *visitor) error {
	der, err := x509.MarshalPKIXPublicKey(s.Key.Public())
	if err != nil {
		return err
	}
	attach(w, "seal.pub", "application/x-pem-file")
	return pem.Encode(w, &pem.Block{Type: "PUBLIC KEY", Bytes: der})
}
