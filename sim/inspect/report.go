package inspect

// ReportItems lists what a report of a thickness measurement states by ISO 2360:2003 clause 9, in our words. Source:
// read.
func ReportItems() []string {
	return []string{
		"identity of the part",
		"standard followed and its date",
		"size of the measuring areas in mm²",
		"places of the measuring areas",
		"number of parts measured",
		"thickness of each area with number of readings and standard deviation",
		"name of operator and laboratory",
		"date of measurement",
		"anything unusual seen",
		"departures from the method",
		"identity of instrument, probe and reference pieces",
	}
}
