package inspect

import "fmt"

// restrictionLevel applies one of the five levels of SSPC-PA 2 to area means and spot means; single readings are free.
func (j *judgement) restrictionLevel(id string) {
	// Per cent of minimum and maximum that a spot mean must keep; 0 means no maximum. Source: SSPC-PA 2 table 1, level 3
	// read, the others from memory.
	var low, high float64
	switch id {
	case "pa2-level-1":
		low, high = 100, 100
	case "pa2-level-2":
		low, high = 100, 120
	case "pa2-level-3":
		low, high = 80, 120
	case "pa2-level-4":
		low, high = 80, 150
	case "pa2-level-5":
		low, high = 80, 0
	}
	minimum, maximum := j.meanLimits()
	var means []float64
	areas := areaMeans(j.spots, j.terms.CorrectionUm)
	if len(areas) == 1 {
		areas[0].meanUm = j.meanOr(areas[0].meanUm)
	}
	for _, a := range areas {
		what := "area mean"
		if len(areas) > 1 {
			what = fmt.Sprintf("area %d mean", a.area)
		}
		means = append(means, a.meanUm)
		j.note(what, -1, -1, a.meanUm, minimum)
		if high > 0 {
			j.note(what, -1, -1, a.meanUm, maximum)
		}
	}
	j.meanUm = Describe(means).Mean
	j.spotMeans(
		limit{um: percentOf(j.terms.MinimumUm, low), words: percentWords(low, "minimum")},
		limit{um: percentOf(j.terms.MaximumUm, high), upper: true, words: percentWords(high, "maximum")},
	)
}

func percentWords(percent float64, of string) string {
	if percent == 100 {
		return of
	}
	return figure(percent) + " % of the " + of
}

// eightyTwenty applies the 80/20 rule of ISO 19840 to single readings.
func (j *judgement) eightyTwenty() {
	all := j.allReadings()
	j.meanUm = j.meanOr(Describe(all).Mean)
	minimum, maximum := j.meanLimits()
	maximum.um = 0 // the maximum of this rule is one of single readings
	j.note("mean of all readings", -1, -1, j.meanUm, minimum)
	low := 0
	for _, v := range all {
		if below(v, j.terms.MinimumUm) {
			low++
		}
	}
	j.lowCount(low, len(all), 20, j.terms.FifthAllowed)
	highest := limit{um: j.terms.MaximumUm, upper: true, words: "maximum"}
	if factor := j.terms.MaximumFactor; factor > 0 && (highest.um == 0 || factor*j.terms.MinimumUm < highest.um) {
		highest.um = factor * j.terms.MinimumUm
		highest.words = figure(factor) + " times NDFT"
	}
	j.readings(limit{um: percentOf(j.terms.MinimumUm, 80), words: "80 % of NDFT"}, highest)
}

// ninetyTen applies the 90/10 rule of IMO MSC.215(82) to single readings.
func (j *judgement) ninetyTen() {
	all := j.allReadings()
	j.meanUm = Describe(all).Mean
	low := 0
	for _, v := range all {
		if below(v, j.terms.MinimumUm) {
			low++
		}
	}
	j.lowCount(low, len(all), 10, true)
	j.readings(limit{um: percentOf(j.terms.MinimumUm, 90), words: "90 % of NDFT"})
}

// lowCount judges how many readings lie below NDFT: up to so many per cent of them, the bound itself allowed or not.
func (j *judgement) lowCount(low, n, percent int, boundAllowed bool) {
	met := low*100 < n*percent || low == 0 || boundAllowed && low*100 == n*percent
	if !j.miss(met) {
		return
	}
	bound := "fewer than"
	if boundAllowed {
		bound = "at most"
	}
	j.add(Reason{
		Met: met, Spot: -1, Reading: -1, ValueUm: float64(low), Limit: float64(n*percent) / 100,
		Text: fmt.Sprintf("%d of %d readings lie below NDFT %s µm; %s %d %% may", low, n, figure(j.terms.MinimumUm), bound, percent),
	})
}

// localMinimum judges the lowest spot mean alone.
func (j *judgement) localMinimum() {
	j.meanUm = j.meanOfSpots()
	j.spotMeans(limit{um: j.terms.MinimumUm, words: "minimum local thickness"})
}

// meanAndSpots judges the mean of the spot means and each of them against the stated fraction.
func (j *judgement) meanAndSpots() {
	j.meanUm = j.meanOr(j.meanOfSpots())
	minimum, maximum := j.meanLimits()
	j.note("mean of the spots", -1, -1, j.meanUm, minimum)
	j.note("mean of the spots", -1, -1, j.meanUm, maximum)
	j.spotMeans(limit{um: percentOf(j.terms.MinimumUm, j.terms.SpotPercent), words: percentWords(j.terms.SpotPercent, "minimum")})
}

// meanOr is the mean that was stated, or the one worked out from the readings.
func (j *judgement) meanOr(workedOutUm float64) float64 {
	if j.stated != 0 {
		return j.stated
	}
	return workedOutUm
}

func (j *judgement) meanOfSpots() float64 {
	var means []float64
	for _, s := range j.spots {
		means = append(means, Describe(s.ReadingsUm).Mean)
	}
	return Describe(means).Mean - j.terms.CorrectionUm
}
