package scenarios

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/inspect"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// Format and FormatVersion name the exercise format this program reads.
const (
	Format        = "foilwright-exercise"
	FormatVersion = 1
	maxBytes      = 256 << 10
)

// Load reads one exercise that takes nothing from shelves. name is used in
// errors. Every fault of the file is reported at once, as Faults.
func Load(name string, data []byte) (*bench.Exercise, error) { return load(name, data, nil) }

// LoadFile reads the exercise in a file of a folder, and the shelves it names,
// which must lie in that folder too. shown is the file's name in errors.
func LoadFile(folder fs.FS, name, shown string) (*bench.Exercise, error) {
	data, err := fs.ReadFile(folder, name)
	if err != nil {
		return nil, err
	}
	return load(shown, data, func(shelf string) ([]byte, error) {
		return fs.ReadFile(folder, path.Join(path.Dir(name), shelf))
	})
}

// LoadText reads an exercise whose shelves are at hand, by the names it gives
// them.
func LoadText(name string, data []byte, shelves map[string][]byte) (*bench.Exercise, error) {
	return load(name, data, func(shelf string) ([]byte, error) {
		if text, there := shelves[shelf]; there {
			return text, nil
		}
		return nil, fs.ErrNotExist
	})
}

// load reads an exercise; open gives the shelves it names.
func load(name string, data []byte, open func(string) ([]byte, error)) (*bench.Exercise, error) {
	d := &decoder{file: name}
	root := d.document(data, "an exercise")
	if root == nil {
		return nil, d.faults.err()
	}
	taken := d.shelves(root, open)
	e := d.exercise(root)
	if err := d.faults.err(); err != nil {
		return nil, err
	}
	sum := newDigest(data)
	for _, shelf := range taken {
		sum.shelf(sha256.Sum256(shelf))
	}
	e.Digest = sum.String()
	return e, nil
}

// alias returns the first alias in the tree, nil when there is none.
func alias(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode {
		return n
	}
	for _, c := range n.Content {
		if found := alias(c); found != nil {
			return found
		}
	}
	return nil
}

// yamlFault takes the line out of a YAML error.
func yamlFault(err error) (line int, what string) {
	what = strings.TrimPrefix(err.Error(), "yaml: ")
	if _, scan := fmt.Sscanf(what, "line %d:", &line); scan == nil {
		_, what, _ = strings.Cut(what, ": ")
		return line, what
	}
	return 1, what
}

func (d *decoder) exercise(n *yaml.Node) *bench.Exercise {
	e := &bench.Exercise{Limits: bench.DefaultLimits()}
	var format, probeID, mode string
	var others []string
	var version int
	var ids []string
	for _, p := range probe.Designs() {
		ids = append(ids, p.ID)
	}
	d.mapping(n, "",
		must("format", d.choice(&format, Format)),
		must("version", d.whole(&version, FormatVersion, FormatVersion)),
		must("id", d.identifier(&e.ID)),
		must("title", d.text(&e.Title)),
		must("summary", d.text(&e.Summary)),
		must("skills", d.list(1, d.texts(&e.Skills))),
		must("minutes", d.whole(&e.Minutes, 1, 240)),
		may("chapter", d.choice(&e.Chapter, chapterIDs()...)),
		may("shelves", func(*yaml.Node, string) {}), // read already
		may("prerequisites", d.list(0, d.identifiers(&e.Prerequisites))),
		may("competent_result", d.text(&e.Competent)),
		may("typical_mistakes", d.list(1, func(n *yaml.Node, path string) {
			var m bench.Mistake
			d.mapping(n, path, must("check", d.choice(&m.Check, checkIDs()...)), must("text", d.text(&m.Text)))
			e.Mistakes = append(e.Mistakes, m)
		})),
		may("mode", d.choice(&mode, "practice", "assessment")),
		must("job", func(n *yaml.Node, path string) { d.job(n, path, &e.Job) }),
		must("probe", d.choice(&probeID, ids...)),
		may("other_probes", d.list(1, func(n *yaml.Node, path string) {
			var id string
			d.choice(&id, ids...)(n, path)
			others = append(others, id)
		})),
		must("instrument", func(n *yaml.Node, path string) { d.instrument(n, path, &e.Instrument) }),
		must("part", func(n *yaml.Node, path string) { e.Part = d.anyPiece(n, path) }),
		must("references", d.list(0, func(n *yaml.Node, path string) { e.References = append(e.References, d.anyPiece(n, path)) })),
		must("foils", d.list(0, func(n *yaml.Node, path string) { e.Foils = append(e.Foils, d.anyFoil(n, path)) })),
		may("demagnetiser", d.yes(&e.Demagnetiser)),
		may("limits", func(n *yaml.Node, path string) { d.limits(n, path, &e.Limits) }),
		must("cautions", d.list(1, d.texts(&e.Cautions))),
	)
	e.Assessment = mode == "assessment"
	e.Probe, _ = probe.ByID(probeID)
	if len(others) > 0 {
		for _, id := range append([]string{probeID}, others...) {
			p, _ := probe.ByID(id)
			e.Probes = append(e.Probes, p)
		}
	}
	if len(d.faults) == 0 {
		d.agreement(n, e)
	}
	return e
}

// checkIDs are the checks a typical mistake may name.
func checkIDs() []string {
	var ids []string
	for _, c := range grade.Checks() {
		ids = append(ids, c.ID)
	}
	return ids
}

// agreement checks what several fields must agree on.
func (d *decoder) agreement(n *yaml.Node, e *bench.Exercise) {
	seen := map[string]bool{}
	for i, p := range append([]bench.PieceSpec{e.Part}, e.References...) {
		at := "part"
		if i > 0 {
			at = fmt.Sprintf("references[%d]", i-1)
		}
		if seen[p.Piece.ID] {
			d.faultAt(n, at+".id", fmt.Sprintf("two pieces have the id %q", p.Piece.ID), "give each piece an id of its own")
		}
		seen[p.Piece.ID] = true
		d.rolled(n, at, &p.Piece)
	}
	seen = map[string]bool{}
	for i, f := range e.Foils {
		if seen[f.ID] {
			d.faultAt(n, fmt.Sprintf("foils[%d].id", i), fmt.Sprintf("two foils have the id %q", f.ID), "give each foil an id of its own")
		}
		seen[f.ID] = true
		if f.CertifiedUm > e.Probe.RangeUm {
			d.faultAt(n, fmt.Sprintf("foils[%d].certified_um", i), fmt.Sprintf("foil %q is thicker than the probe's range of %g µm", f.ID, e.Probe.RangeUm), "choose a thinner foil or another probe")
		}
	}
	seen = map[string]bool{}
	for i, p := range e.Offered() {
		if seen[p.ID] {
			d.faultAt(n, fmt.Sprintf("other_probes[%d]", i-1), fmt.Sprintf("the probe %q is named twice", p.ID), "name each probe once, the one in hand under probe")
		}
		seen[p.ID] = true
	}
	a, p := e.Job.Area, e.Part.Piece
	if a.X+a.Width > p.Width || a.Y+a.Height > p.Height {
		d.faultAt(n, "job.area_mm", "the area reaches beyond the part", fmt.Sprintf("keep it within %g x %g mm", p.Width*1e3, p.Height*1e3))
	}
	if worn, most := e.Instrument.TipWearUm, e.Probe.MostWearUm(); worn > most {
		d.faultAt(n, "instrument.tip_wear_um", fmt.Sprintf("the tip is worn by %g µm", worn), fmt.Sprintf("this probe stands at most %g µm", most))
	}
	for i, r := range e.References {
		if r.Coating.SoftUmPerN > 0 {
			d.faultAt(n, fmt.Sprintf("references[%d].coating.soft_um_per_n", i), "a reference piece has a soft coating", "only the coating of the part may be soft")
		}
	}
	if e.Limits.PressLowN >= e.Limits.PressHighN {
		d.faultAt(n, "limits", fmt.Sprintf("the band of forces from %g to %g N is empty", e.Limits.PressLowN, e.Limits.PressHighN), "make press_low_n smaller than press_high_n")
	}
	if r := &e.Job.Rule; r.GuardUm > 0 && (r.Decision == "" || r.Decision == inspect.SimpleAcceptance.ID) {
		d.faultAt(n, "job.rule.guard_um", fmt.Sprintf("simple acceptance keeps no guard band, and one of %g µm is given", r.GuardUm),
			fmt.Sprintf("remove guard_um, or name decision: %s or %s", inspect.GuardBand.ID, inspect.NonBinary.ID))
	} else if err := r.Check(&e.Job); err != nil {
		d.faultAt(n, "job.rule", "the rule cannot be used: "+strings.TrimPrefix(err.Error(), "inspect: "), "make its fields agree")
	}
	if !e.Part.Coating.Present() {
		d.faultAt(n, "part.coating", "the part has no coating to measure", "add a coating")
	}
	d.enoughFoils(n, e)
	d.certified(n, e)
}

// enoughFoils checks that the foils suffice to adjust on, and that there is one
// to verify on, be it one of those.
func (d *decoder) enoughFoils(n *yaml.Node, e *bench.Exercise) {
	least, noun := max(1, e.Job.Thicknesses()), "foils"
	if e.Job.OnCoated() || len(e.Foils) >= least {
		return
	}
	if least == 1 {
		noun = "foil"
	}
	d.faultAt(n, "foils", fmt.Sprintf("to adjust with %s and verify, the job takes at least %d %s, and the bench has %d", bench.AdjustmentWords(e.Job.Adjustment), least, noun, len(e.Foils)),
		"lay out foils to adjust on, and one besides to verify on")
}

// certified checks what the certificates of coated pieces must agree on with the
// rest: a foil and a piece are told apart by id, and an adjustment on coated
// pieces needs them, and has no bare metal.
func (d *decoder) certified(n *yaml.Node, e *bench.Exercise) {
	if e.Part.Coating.Known.CertifiedUm > 0 {
		d.faultAt(n, "part.coating.certificate", "the film of the part has a certificate", "give it mean_um: what is to be measured is not known; a certificate belongs to a reference piece")
	}
	fitting := 0
	for i := range e.References {
		r, at := &e.References[i], fmt.Sprintf("references[%d]", i)
		if known := r.Coating.Known.CertifiedUm; known > 0 {
			if slices.ContainsFunc(e.Foils, func(f part.FoilSpec) bool { return f.ID == r.Piece.ID }) {
				d.faultAt(n, at+".id", fmt.Sprintf("a certified piece and a foil have the id %q", r.Piece.ID), "give each an id of its own")
			}
			if known > e.Probe.RangeUm {
				d.faultAt(n, at+".coating.certificate.certified_um", fmt.Sprintf("the film is thicker than the probe's range of %g µm", e.Probe.RangeUm), "choose a thinner film or another probe")
			}
		}
		if e.Job.OnCoated() && !r.Coating.Present() && len(e.Mismatch(&r.Piece)) == 0 {
			d.faultAt(n, at, fmt.Sprintf("%q is bare and like the part, but the job is adjusted on coated pieces", r.Piece.ID), "take it off the bench, or let job.adjustment be zero, one-foil or two-foil: coated pieces are for where no bare metal can be had")
		}
		if e.Fits(r) {
			fitting++
		}
	}
	if !e.Job.OnCoated() {
		return
	}
	if fitting < e.Job.Thicknesses() {
		d.faultAt(n, "job.adjustment", fmt.Sprintf("%s asks for %d certified pieces like the part, and %d lie on the bench", e.Job.Adjustment, e.Job.Thicknesses(), fitting),
			"give references a coating with a certificate, and the metal, thickness, curvature and finish of the part")
	}
	if e.Job.WithLayers {
		d.faultAt(n, "job.with_under_layers", "under-layers count as coating, and the job is adjusted on coated pieces", "leave one of them out: a certificate is of the film above the layers")
	}
}

func (d *decoder) job(n *yaml.Node, path string, j *bench.Job) {
	d.mapping(n, path,
		must("customer", d.text(&j.Customer)),
		must("item", d.text(&j.Item)),
		must("text", d.text(&j.Text)),
		must("base", d.text(&j.Base)),
		must("coating", d.text(&j.Coating)),
		must("expected_um", d.span(&j.ExpectedUm, 1, 20000, 1)),
		must("ndft_um", d.number(&j.NominalUm, 1, 20000, 1)),
		may("allowance_um", d.number(&j.AllowanceUm, 0, 200, 1)),
		must("adjustment", d.choice(&j.Adjustment, bench.Adjustments()...)),
		must("spots", d.whole(&j.Spots, 1, 200)),
		must("readings_per_spot", d.whole(&j.PerSpot, 1, 20)),
		must("area_mm", func(n *yaml.Node, path string) {
			d.mapping(n, path,
				must("x", d.number(&j.Area.X, 0, 10000, 1e-3)),
				must("y", d.number(&j.Area.Y, 0, 10000, 1e-3)),
				must("width", d.number(&j.Area.Width, 1, 10000, 1e-3)),
				must("height", d.number(&j.Area.Height, 1, 10000, 1e-3)))
		}),
		may("with_under_layers", d.yes(&j.WithLayers)),
		may("state_uncertainty", d.yes(&j.StateUncertainty)),
		must("rule", func(n *yaml.Node, path string) { d.rule(n, path, &j.Rule) }),
	)
}

// rule reads what the job sheet decides by.
func (d *decoder) rule(n *yaml.Node, path string, r *bench.Rule) {
	ids := struct{ acceptance, accuracy, edge []string }{}
	for _, x := range inspect.AcceptanceRules() {
		ids.acceptance = append(ids.acceptance, x.ID)
	}
	for _, x := range inspect.ToleranceRules() {
		ids.accuracy = append(ids.accuracy, x.ID)
	}
	for _, x := range inspect.EdgeRules() {
		ids.edge = append(ids.edge, x.ID)
	}
	d.mapping(n, path,
		must("name", d.text(&r.Name)),
		may("acceptance", d.choice(&r.Acceptance, ids.acceptance...)),
		must("minimum_um", d.number(&r.MinimumUm, 1, 20000, 1)),
		may("maximum_um", d.number(&r.MaximumUm, 1, 60000, 1)),
		may("maximum_factor", d.number(&r.MaximumFactor, 1, 20, 1)),
		may("spot_percent", d.number(&r.SpotPercent, 0, 100, 1)),
		may("fifth_allowed", d.yes(&r.FifthAllowed)),
		may("decision", d.choice(&r.Decision, inspect.SimpleAcceptance.ID, inspect.GuardBand.ID, inspect.NonBinary.ID)),
		may("guard_um", d.number(&r.GuardUm, 0, 1000, 1)),
		may("plan", d.choice(&r.Plan, inspect.PlanIDs()...)),
		may("plan_area_m2", d.number(&r.AreaM2, 0.01, 1e6, 1)),
		may("accuracy", d.choice(&r.Accuracy, ids.accuracy...)),
		may("edge", d.choice(&r.EdgeRule, ids.edge...)))
}

func (d *decoder) instrument(n *yaml.Node, path string, i *bench.Instrument) {
	d.mapping(n, path,
		must("resolution_um", d.number(&i.ResolutionUm, 0.01, 10, 1)),
		must("noise_percent", d.number(&i.NoiseRelative, 0, 5, 0.01)),
		must("drift_percent_per_hour", d.number(&i.DriftPerHour, -5, 5, 0.01)),
		may("earlier_readings_um", d.list(0, func(n *yaml.Node, path string) {
			var um float64
			d.number(&um, 0, 20000, 1)(n, path)
			i.EarlierReadingUm = append(i.EarlierReadingUm, um)
		})),
		may("tip_dirt_um", d.span(&i.TipDirtUm, 0, 500, 1)),
		may("tip_wear_um", d.number(&i.TipWearUm, 0, 50, 1)),
		may("temperature_c", d.temperature(&i.TemperatureC)),
	)
}

func (d *decoder) piece(n *yaml.Node, path string) bench.PieceSpec {
	var p bench.PieceSpec
	var metal string
	var ids []string
	for _, m := range part.Metals {
		ids = append(ids, m.ID)
	}
	d.mapping(n, path,
		must("id", d.identifier(&p.Piece.ID)),
		must("name", d.text(&p.Piece.Name)),
		must("width_mm", d.number(&p.Piece.Width, 10, 10000, 1e-3)),
		must("height_mm", d.number(&p.Piece.Height, 10, 10000, 1e-3)),
		must("metal", d.choice(&metal, ids...)),
		must("thickness_mm", d.number(&p.Piece.Thickness, 0.01, 1000, 1e-3)),
		may("under_layers", d.list(1, func(n *yaml.Node, path string) { p.Piece.Layers = append(p.Piece.Layers, d.layer(n, path, ids)) })),
		may("radius_x_mm", d.radius(&p.Piece.RadiusX)),
		may("radius_y_mm", d.radius(&p.Piece.RadiusY)),
		may("texture", func(n *yaml.Node, path string) { d.texture(n, path, &p.Piece.Texture) }),
		may("features", d.list(1, func(n *yaml.Node, path string) { p.Piece.Features = append(p.Piece.Features, d.feature(n, path)) })),
		may("sides", func(n *yaml.Node, path string) { d.sides(n, path, &p.Piece.Sides, &p.Piece.Angles) }),
		may("coating", func(n *yaml.Node, path string) { d.coating(n, path, &p.Coating) }),
		may("temperature_c", d.temperature(&p.Piece.TemperatureC)),
		may("remanence_t", d.number(&p.Piece.RemanenceT, 0, 1.8, 1)),
		may("dust_um", d.number(&p.Piece.DustUm, 0, 500, 1)),
	)
	p.Piece.Metal, _ = part.MetalByID(metal)
	return p
}

// layer reads a metallic layer between coating and base metal.
func (d *decoder) layer(n *yaml.Node, path string, metals []string) part.Layer {
	var l part.Layer
	var metal string
	d.mapping(n, path,
		must("metal", d.choice(&metal, metals...)),
		must("thickness_um", d.number(&l.Thickness, 1, 5000, 1e-6)))
	l.Metal, _ = part.MetalByID(metal)
	return l
}

func (d *decoder) coating(n *yaml.Node, path string, c *part.CoatingSpec) {
	mean := must
	certificate := field(n, "certificate")
	if certificate != nil {
		mean = may
	}
	d.mapping(n, path,
		mean("mean_um", d.list(1, func(n *yaml.Node, path string) {
			var r part.Range
			d.span(&r, 1, 20000, 1)(n, path)
			c.MeanUm = append(c.MeanUm, r)
		})),
		must("waviness_um", d.number(&c.WavinessUm, 0, 1000, 1)),
		must("wavelength_mm", d.span(&c.WavelengthM, 10, 10000, 1e-3)),
		may("patches", d.list(1, func(n *yaml.Node, path string) { c.Patches = append(c.Patches, d.patch(n, path)) })),
		may("soft_um_per_n", d.number(&c.SoftUmPerN, 0, 100, 1)),
		may("recovery_s", d.number(&c.RecoverS, 0, 1e6, 1)),
		may("certificate", func(n *yaml.Node, path string) { d.certificate(n, path, &c.Known) }),
	)
	if certificate == nil {
		return
	}
	if mean := field(n, "mean_um"); mean != nil {
		d.fault(mean, join(path, "mean_um"), "the film has a certificate and a range too", "leave mean_um out: the true film is drawn from the certificate")
	}
	if patches := field(n, "patches"); patches != nil {
		d.fault(patches, join(path, "patches"), "a certified film has patches", "leave them out: the certificate holds for the whole piece")
	}
}

// certificate reads what is known of the film of a coated reference piece.
func (d *decoder) certificate(n *yaml.Node, path string, c *part.Certified) {
	d.mapping(n, path,
		must("label_um", d.number(&c.LabelUm, 1, 20000, 1)),
		must("certified_um", d.number(&c.CertifiedUm, 1, 20000, 1)),
		must("expanded_uncertainty_um", d.number(&c.ExpandedUm, 0, 1000, 1)),
		must("number", d.text(&c.Certificate)),
		must("in_date", d.yes(&c.Valid)),
	)
}

func (d *decoder) foil(n *yaml.Node, path string) part.FoilSpec {
	var f part.FoilSpec
	var condition string
	var conditions []string
	for _, c := range part.FoilConditions() {
		conditions = append(conditions, string(c))
	}
	d.mapping(n, path,
		must("id", d.identifier(&f.ID)),
		must("label_um", d.number(&f.LabelUm, 1, 20000, 1)),
		must("certified_um", d.number(&f.CertifiedUm, 1, 20000, 1)),
		must("expanded_uncertainty_um", d.number(&f.ExpandedUm, 0, 1000, 1)),
		must("certificate", d.text(&f.Certificate)),
		must("in_date", d.yes(&f.Valid)),
		may("condition", d.choice(&condition, conditions...)),
		may("fault_um", d.span(&f.FaultUm, 0, 1000, 1)),
		may("curl_um", d.number(&f.CurlUm, 0, 2000, 1)),
		may("dust_um", d.number(&f.DustUm, 0, 500, 1)),
		may("actual_um", d.number(&f.ActualUm, 1, 20000, 1)),
	)
	f.Condition = part.FoilCondition(condition)
	if f.Damaged() != (f.FaultUm.High > 0) && len(d.faults) == 0 {
		d.fault(n, path, "condition and fault_um do not belong together", "give a creased, burred or worn foil its fault_um: [low, high], and a good one none")
	}
	return f
}

// limits reads the thresholds that the exercise sets.
func (d *decoder) limits(n *yaml.Node, path string, l *bench.Limits) {
	var keys []key
	for _, t := range bench.Thresholds() {
		keys = append(keys, may(t.Key, func(n *yaml.Node, path string) {
			if t.IsWhole() {
				v := int(t.Of(l))
				d.whole(&v, int(t.Low), int(t.High))(n, path)
				t.Set(l, float64(v))
				return
			}
			v := t.Of(l)
			d.number(&v, t.Low, t.High, 1)(n, path)
			t.Set(l, v)
		}))
	}
	d.mapping(n, path, keys...)
}
