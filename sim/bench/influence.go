package bench

// Influence is a set of causes of error. Each can be switched off, which means
// "as if ideal"; the explainer works by replaying with some of them off.
type Influence uint64

// The single influences. The first group is physics, the second what the
// trainee chose or failed to do.
const (
	Edge Influence = 1 << iota
	Tilt
	Settling
	Press
	AirReference
	Noise
	Drift
	Resolution
	FoilTruth // a foil's true thickness is not its certified value
	BaseMetal // the part's metal is not the standard metal of the built-in curve

	Piece       // the piece adjusted on does not match the part
	FoilValue   // the set value is not the certified value
	FoilLeft    // a foil left on the part while measuring
	OldReadings // readings of an earlier job in the memory
	Recording   // the reported figure is not what the instrument shows
	Sampling    // the mean at the spots is not the mean over the area
	TooFew      // an adjustment rests on fewer readings than asked
	Layers      // metallic layers under the coating
	Principle   // the principle of the probe measures something else than asked

	Curvature // the surface is not flat
	Feature   // a hole, a step, a weld or a wall near by
	ThinBase  // the base is thinner than the probe reaches
	Texture   // the surface under the film is rough
	Allowance // what was deducted for roughness is not what the job sheet says

	Dirt        // dirt on the tip, dust on piece or foil
	Wear        // a worn tip
	FoilFault   // crease, burr, curl, wear, a second foil, a wrong foil
	Softness    // the tip sinks into a soft film
	Temperature // instrument or piece not at the temperature of the room
	Remanence   // residual magnetism of the piece

	influenceEnd
)

// All is every influence, the world as it is.
const All = influenceEnd - 1

// Influences lists the single influences in their fixed order.
func Influences() []Influence {
	var list []Influence
	for i := Influence(1); i < influenceEnd; i <<= 1 {
		list = append(list, i)
	}
	return list
}

// Has reports whether all of other are in the set.
func (i Influence) Has(other Influence) bool { return i&other == other }

var influenceNames = map[Influence]string{
	Edge: "edge", Tilt: "tilt", Settling: "settling", Press: "press",
	AirReference: "air-reference", Noise: "noise", Drift: "drift",
	Resolution: "resolution", FoilTruth: "foil-truth", BaseMetal: "base-metal",
	Piece: "piece", FoilValue: "foil-value", FoilLeft: "foil-left", OldReadings: "old-readings",
	Recording: "recording", Sampling: "sampling", TooFew: "too-few", Layers: "layers", Principle: "principle",
	Curvature: "curvature", Feature: "feature", ThinBase: "thin-base",
	Dirt: "dirt", Wear: "wear", FoilFault: "foil-fault", Softness: "softness", Temperature: "temperature", Remanence: "remanence",
	Texture: "texture", Allowance: "allowance",
}

// String returns the key of a single influence, as reports use it.
func (i Influence) String() string { return influenceNames[i] }
