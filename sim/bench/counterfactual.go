package bench

// run plays the tape of an attempt through a session up to an entry. Nothing
// the trainee did changes; only the session's influences act.
func (r *Record) run(s *session, upTo int) {
	for _, st := range r.tape {
		if st.entry > upTo {
			return
		}
		if st.contact >= 0 {
			c := r.Contacts[st.contact]
			s.capture(&c)
			continue
		}
		s.operate(st)
	}
}

// operate repeats one operation that the bench had accepted. In a
// counterfactual an adjustment may become impossible (no foil effect left);
// the instrument then keeps the one it had, as it would on a real bench.
func (s *session) operate(st step) {
	switch st.verb {
	case BeginZero:
		s.begin(Zeroing)
	case BeginFoil:
		s.begin(Foiling)
	case BeginVerify:
		s.begin(Verifying)
	case BeginMeasure:
		s.begin(Measuring)
	case StoreZero:
		_ = s.storeZero()
	case StoreFoil:
		_ = s.storeFoil()
	case SetFoilValue:
		s.setUm = st.setUm
	case ResetAdjustment:
		s.adjust = s.adjust.None()
		s.begin(Measuring)
	case NewSpot:
		s.memory.Spot++
	case DeleteLast:
		s.memory.DeleteLast()
	case ClearMemory:
		s.memory.Clear()
	}
}

// MeanErrorUm returns the error in um of the reported mean against the true
// mean over the area, had only the influences in on acted; false when nothing
// was reported. With no influence at all it is zero to rounding.
func (r *Record) MeanErrorUm(on Influence) (float64, bool) {
	if r.Result == nil {
		return 0, false
	}
	s := newSession(r.World, on)
	r.run(s, r.Result.Entry)
	truth, n := 0.0, 0
	for _, m := range s.memory.Readings {
		if c := r.ContactAt(m.Entry); c != nil {
			truth += r.World.trueUm(c, on)
			n++
		}
	}
	if n == 0 {
		return 0, false
	}
	um := s.meanUm()
	if on.Has(Recording) {
		res := r.World.Exercise.Instrument.ResolutionUm
		um += r.Result.MeanUm - float64(r.Result.Shown.Mean*res)
	}
	if on.Has(Sampling) {
		return um - r.World.TrueMeanUm, true
	}
	return um - truth/float64(n), true
}

// ReadingErrorUm returns the error in um of the reading taken at a contact
// against the true local thickness there, had only the influences in on acted;
// false when the contact gave no reading.
func (r *Record) ReadingErrorUm(contact int, on Influence) (float64, bool) {
	if contact < 0 || contact >= len(r.Contacts) || r.Contacts[contact].Outcome != Read {
		return 0, false
	}
	s := newSession(r.World, on)
	for _, st := range r.tape {
		if st.contact == contact {
			c := r.Contacts[contact]
			um := s.capture(&c)
			return um - r.World.trueUm(&c, on), true
		}
		if st.contact >= 0 {
			c := r.Contacts[st.contact]
			s.capture(&c)
			continue
		}
		s.operate(st)
	}
	return 0, false
}

// ContactAt returns the contact whose reading came at a log entry, nil when
// there is none.
func (r *Record) ContactAt(entry int) *Contact {
	if entry <= 0 {
		return nil
	}
	for i := range r.Contacts {
		if r.Contacts[i].Entry == entry && r.Contacts[i].Outcome == Read {
			return &r.Contacts[i]
		}
	}
	return nil
}

// TrueUm returns the true local thickness in um under a contact.
func (r *Record) TrueUm(contact int) float64 { return r.World.trueUm(&r.Contacts[contact], All) }
