package field

// Shapes holds what a head's response over ideal metal becomes near an edge and when tilted, relative to flat and square.
type Shapes struct{}

func (t *Shapes) apply(o *Over, p Place) (Place, float64) { return p, 1 }
