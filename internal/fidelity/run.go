package fidelity

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
)

// Run is a whole comparison: single rows first, then tables, in an order that does not depend on timing.
type Run struct {
	Rows   []Row
	Tables []TableResult
}

// Plan says what to compare.
type Plan struct {
	// Paths are tables, lists of published values (named checks.csv) and folders of both.
	Paths []string
	// Own adds what needs no file: limits, other methods, the figures noted by prototypes.
	Own bool
	// Tolerance is the largest relative error allowed in tables; 0 for the usual one of each kind.
	Tolerance float64
	// Workers is the number of goroutines, at least 1.
	Workers int
	// Progress, when not nil, is told after each part; never from two goroutines at once.
	Progress func(done, total int, finished string)
}

// piece is one piece of a run.
type piece struct {
	name    string
	compute func() (Run, error)
}

// Compare carries out a plan.
func Compare(plan Plan) (Run, error) {
	if !(plan.Tolerance >= 0) {
		return Run{}, fmt.Errorf("fidelity: tolerance is %v, expected a relative error of 0 or more", plan.Tolerance)
	}
	var parts []piece
	if plan.Own {
		parts = append(parts, ownParts()...)
	}
	files, err := tableFiles(plan.Paths)
	if err != nil {
		return Run{}, err
	}
	for _, f := range files {
		if filepath.Base(f) == "checks.csv" {
			parts = append(parts, piece{f, func() (Run, error) { rows, err := CheckFile(f); return Run{Rows: rows}, err }})
			continue
		}
		parts = append(parts, piece{f, func() (Run, error) {
			t, err := CompareFile(f, plan.Tolerance)
			return Run{Tables: []TableResult{t}}, err
		}})
	}
	results, err := compute(parts, max(plan.Workers, 1), plan.Progress)
	if err != nil {
		return Run{}, err
	}
	var all Run
	for _, r := range results {
		all.Rows = append(all.Rows, r.Rows...)
		all.Tables = append(all.Tables, r.Tables...)
	}
	if plan.Own {
		all.Rows = append(all.Rows, achievedRows(all.Tables)...)
	}
	return all, nil
}

// tableFiles lists the files of the paths, folders opened, each name sorted within its folder.
func tableFiles(paths []string) ([]string, error) {
	var files []string
	for _, p := range paths {
		info, err := os.Stat(p)
		if err != nil {
			return nil, fmt.Errorf("fidelity: %w", err)
		}
		if !info.IsDir() {
			files = append(files, p)
			continue
		}
		inside, err := filepath.Glob(filepath.Join(p, "*.csv"))
		if err != nil {
			return nil, err
		}
		if len(inside) == 0 {
			return nil, fmt.Errorf("fidelity: folder %s holds no .csv tables", p)
		}
		slices.Sort(inside)
		files = append(files, inside...)
	}
	return files, nil
}

// compute runs the parts on so many goroutines and returns their results in the order of the parts. The first error, in
// that order, is returned; parts after it may not have run.
func compute(parts []piece, workers int, progress func(done, total int, finished string)) ([]Run, error) {
	results, faults := make([]Run, len(parts)), make([]error, len(parts))
	var lock sync.Mutex
	var wait sync.WaitGroup
	next, done, failed := 0, 0, false
	take := func() int {
		lock.Lock()
		defer lock.Unlock()
		if failed || next == len(parts) {
			return -1
		}
		next++
		return next - 1
	}
	for range workers {
		wait.Go(func() {
			for i := take(); i >= 0; i = take() {
				r, err := parts[i].compute()
				lock.Lock()
				results[i], faults[i] = r, err
				failed = failed || err != nil
				done++
				if progress != nil {
					progress(done, len(parts), parts[i].name)
				}
				lock.Unlock()
			}
		})
	}
	wait.Wait()
	for _, err := range faults {
		if err != nil {
			return nil, err
		}
	}
	return results, nil
}

// Tally counts comparisons by what came out.
type Tally struct{ Pass, Fail, Short, NotComputed int }

// Made is the number of comparisons that were computed.
func (t Tally) Made() int { return t.Pass + t.Fail + t.Short }

func (t *Tally) add(v Verdict) {
	switch v {
	case Pass:
		t.Pass++
	case Fail:
		t.Fail++
	case Short:
		t.Short++
	default:
		t.NotComputed++
	}
}

// AllRows returns the single rows and those of the tables.
func (r Run) AllRows() []Row {
	rows := slices.Clone(r.Rows)
	for _, t := range r.Tables {
		rows = append(rows, t.Rows...)
	}
	return rows
}

// Count tallies all rows.
func (r Run) Count() Tally {
	var t Tally
	for _, row := range r.AllRows() {
		t.add(row.Verdict)
	}
	return t
}

// SourceCount is a source with what was compared with it.
type SourceCount struct {
	Source
	Tally
}

// BySource tallies rows by source, in the order of [Bases] and the list of sources; sources without a row are left out.
func (r Run) BySource() []SourceCount {
	counts := map[string]*Tally{}
	seen := slices.Clone(sources)
	for _, row := range r.AllRows() {
		if counts[row.Origin.Key] == nil {
			counts[row.Origin.Key] = &Tally{}
			if !slices.Contains(seen, row.Origin) {
				seen = append(seen, row.Origin)
			}
		}
		counts[row.Origin.Key].add(row.Verdict)
	}
	var list []SourceCount
	for _, b := range Bases() {
		for _, s := range seen {
			if t := counts[s.Key]; t != nil && s.Basis == b {
				list = append(list, SourceCount{s, *t})
			}
		}
	}
	return list
}

// BasisCount is a kind of source with the number of sources that were computed against, and what came out.
type BasisCount struct {
	Basis   Basis
	Sources int
	Tally
}

// ByBasis tallies by kind of source; kinds without a row are left out.
func (r Run) ByBasis() []BasisCount {
	var list []BasisCount
	for _, s := range r.BySource() {
		if len(list) == 0 || list[len(list)-1].Basis != s.Basis {
			list = append(list, BasisCount{Basis: s.Basis})
		}
		b := &list[len(list)-1]
		if s.Made() > 0 {
			b.Sources++
		}
		b.Pass, b.Fail, b.Short, b.NotComputed = b.Pass+s.Pass, b.Fail+s.Fail, b.Short+s.Short, b.NotComputed+s.NotComputed
	}
	return list
}

// Independent counts the rows computed against sources from which agreement shows more than that nothing changed, and
// those sources.
func (r Run) Independent() (rows, from int) {
	for _, b := range r.ByBasis() {
		if b.Basis.Independent() {
			rows, from = rows+b.Made(), from+b.Sources
		}
	}
	return rows, from
}
