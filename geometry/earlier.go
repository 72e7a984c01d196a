package geometry

// earlierNames are those that documents, ranges and rules written before
// November 2026 have for measures.
var earlierNames = map[string]string{
	"lift":                             "pelvis height change",
	"thrust":                           "pelvis toward the ball",
	"lead leg line offset":             "lead hip offset from the ankle-knee line",
	"trail leg line offset":            "trail hip offset from the ankle-knee line",
	"lead leg line offset over shank":  "lead hip offset from the ankle-knee line over shank",
	"trail leg line offset over shank": "trail hip offset from the ankle-knee line over shank",
	"lead leg line angle":              "lead hip angle from the ankle-knee line",
	"trail leg line angle":             "trail hip angle from the ankle-knee line",
}

// PresentName is the name of a measure that may be called by one from before.
func PresentName(measure string) string {
	if now, ok := earlierNames[measure]; ok {
		return now
	}
	return measure
}
