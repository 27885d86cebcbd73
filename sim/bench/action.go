package bench

// Verb names what a trainee does. The strings are the keys of the log format.
type Verb string

// The verbs, in the order a job uses them.
const (
	ReadJob         Verb = "read-job"
	LookAtTip       Verb = "look-tip"
	WipeTip         Verb = "wipe-tip"
	ReadCertificate Verb = "read-certificate" // Item: foil
	ChooseProbe     Verb = "choose-probe"     // Item: probe
	PlacePiece      Verb = "place"            // Item: piece
	LayFoil         Verb = "lay-foil"         // Item: foil
	TakeFoilAway    Verb = "take-foil-away"
	MoveProbe       Verb = "probe" // Pose
	Wait            Verb = "wait"  // time passes, nothing moves

	BeginZero       Verb = "begin-zero"
	StoreZero       Verb = "store-zero"
	BeginFoil       Verb = "begin-foil"
	SetFoilValue    Verb = "set-foil-value" // Counts
	StoreFoil       Verb = "store-foil"
	BeginVerify     Verb = "begin-verify"
	JudgeVerify     Verb = "judge-verify" // Text: "good" or "bad"
	BeginMeasure    Verb = "begin-measure"
	ResetAdjustment Verb = "reset-adjustment"

	NewSpot     Verb = "new-spot"
	DeleteLast  Verb = "delete-last" // Text: reason, may be empty
	ClearMemory Verb = "clear-memory"

	Report Verb = "report" // Counts: mean in counts; Uncertainty; Text: one of Rule.Verdicts
	Finish Verb = "finish"

	LookAtPiece Verb = "look-piece"  // the piece under the probe
	WipePiece   Verb = "wipe-piece"  // the same
	Demagnetise Verb = "demagnetise" // the same, where there is a demagnetiser
	LookAtFoil  Verb = "look-foil"   // Item: foil
	WipeFoil    Verb = "wipe-foil"   // Item: foil
	SmoothFoil  Verb = "smooth-foil" // what lies on the piece

	WriteRecord Verb = "write-record" // Item: line of the record sheet; Text: what stands there now
)

// verbs is every verb a log may hold.
var verbs = []Verb{
	ReadJob, LookAtTip, WipeTip, ReadCertificate, ChooseProbe, PlacePiece, LayFoil, TakeFoilAway, MoveProbe, Wait,
	BeginZero, StoreZero, BeginFoil, SetFoilValue, StoreFoil, BeginVerify, JudgeVerify, BeginMeasure, ResetAdjustment,
	NewSpot, DeleteLast, ClearMemory, Report, Finish,
	LookAtPiece, WipePiece, Demagnetise, LookAtFoil, WipeFoil, SmoothFoil,
	WriteRecord,
}

// Pose is where the probe is held. Whole numbers, so that a log reads back
// exactly: micrometres, millidegrees, millinewtons.
type Pose struct {
	XUm      int64 `json:"x"` // tip, in the frame of the piece under the probe
	YUm      int64 `json:"y"`
	HeightUm int64 `json:"h"`            // tip above the surface; 0: touching
	TiltX    int64 `json:"tx,omitempty"` // millidegrees about the x axis
	TiltY    int64 `json:"ty,omitempty"` // millidegrees about the y axis
	PressMN  int64 `json:"f,omitempty"`  // millinewtons along the probe axis
}

// Action is one thing the trainee does. At is milliseconds since the attempt
// began and never runs backwards.
type Action struct {
	At     int64  `json:"t"`
	Do     Verb   `json:"do"`
	Item   string `json:"item,omitempty"`
	Pose   *Pose  `json:"pose,omitempty"`
	Counts int64  `json:"counts,omitempty"`
	Text   string `json:"text,omitempty"`
	// Uncertainty is the expanded uncertainty put down with a report, in counts.
	Uncertainty int64 `json:"u,omitempty"`
	// Allowance, with a report, is what is to be deducted from Counts for
	// roughness, in counts.
	Allowance int64 `json:"allowance,omitempty"`
}

// Kind names what the trainee could see happen.
type Kind string

// The kinds of event.
const (
	Refused     Kind = "refused"    // Text: why, and what to do
	ProbeChosen Kind = "probe"      // Text: name of the probe now in hand
	Touched     Kind = "touched"    // the tip came down
	Lifted      Kind = "lifted"     // the tip left the surface
	ReadingNew  Kind = "reading"    // Counts: the displayed value; Text: principle, from a dual probe
	NoReading   Kind = "no-reading" // Text: why
	Adjusted    Kind = "adjusted"   // Text: kind of adjustment now in force
	Verified    Kind = "verified"   // Counts: mean shown; Text: judgement
	Deleted     Kind = "deleted"    // Counts: the reading deleted
	Cleared     Kind = "cleared"    // Counts: how many readings went
	Reported    Kind = "reported"   // Counts: mean; Text: verdict
	Finished    Kind = "finished"
	Noticed     Kind = "noticed" // Text: what a look or the cloth showed
)

// Event is one thing that happened, as the trainee could see it.
type Event struct {
	Kind   Kind   `json:"saw"`
	Counts int64  `json:"counts,omitempty"`
	N      int    `json:"n,omitempty"` // readings now in the series at hand
	Text   string `json:"text,omitempty"`
}
