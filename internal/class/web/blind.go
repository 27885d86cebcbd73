package web

import (
	"context"

	"foilwright/internal/class/assess"
	"foilwright/internal/class/store"
)

// blind tells whether a visitor may not yet know what an assessor said of an
// attempt: as long as this visitor could be the second one.
func (s *Server) blind(ctx context.Context, v *visitor, attempt string) (bool, error) {
	judged, err := s.Store.Judgements(ctx, attempt)
	if err != nil || len(judged) >= 2 {
		return false, err
	}
	for _, j := range judged {
		if j.Assessor == v.Person.ID {
			return false, nil
		}
	}
	return true, nil
}

// readRecord is how the audit trail tells that somebody knows what the first
// assessor said.
const readRecord = "read the record"

// knows tells whether somebody has read what the first assessor said of an
// attempt before signing it, and so cannot be the second.
func (s *Server) knows(ctx context.Context, v *visitor, attempt string) (bool, error) {
	trail, err := s.Store.AuditTrail(ctx, attempt, 100_000)
	if err != nil {
		return false, err
	}
	for _, line := range trail {
		if line.Did == readRecord && line.Who == v.Who() {
			return true, nil
		}
	}
	return false, nil
}

// veil hides from somebody who may still be the second assessor of an attempt
// what another said of it.
func (s *Server) veil(ctx context.Context, v *visitor, trail []store.Audit) error {
	known := map[string]bool{}
	for i := range trail {
		line := &trail[i]
		judging := line.Did == assess.Confirm || line.Did == assess.Override || line.Did == signedOff
		if !judging || line.Who == v.Who() {
			continue
		}
		hidden, ok := known[line.Subject]
		if !ok {
			var err error
			if hidden, err = s.blind(ctx, v, line.Subject); err != nil {
				return err
			}
			known[line.Subject] = hidden
		}
		if hidden {
			line.Did, line.Detail = "judged", "shown once you or a second assessor have signed"
		}
	}
	return nil
}
