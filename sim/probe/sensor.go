package probe

import "foilwright/sim/field"

// Sensor returns the design's head prepared for computing, with its shape tables.
func (d Design) Sensor() (*field.Sensor, error) { return field.NewSensor(d.Head) }
