package probe

import (
	"embed"
	"fmt"

	"foilwright/sim/field"
)

//go:generate go run foilwright/internal/shapetables tables

//go:embed tables/*.txt
var tables embed.FS

// Sensor returns the design's head prepared for computing, with its edge and tilt tables.
func (d Design) Sensor() (*field.Sensor, error) {
	sensor, err := field.NewSensor(d.Head)
	if err != nil {
		return nil, fmt.Errorf("probe %s: %w", d.ID, err)
	}
	path := "tables/" + d.ID + ".txt"
	text, err := tables.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("probe %s: no shape tables; make them with go generate ./sim/probe: %w", d.ID, err)
	}
	shapes, err := field.ParseShapes(text)
	if err != nil {
		return nil, fmt.Errorf("probe %s: %s: %w", d.ID, path, err)
	}
	return sensor.WithShapes(shapes)
}
