package screens

import (
	"fmt"
	"strings"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/sim/bench"
)

// recordRow sets what the trainee wrote down beside what happened.
type recordRow struct{ name, wrote, was string }

// recordRows is the record sheet of an attempt, line by line; nil when nothing
// was written.
func recordRows(r *bench.Record, un units) []recordRow {
	var rows []recordRow
	wrote := false
	for _, l := range recordLines(r.World.Exercise, r) {
		rows = append(rows, recordRow{l.name, l.text, happened(r, l.key, un)})
		wrote = wrote || l.text != ""
	}
	if !wrote {
		return nil
	}
	return rows
}

// happened is what the log has on a line of the record sheet.
func happened(r *bench.Record, key string, un units) string {
	names := newLedger(r.World.Exercise).names
	on := func(piece, foil string) string { // what was measured there for its known thickness
		if foil == "" {
			return names[piece]
		}
		return names[foil]
	}
	verified := func(v bench.Verification) string {
		return say.T("%s, mean %s, judged %s", on(v.Piece, v.Foil), un.um(v.MeanUm), judged(v.Judged))
	}
	var list []string
	switch key {
	case "zeroed-on", "foils":
		for _, a := range r.Adjustings {
			switch {
			case key == "zeroed-on" && a.Mode == bench.Zeroing:
				list = append(list, names[a.Piece])
			case key == "foils" && a.Mode == bench.Foiling:
				list = append(list, say.T("%s, set to %s", on(a.Piece, a.Foil), un.um(a.SetUm)))
			}
		}
	case "verified-before":
		if len(r.Verifications) > 0 {
			list = append(list, verified(r.Verifications[0]))
		}
	case "verified-after":
		if n := len(r.Verifications); n > 1 {
			list = append(list, verified(r.Verifications[n-1]))
		}
	case "dropped":
		for _, c := range r.Contacts {
			if c.Deleted {
				list = append(list, un.counts(c.Counts)+", "+reasonText(c.Reason))
			}
		}
	default:
		if r.Result == nil {
			break
		}
		for i, m := range r.Result.SpotMeansUm(un.resolutionUm) {
			if key == fmt.Sprintf("spot-%d", i+1) {
				list = append(list, un.um(m))
			}
		}
	}
	if len(list) == 0 {
		return "–"
	}
	return strings.Join(list, "; ")
}

// drawRecordRows draws the record sheet beside what happened.
func (a *App) drawRecordRows(r paint.Rect) float64 {
	u, d := a.ui, a.debrief
	top := r.Y
	a.caption(r.TakeTop(u.Px(20)), say.T("YOUR RECORD SHEET"))
	if d.recorded == nil {
		r.TakeTop(u.Px(6))
		r.TakeTop(u.SmallParagraph(r, say.T("The record sheet was left empty. At work nobody could check this result, or repeat it.")))
		return r.Y - top
	}
	names := min(u.Px(150), r.W*0.25)
	row := func(f paint.Font, name, wrote, was string) {
		half := (r.W - names) / 2
		h := max(f.Height(wrote, half-u.Px(16)), f.Height(was, half-u.Px(16)), u.Small().Height(name, names-u.Px(14)), f.LineHeight()) + u.Px(10)
		x := r.X
		for i, w := range [3]float64{names, half, half} {
			u.L.Frame(paint.R(x, r.Y, w+1, h+1), 1, u.Theme.Edge)
			text := [3]string{name, wrote, was}[i]
			c := [3]paint.Color{u.Theme.InkSoft, u.Theme.Ink, u.Theme.Truth}[i]
			u.L.TextBlock(paint.R(x+u.Px(8), r.Y+u.Px(5), w-u.Px(14), h), text, f, c, paint.Left)
			x += w
		}
		r.TakeTop(h)
	}
	row(paint.Font{Face: paint.Medium, Size: u.Px(13)}, "", say.T("you wrote"), say.T("what happened"))
	for _, x := range d.recorded {
		row(u.Small(), x.name, x.wrote, x.was)
	}
	return r.Y - top
}
