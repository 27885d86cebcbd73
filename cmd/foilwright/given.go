//go:build !js

package main

import "foilwright/sim/bench"

// given returns nothing: only a page gives the bench an exercise to be alone with.
func given() (*bench.Exercise, error) { return nil, nil }
